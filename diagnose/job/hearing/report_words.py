"""The report in free words: what it may speak of, for a person to confirm, never taken silently.

Clause by clause (``heard_clause``), each with its place (``whereabouts``), its run state and what
it says of the others (``the_others``).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.as_meant import as_meant
from diagnose.job.hearing.clauses import Clause, clauses
from diagnose.job.hearing.listener import Listener
from diagnose.job.hearing.trouble import GAUGE_THEN
from diagnose.job.hearing.two_names import only_names
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.job.hearing.work_reported import without_returns


@dataclass(frozen=True)
class Heard:
    """``said``: what a report may speak of.  ``clauses``: all of it, in order.

    ``silent``: those of which nothing was heard.
    """

    said: tuple[Suggestion, ...]
    silent: tuple[Clause, ...]
    clauses: tuple[Clause, ...]


def hear(report: str, bench: Bench) -> tuple[Suggestion, ...]:
    """Return what ``report`` may speak of: findings with their state and place, in its order.

    Its words are taken as meant (``as_meant``); a word that must be asked about stands as typed.
    """
    return listened(report, bench).said


def listened(report: str, bench: Bench) -> Heard:
    """Return what ``report`` may speak of, as ``hear`` does, and the clauses that say nothing."""
    text = without_returns(as_meant(report, bench).text)
    every = clauses(text, Vocabulary.of(bench).joined)
    listener = _heard(every, bench)
    if listener.gauge_for_nothing:  # then the words may be said of the gauge itself
        of_itself = _heard(every, bench, (GAUGE_THEN,))
        if _answers(of_itself) > _answers(listener):
            listener = of_itself
    where = listener.where
    anywhere = where.named(" | ".join(c.text for c in every))
    said = tuple(
        s
        if s.places or s.one_of_places or s.phrase in listener.unclear
        else replace(s, places=listener.beside(s, where.of(s.question, anywhere, only=True)))
        for s in listener.said_once()
    )
    # 'flow' of 'flow and pressure normal' is not lost
    lends = [a for a, b in pairwise(every)
             if a.sentence == b.sentence and only_names(a, Vocabulary.of(bench))]  # fmt: skip
    silent = sorted(listener.silent, key=every.index)
    return Heard(said, tuple(c for c in silent if c not in lends), every)


def _heard(every: Iterable[Clause], bench: Bench, left_out: Collection[str] = ()) -> Listener:
    listener = Listener(bench, left_out)
    for clause in every:
        listener.take(clause)
    return listener


def _answers(listener: Listener) -> int:
    return sum(1 for s in listener.said_once() if s.value)
