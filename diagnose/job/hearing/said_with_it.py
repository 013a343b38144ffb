"""What a report says of how low, in the words in which it says low: 'no pressure at all'.

A question that asks more of another's answer (``refines`` in its file) is heard in no words of
its own; its ``heard`` are sought in the words, or the figure, that gave that answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary, asked_here
from diagnose.model import Question, State


def with_what_they_say_more(bench: Bench, heard: Iterable[Suggestion]) -> list[Suggestion]:
    """Return what was ``heard``, each followed by what its words say more."""
    said = list(heard)
    asking = [q for q in asked_here(bench) if q.refines is not None]
    told: set[tuple[str, tuple[str, ...]]] = set()
    out = []
    for s in said:
        out.append(s)
        for more in (m for q in asking for m in _more(bench, q, s)):
            if (more.question, more.places) not in told:
                told.add((more.question, more.places))
                out.append(more)
    return out


def _more(bench: Bench, question: Question, s: Suggestion) -> Iterator[Suggestion]:
    of = question.refines
    if (
        of is None
        or s.negated
        or s.one_of_places
        or (s.question, s.value) != (of.question, of.value)
    ):
        return
    vocabulary = Vocabulary.of(bench)
    classes = (
        [of.zero] if s.number == 0 and of.zero
        else [] if s.number is not None
        else [v for v in question.heard if vocabulary.how(question, v).found(s.phrase.lower())]
    )  # fmt: skip
    if len(classes) == 1:
        means = question.classes[classes[0]]
        yield replace(
            s, means=means, question=question.id, value=classes[0], state=State(),
            number=None, one_of=(), others_normal=False,
        )  # fmt: skip
