"""What a report says that was not heard: each such clause, and the answers nearest to its words.

Nothing that somebody said is passed over in silence: what could not be taken is shown, with a few
answers to pick from where some are near enough (``nearest``).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.nearest import Nearest
from diagnose.job.hearing.plain_words import NEGATIONS
from diagnose.job.hearing.report_words import Heard
from diagnose.job.hearing.told_state import stage_of, state_of
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.job.hearing.what_fed import without_feeding
from diagnose.job.hearing.whereabouts import Named, Where
from diagnose.job.hearing.word_chances import IDLE
from diagnose.job.hearing.work_reported import work_in


@dataclass(frozen=True)
class NotHeard:
    """``words`` of a clause of which nothing was heard, and what it ``may`` mean, nearest first."""

    words: str
    may: tuple[Suggestion, ...]


def not_heard(
    heard: Heard,
    bench: Bench,
    told: Collection[tuple[str, str]] = (),
    nearest: Nearest | None = None,
) -> Iterator[NotHeard]:
    """Yield the clauses of a report that tell more than a place or a state and were not heard.

    Work that is told of is asked about by itself, and what was heard elsewhere is not offered
    again, nor what was ``told`` of before: each question with the words it was told in.
    ``nearest``: what finds the answers, if not what the knowledge learned.
    """
    answered = {words for _, words in told}
    where, vocabulary = Where(bench), Vocabulary.of(bench)
    taken = {(s.question, v) for s in heard.said for v in (s.value, *s.one_of) if v}
    before = ""
    for clause in heard.clauses:
        named = where.named(clause.text)
        left = _without_places(where, clause, named)
        earlier, before = before, _in_words(clause, left)
        if clause not in heard.silent or clause.text in answered:
            continue
        if set(left.split()) <= IDLE | NEGATIONS or work_in(clause.text, bench):
            continue
        not_of = vocabulary.read if vocabulary.names_another(clause.text) else ()
        found = (nearest or Nearest.of(bench)).to(before, earlier, taken, not_of)
        may = [_suggested(where, clause, near.question, near.value, named) for near in found]
        yield NotHeard(clause.text, tuple(may))


def told_words(where: Where, clause: Clause) -> str:
    """Return what ``clause`` tells beside its places: its stage and its words."""
    return _in_words(clause, _without_places(where, clause, where.named(clause.text)))


def _in_words(clause: Clause, left: str) -> str:
    """Return the words ``left`` of a clause behind the stage it tells of."""
    return " ".join(f"{clause.stage} {left}".split())


def _without_places(where: Where, clause: Clause, named: Sequence[Named]) -> str:
    return where.without(without_feeding(clause.rest), named)


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
