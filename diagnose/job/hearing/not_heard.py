"""What a report says that was not heard: each such clause, and the answers nearest to its words.

Nothing that somebody said is passed over in silence: what could not be taken is shown, with a few
answers to pick from where some are near enough (``nearest``).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.nearest import IDLE, Nearest
from diagnose.job.hearing.plain_words import NEGATIONS
from diagnose.job.hearing.report_words import Heard
from diagnose.job.hearing.told_state import stage_of, state_of
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.hearing.what_fed import without_feeding
from diagnose.job.hearing.whereabouts import Named, Where
from diagnose.job.hearing.work_reported import work_in


@dataclass(frozen=True)
class NotHeard:
    """``words`` of a clause of which nothing was heard, and what it ``may`` mean, nearest first."""

    words: str
    may: tuple[Suggestion, ...]


def not_heard(
    heard: Heard, bench: Bench, told: Collection[tuple[str, str]] = ()
) -> Iterator[NotHeard]:
    """Yield the clauses of a report that tell more than a place or a state and were not heard.

    Work that is told of is asked about by itself, and what was heard elsewhere is not offered
    again, nor what was ``told`` of before: each question with the words it was told in.
    """
    answered = {words for _, words in told}
    where = Where(bench)
    spoken_of = {s.question for s in heard.said}
    taken = {(s.question, v) for s in heard.said for v in (s.value, *s.one_of)}
    for clause in heard.silent:
        named = where.named(clause.text)
        left = where.without(without_feeding(clause.rest), named)
        if set(left.split()) <= IDLE | NEGATIONS or work_in(clause.text, bench):
            continue
        if clause.text in answered:
            continue
        may = [
            _suggested(where, clause, near.question, near.value, named)
            for near in Nearest.of(bench).to(left, spoken_of, taken)
        ]
        yield NotHeard(clause.text, tuple(may))


def _suggested(
    where: Where, clause: Clause, question: str, value: str, named: Sequence[Named]
) -> Suggestion:
    """Return an answer as the clause would tell it: at its place, in its state."""
    bench, places = where.bench, where.of(question, named)
    stage = stage_of(bench, question, clause)
    return Suggestion(
        clause.text,
        bench.library.questions[question].classes[value],
        question,
        value,
        state=state_of(bench, question, stage, clause.settings),
        places=places,
        among=() if places else where.among(question, named),
    )
