"""What a clause that was not heard may have meant: the answers its words, and the rest, speak for.

Learned (``word_chances``) from the phrases of each answer and from reports that were told before
and coded (``knowledge/accounts.yaml``).  What is found is only shown to pick from, never taken.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.vocabulary import asked_here
from diagnose.job.hearing.word_chances import Answer, WordChances, words_of
from diagnose.model import ToldAs

FLOOR = -1.5
"""How near an answer must be to be shown, as the log of odds against any other clause.

At -3 a third more lines were shown of reports kept apart, and one in 19 of those was right."""
MOST = 3
"""Answers shown of one clause."""
STRANGE = 0.4
"""Share of the words of a clause that nobody told anything by before, at most."""
_BEFORE = 0.3
"""What the words of the clause before count: 'the port gauge was watched.  It went up'."""


@dataclass(frozen=True)
class Near:
    """``value`` of ``question``, and how near a clause is to it: the more, the nearer."""

    question: str
    value: str
    near: float


class Nearest:
    """The answers of one bench by the words they are told in."""

    def __init__(
        self, bench: Bench, accounts: Collection[Collection[ToldAs]] | None = None
    ) -> None:
        """Learn from ``accounts``, if not from those of the knowledge."""
        library = bench.library
        self._chances = WordChances(library, library.accounts if accounts is None else accounts)
        asked = {q.id for q in asked_here(bench)}
        self._answers = sorted(a for a in self._chances.answers if a[0] in asked)

    @staticmethod
    def of(bench: Bench) -> Nearest:
        """Return the answers of ``bench``, learned once."""
        return _KEPT.get(bench) or _KEPT.setdefault(bench, Nearest(bench))

    def to(
        self,
        clause: str,
        before: str = "",
        told: Collection[Answer] = (),
        not_of: Collection[str] = (),
    ) -> tuple[Near, ...]:
        """Return the answers nearest to ``clause``, the nearest first, () for none.

        ``clause`` and ``before``, the one before it, as ``told_words`` of ``not_heard`` gives them.
        ``told``: what else the report tells, never found again.  ``not_of``: questions of which
        nothing is told.
        """
        words, earlier = words_of(clause), words_of(before)
        strange = len(words) - self._chances.knows(words)
        if not any(word.isalpha() for word in words) or strange > len(words) * STRANGE:
            return ()  # a figure by itself is near anything
        found = []
        for answer in self._answers:
            if answer in told or answer[0] in not_of or not self._chances.knows(words, answer[0]):
                continue
            own = self._chances.speak(words, answer)
            if own < 0.0:
                continue  # the clause itself speaks against it
            near = own + _BEFORE * self._chances.speak(earlier, answer)
            near += self._chances.usual(answer) + self._chances.company(answer, told)
            if near >= FLOOR:
                found.append(Near(*answer, near))
        return tuple(sorted(found, key=lambda n: (-n.near, n.question, n.value))[:MOST])


_KEPT: WeakKeyDictionary[Bench, Nearest] = WeakKeyDictionary()
"""The answers of each bench, kept as long as it lives."""
