"""A set of cases played and added up: the measure every change of knowledge is held to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from pathlib import Path
from statistics import fmean

from diagnose.belief import UNKNOWN
from diagnose.errors import CaseError, Origin, Problem, ProblemsError
from diagnose.job.case_warnings import warnings_of
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.knowledge_files import layout_of_case, load_case
from diagnose.model import Case, Library
from diagnose.replay.guided import BASELINES, Guided, play
from diagnose.replay.score import Scored, accepted, totals

WRONGLY_SURE = 0.8
"""With the true cause out of the knowledge, more than this on a wrong cause counts as a miss."""


def case_files(path: Path) -> tuple[Path, ...]:
    """Return the case files at ``path`` (a file, or every .yaml of a folder, sorted).

    Raises:
        CaseError: If there is none.
    """
    found = (path,) if path.is_file() else tuple(sorted(path.glob("*.yaml")))
    if not found:
        raise CaseError(
            [
                Problem(
                    Origin(str(path)), "no case files here; give a .yaml file or a folder of them."
                )
            ]
        )
    return found


def load_cases(path: Path, bench_for: Callable[[str], Bench]) -> list[tuple[Bench, Case]]:
    """Return every case at ``path`` with the bench of its layout; all problems at once."""
    out: list[tuple[Bench, Case]] = []
    problems: list[Problem] = []
    for file in case_files(path):
        try:
            bench = bench_for(layout_of_case(file))
            out.append((bench, load_case(file, bench.library, bench.layout)))
        except ProblemsError as error:
            problems.extend(error.problems)
    if problems:
        raise CaseError(problems)
    return out


def study(
    path: Path,
    bench_for: Callable[[str], Bench],
    *,
    baselines: bool,
    leave_out: bool,
    progress: Callable[[str], None] = lambda line: None,
) -> Mapping[str, object]:
    """Play every case at ``path`` and return the scores as one plain object."""
    rows: list[dict[str, object]] = []
    played: list[Guided] = []
    orders: dict[str, list[Guided]] = {name: [] for name, _ in BASELINES}
    sure: list[bool] = []
    cases = load_cases(path, bench_for)
    for k, (bench, case) in enumerate(cases, start=1):
        progress(f"{k} of {len(cases)}: {case.id}")
        guided = play(bench, case)
        played.append(guided)
        row = _row(bench, case, guided)
        if baselines:
            row["baselines"] = {}
            for name, policy in BASELINES:
                other = play(bench, case, policy(case.id))
                orders[name].append(other)
                row["baselines"][name] = _run(other)  # type: ignore[index]
        if leave_out:
            row["left_out"], missed = _without(bench, case)
            sure.append(missed)
        rows.append(row)
    total: dict[str, object] = {
        "findings": totals([g.findings for g in played]),
        "before_check": totals([g.before_check for g in played]),
        "final": totals([g.final for g in played]),
        **_means(played),
    }
    if baselines:
        total["baselines"] = {
            name: {"before_check": totals([g.before_check for g in runs]), **_means(runs)}
            for name, runs in orders.items()
        }
    if leave_out:
        total["left_out_wrongly_sure"] = fmean(sure)
    edition = cases[0][0].library.edition
    return {"knowledge_edition": edition, "cases": rows, "totals": total}


def _row(bench: Bench, case: Case, guided: Guided) -> dict[str, object]:
    return {
        "case": case.id,
        "source": case.source,
        "layout": case.layout,
        "warnings": [str(w) for w in warnings_of(bench, case)],
        "truth": [str(c) for c in accepted(case)],
        "in_the_knowledge": all(
            c == UNKNOWN or c in bench.net.index for c in accepted(case)[: len(case.causes)]
        ),
        "findings_rank": _rank(guided.findings),
        "before_check_rank": _rank(guided.before_check),
        "final_rank": _rank(guided.final),
        **_run(guided),
    }


def _rank(scored: Scored) -> dict[str, object]:
    return {**asdict(scored.place), "probability": scored.probability}


def _run(guided: Guided) -> dict[str, object]:
    return {
        "settled": guided.settled,
        "questions": guided.questions,
        "minutes": guided.minutes,
        "before_check": guided.before_check.place.cause_and_place,
        "asked": list(guided.asked),
    }


def _means(runs: list[Guided]) -> dict[str, float]:
    return {
        "settled": fmean(g.settled for g in runs),
        "mean_questions": fmean(g.questions for g in runs),
        "mean_minutes": fmean(g.minutes for g in runs),
    }


def _without(bench: Bench, case: Case) -> tuple[dict[str, object], bool]:
    """Return who is blamed when the true causes are taken out of the knowledge."""
    out = {c.cause for c in accepted(case)}
    lesser = Bench(without(bench.library, out), bench.layout, bench.predictions)
    step = Diagnosis(lesser, case.before, engine=False).see(case.findings)
    top, p = step.posterior.ranking()[0]
    wrong = top != UNKNOWN and p > WRONGLY_SURE
    return {"top": str(top), "probability": p, "wrongly_sure": wrong}, wrong


def without(library: Library, out: set[str]) -> Library:
    """Return ``library`` as it would be had nobody ever written down the causes ``out``."""

    def left(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(n for n in names if n not in out)

    symptoms = {
        k: replace(
            s,
            points_to=left(s.points_to),
            against=left(s.against),
            never_with=left(s.never_with),
        )
        for k, s in library.symptoms.items()
    }
    causes = {k: v for k, v in library.causes.items() if k not in out}
    return replace(library, causes=causes, symptoms=symptoms)
