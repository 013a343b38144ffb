"""What drafts change on the library's invented cases, which nobody is judged by.

The published cases are kept to judge the whole and are never looked at here.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.errors import ProblemsError
from diagnose.in_time import read_in_time
from diagnose.in_use import read_in_use
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.knowledge_files import layout_of_case, list_layouts, load_case, load_layout
from diagnose.model import Case, CauseAt, Layout, Library

INVENTED = "invented"


MOST = 40
"""Cases ranked twice for one draft: a reviewer does not wait for more (no source)."""


@dataclass(frozen=True)
class Move:
    """One invented case: where its true cause stands (from 1) and how likely, before and after."""

    case: str
    truth: str
    rank: tuple[int, int]
    chance: tuple[float, float]

    @property
    def moved(self) -> bool:
        """Return whether the place or the chance changed visibly."""
        return self.rank[0] != self.rank[1] or abs(self.chance[0] - self.chance[1]) >= 0.01


@dataclass(frozen=True)
class Held:
    """One invented case on which a rule holds, and whether it points to or against the truth."""

    case: str
    truth: str
    points: bool
    against: bool


def invented_cases(
    cases: Sequence[Path], root: Path, library: Library
) -> list[tuple[Case, Layout]]:
    """Return the invented cases of the folders that can be read on the layouts of ``root``."""
    layouts = {n: load_layout(p) for n, p in list_layouts(root).items()}
    out = []
    for file in (f for folder in cases for f in sorted((folder / INVENTED).glob("[!.]*.yaml"))):
        try:
            layout = layouts.get(layout_of_case(file))
            if layout is not None:
                out.append((load_case(file, library, layout), layout))
        except ProblemsError:
            continue  # a case that cannot be read is told by `diagnose cases list`
    return out


def moves(
    cases: Sequence[tuple[Case, Layout]], before: Library, after: Library, about: Collection[str]
) -> list[Move]:
    """Return the cases the drafts touch most, before and after; at most ``MOST``.

    ``about``: causes and effects of the drafts.  Cases of the causes come first, then those of
    their look-alikes, then those with a finding of one of the effects.
    """
    benches: dict[str, tuple[Bench, Bench]] = {}
    out = []
    near = [(n, k, c) for k, c in enumerate(cases) if (n := _nearness(c[0], after, about))]
    for _, _, (case, layout) in sorted(near, key=lambda x: x[:2])[:MOST]:
        truth = case.causes[0]
        if layout.id not in benches:
            benches[layout.id] = (Bench(before, layout), Bench(after, layout))
        old, new = benches[layout.id]
        if truth in old.net.index and truth in new.net.index:
            first, second = (
                _place(Diagnosis(b, case.before, engine=False).see(case.findings), truth)
                for b in (old, new)
            )
            out.append(Move(case.id, str(truth), (first[0], second[0]), (first[1], second[1])))
    return out


def _nearness(case: Case, library: Library, about: Collection[str]) -> int:
    """Return 1 for a case of one of the causes, 2 of a look-alike, 3 of a finding, 0 untouched."""
    mine = {c.cause for c in case.causes}
    if mine & set(about):
        return 1
    like = {x.cause for c in about if c in library.causes for x in library.causes[c].look_alikes}
    if mine & like:
        return 2
    reads = {library.questions[f.question].reads for f in case.findings if not f.check}
    return 3 if reads & set(about) else 0


def holds_on(cases: Sequence[tuple[Case, Layout]], library: Library, rule: str) -> list[Held]:
    """Return the cases on whose findings ``rule`` holds somewhere."""
    benches: dict[str, Bench] = {}
    symptom = library.symptoms[rule]
    out = []
    for case, layout in cases:
        bench = benches.setdefault(layout.id, Bench(library, layout))
        read = read_in_use(read_in_time(case.findings, library), library, layout)
        outcome = bench.plain.outcome(dict(enumerate(read)))
        if any(s.symptom == rule and s.verdict == "true" for s in outcome.symptoms.values()):
            truth = case.causes[0]
            against = (*symptom.against, *symptom.never_with)
            points = truth.cause in symptom.points_to
            out.append(Held(case.id, str(truth), points, truth.cause in against))
    return out


def _place(step: Step, truth: CauseAt) -> tuple[int, float]:
    ranking = step.posterior.ranking()
    return next((k, p) for k, (c, p) in enumerate(ranking, start=1) if c == truth)
