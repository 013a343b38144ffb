"""Questions that ask more of one answer to another: how low, once it was low.

They are asked only where that answer was given at the same place.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.job.diagnosis import Bench
from diagnose.model import Finding, Question, State
from diagnose.planner import Key


def answered_first(question: Question, place: str, findings: Iterable[Finding]) -> bool:
    """Return whether the answer that ``question`` asks more of was given at ``place``, in words.

    A figure says by itself how low it was.
    """
    more_of = question.refines
    if more_of is None:
        return True
    given = [f for f in findings if (f.question, f.at) == (more_of.question, place) and not f.check]
    low = [f for f in given if more_of.value in f.classes]
    return bool(low) and all(f.number is None for f in low)


def said_with(bench: Bench, finding: Finding) -> list[Finding]:
    """Return what a figure of nothing answers besides: nothing was left of it."""
    if finding.number != 0 or finding.check or finding.one_of_places:
        return []
    return [
        Finding(q.id, finding.at, q.refines.zero, State(), finding.known_by, typed=finding.typed)
        for q in bench.library.questions.values()
        if q.refines is not None
        and q.refines.zero
        and (q.refines.question, q.refines.value) == (finding.question, finding.value)
    ]


def nothing_to_refine(bench: Bench, findings: Iterable[Finding]) -> frozenset[Key]:
    """Return the readings that ask more of an answer that nobody gave yet."""
    told, questions = tuple(findings), bench.library.questions
    return frozenset(
        r.key
        for r in bench.planner.catalogue.readings
        if not answered_first(questions[r.question], r.place, told)
    )
