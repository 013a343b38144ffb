"""A ranking as plain data: causes with words and numbers, symptoms, conflicts and cautions."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.belief import UNKNOWN, Posterior
from diagnose.by_key import by_key
from diagnose.job.diagnosis import Bench, Diagnosis, Step
from diagnose.job.explain import word_for
from diagnose.job.wording import cause_words, finding_line
from diagnose.model import CauseAt

OUTSIDE = {
    "": "fuel system",
    "not-fuel": "not fuel",
    "no-fault": "no fault",
    "unknown": "not in the knowledge",
}


_BRACKETS = re.compile(r"\s*\([^()]*\)")

ALIKE = 0.5
"""A part whose chance is this share of the likeliest like part's is not yet told from it."""


@dataclass(frozen=True)
class Group:
    """One failure mode at the parts that the findings do not yet tell apart, likeliest first.

    standing: what it is ranked by; its probability, but for what is not in the knowledge.
    """

    causes: tuple[CauseAt, ...]
    probability: float
    standing: float

    def words(self, bench: Bench) -> str:
        """Return the mode and its parts for people."""
        first, *others = self.causes
        return " or ".join([cause_words(bench, first), *(bench.places.label(c.at) for c in others)])

    def short(self, bench: Bench) -> str:
        """Return the mode and its parts in as few words as say the same.

        What the names of the parts share is said once; where all parts that can fail so are
        alike, and there are more than two, none is named: 'fuel in any tank (4 alike)'.
        """
        if len(self.causes) == 1:
            return self.words(bench)
        mode = self.causes[0].cause
        labels = [bench.places.label(c.at) for c in self.causes]
        every = sum(c.cause == mode for c in bench.planner.catalogue.net.instances)
        parts = _any_of(labels) if 2 < every == len(labels) else ""
        return cause_words(bench, self.causes[0], parts or _said_once(labels))


def in_short(bench: Bench, causes: Iterable[CauseAt], most: int) -> str:
    """Return ``causes`` in words, those of one failure mode together; ``most`` modes are told."""
    modes = by_key((c.cause, c) for c in causes)
    told = [Group(tuple(alike), 0.0, 0.0).short(bench) for alike in modes.values()]
    return "; ".join(told[:most])


def _said_once(labels: Sequence[str]) -> str:
    """Return names joined by 'or', with the words that all begin with said once."""
    words = [label.split() for label in labels]
    shared = _shared(words)
    # a name is cut only after a word that calls for what follows
    while shared and words[0][shared - 1] not in ("of", "in"):
        shared -= 1
    *some, last = [" ".join(w[shared:]) for w in words]
    head = "".join(f"{w} " for w in words[0][:shared])
    return f"{head}{', '.join(some)} or {last}"


def _any_of(labels: Sequence[str]) -> str:
    """Return 'fuel in any tank (4 alike)' of four such names, '' where they share no last word."""
    words = [_BRACKETS.sub("", label).split() for label in labels]
    first = _shared(words)
    last = _shared([w[first:][::-1] for w in words])
    if not last:
        return ""
    before, after = words[0][:first], words[0][-last:]
    while before and before[-1] in ("the", "no."):
        before = before[:-1]
    return " ".join([*before, "any", *after, f"({len(labels)} alike)"])


def _shared(words: Sequence[Sequence[str]]) -> int:
    """Return how many words all lists begin with."""
    count = 0
    for column in zip(*words, strict=False):
        if len(set(column)) > 1:
            break
        count += 1
    return count


def still_possible(step: Step) -> tuple[Group, ...]:
    """Return what may be wrong now, grouped: what was put right is no more to be looked for."""
    return grouped(step.posterior, step.mended)


def grouped(posterior: Posterior, without: Collection[CauseAt] = ()) -> tuple[Group, ...]:
    """Return the ranking by failure mode, like parts together while nothing tells them apart.

    'Water in the fuel of the left or of the right tank' is one thing to think of and often one
    check; its chance is the sum.  Causes in ``without`` are left out.
    """
    ranking = [(c, p) for c, p in posterior.ranking() if c not in without]
    return lines_of(ranking, float(posterior.standing[-1]))


def lines_of(ranking: Iterable[tuple[CauseAt, float]], unknown: float) -> tuple[Group, ...]:
    """Return ``ranking``, best first, with like parts on one line.

    ``unknown``: what the cause that is not in the knowledge is ranked by.
    """
    groups: dict[CauseAt, list[tuple[CauseAt, float]]] = {}
    lead: dict[str, list[tuple[CauseAt, float]]] = {}
    for cause, p in ranking:
        first = next((c for c, q in lead.get(cause.cause, []) if p >= ALIKE * q), None)
        if first is None:
            lead.setdefault(cause.cause, []).append((cause, p))
        groups.setdefault(first or cause, []).append((cause, p))
    out = [
        Group(tuple(c for c, _ in g), p := sum(p for _, p in g), unknown if c == UNKNOWN else p)
        for c, g in groups.items()
    ]
    return tuple(sorted(out, key=lambda g: (-round(g.standing, 12), str(g.causes[0]))))


def group_rows(bench: Bench, step: Step) -> list[dict[str, object]]:
    """Return one row a group, best first."""
    groups = grouped(step.posterior)
    return [
        {
            "rank": k,
            "causes": [str(c) for c in g.causes],
            "label": g.words(bench),
            "outside": outside_of(bench, g.causes[0]),
            "probability": g.probability,
            "word": word_for(g.probability, groups[0].probability),
        }
        for k, g in enumerate(groups, start=1)
    ]


def outside_of(bench: Bench, cause: CauseAt) -> str:
    """Return whether a cause lies in the fuel system, or where outside it."""
    known = bench.library.causes.get(cause.cause)
    return OUTSIDE["unknown" if cause == UNKNOWN else known.outside if known else ""]


def cause_row(bench: Bench, cause: CauseAt) -> dict[str, str]:
    """Return a cause at its place as plain data: ids beside labels."""
    known = bench.library.causes.get(cause.cause)
    return {
        "cause": cause.cause,
        "at": cause.at,
        "label": known.title if known else OUTSIDE["unknown"],
        "place_label": bench.places.label(cause.at),
    }


def ranking_rows(bench: Bench, step: Step) -> list[dict[str, object]]:
    """Return one row a cause, best first: rank, ids, labels, family, probability and word."""
    rows: list[dict[str, object]] = []
    ranking = step.posterior.ranking()
    for k, (cause, p) in enumerate(ranking, start=1):
        known = bench.library.causes.get(cause.cause)
        rows.append(
            {
                "rank": k,
                **cause_row(bench, cause),
                "family": known.family if known else "",
                "outside": outside_of(bench, cause),
                "probability": p,
                "word": word_for(p, ranking[0][1]),
                "status": known.status if known else "",
            }
        )
    return rows


def symptom_rows(bench: Bench, step: Step) -> list[dict[str, object]]:
    """Return what the rules conclude: each known symptom with its verdict and file:line."""
    out: list[dict[str, object]] = []
    for s in step.outcome.symptoms.values():
        symptom = bench.library.symptoms[s.symptom]
        out.append(
            {
                "symptom": s.symptom,
                "at": s.at,
                "label": symptom.title,
                "place_label": bench.places.label(s.at),
                "verdict": s.verdict,
                "because": symptom.because,
                "rule": str(symptom.origin),
            }
        )
    return sorted(out, key=lambda r: (r["verdict"] != "true", str(r["symptom"]), str(r["at"])))


def conflicts(bench: Bench, step: Step) -> list[str]:
    """Return each contradiction among the findings in one line."""
    out = [
        f"'{bench.library.symptoms[s.symptom].title}' at {bench.places.label(s.at)} is both true "
        "and false by what was found"
        for s in step.outcome.symptoms.values()
        if s.verdict == "conflict"
    ]
    for d in step.outcome.disputes:
        asked = bench.library.questions.get(step.read[d.findings[0]].question)
        if asked is not None and asked.gate:
            continue  # a gate is looked at again and again: what it is now is no contradiction
        told = [finding_line(bench, step.read[k]) for k in d.findings]
        out.append(f"told unlike in one state, only the last counts: {'; then '.join(told)}")
    return out


def misfits(step: Step) -> bool:
    """Return whether the findings fit no listed cause well: the stranger is likelier than not."""
    return dict(step.posterior.ranking()).get(UNKNOWN, 0.0) >= 0.5


def step_body(diagnosis: Diagnosis, step: Step) -> Mapping[str, object]:
    """Return everything a ranking says, for JSON; ``step`` is the last one of ``diagnosis``."""
    bench = diagnosis.bench
    return {
        "layout": bench.layout.id,
        "knowledge_edition": bench.library.edition,
        "causes": ranking_rows(bench, step),
        "groups": group_rows(bench, step),
        "pairs": [
            {"causes": [str(a), str(b)], "probability": p}
            for a, b, p in diagnosis.belief.likeliest_pairs()
        ],
        "symptoms": symptom_rows(bench, step),
        "conflicts": conflicts(bench, step),
        "cautions": [c.text for c in step.outcome.cautions],
        "stops": [c.text for c in step.outcome.stops],
        "fits_nothing_listed": misfits(step),
        "causes_in_pairs": step.posterior.paired,
        "pair_mass_left_out_at_most": step.posterior.left_out,
    }


def named(text: str, step: Step) -> CauseAt | None:
    """Return the cause ``text`` names: CAUSE@PART, or CAUSE alone where it stands highest."""
    name, _, at = text.partition("@")
    for cause, _ in step.posterior.ranking():
        if cause.cause == name and at in ("", cause.at):
            return cause
    return None
