"""What a clause that was not heard may have meant: the answers told in the nearest words.

Each way of telling an answer (``heard``, and its label) is held against the clause word by word.
A word that few answers are told by tells more than one that many are, so each counts by the
logarithm of how rare it is.  A way is near by the share of its own words that the clause has, times
that of the clause's words which it and the names of its question have.  What is denied in one and
not in the other is half as near.  What is found is only shown to pick from, never taken.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import log
from weakref import WeakKeyDictionary

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import FILLERS
from diagnose.job.hearing.plain_words import NEGATIONS, plain_words
from diagnose.job.hearing.vocabulary import ITS, Vocabulary, asked_here
from diagnose.job.hearing.word_forms import root
from diagnose.model import Question

FLOOR = 0.1
"""How near an answer must be to be shown.  Of 454 clauses of judged reports kept apart 341 have
answers shown at this floor, 108 the right one; at a higher one the share that is right is alike."""
MOST = 3
"""Answers shown of one clause."""
_DENIED = 0.5
_NAMED = 0.5
"""What a word that only names the question counts of the clause."""
_WORD = re.compile(r"[a-z]+|\d+(?:\.\d+)?")
_PART = re.compile(r"<([^<>]*)>|([^\s<]+)")
IDLE = FILLERS | plain_words(
    "and but then she he they them i we you be been being had has have do did does there here so "
    "yes as too very just about again still only or if one would could will"
)
"""Words that tell nothing of what was found."""
LEAST = 2
"""Parts of a way that a clause must have where nothing else names its question."""
_NOTHING: frozenset[str] = frozenset()
Answer = tuple[str, str]
"""A question and one of its classes."""
_Part = tuple[frozenset[str], ...]
"""A word of a way, or the phrases of a group that may stand in its place, each by its words."""


@dataclass(frozen=True)
class Near:
    """``value`` of ``question``, and how near a clause is to it: 1 word for word, 0 not at all."""

    question: str
    value: str
    share: float


@dataclass(frozen=True)
class _Way:
    """One way of telling an answer, part by part: the ways in which each part can be said."""

    answer: Answer
    parts: tuple[_Part, ...]
    denies: bool


class Nearest:
    """The ways in which every answer can be told on one bench."""

    def __init__(self, bench: Bench) -> None:
        """Weigh each word by how few answers have it."""
        groups = {
            name: tuple({_roots(phrase) for phrase in each} - {_NOTHING})
            for name, each in Vocabulary.of(bench).groups.items()
        }
        asked = list(asked_here(bench))
        self._names = {q.id: _roots(" ".join((q.title, *q.also_called)).lower()) for q in asked}
        answers: dict[str, set[Answer]] = defaultdict(set)
        self._of_word: dict[str, list[_Way]] = defaultdict(list)
        for way in (way for q in asked for way in _ways(q, groups)):
            for word in {w for part in way.parts for said in part for w in said}:
                answers[word].add(way.answer)
                self._of_word[word].append(way)
        self._unknown = log(sum(len(q.classes) for q in asked))
        self._tells = {word: self._unknown - log(len(found)) for word, found in answers.items()}

    @staticmethod
    def of(bench: Bench) -> Nearest:
        """Return the ways of ``bench``, weighed once."""
        return _KEPT.get(bench) or _KEPT.setdefault(bench, Nearest(bench))

    def to(
        self, text: str, spoken_of: Collection[str] = (), without: Collection[Answer] = ()
    ) -> tuple[Near, ...]:
        """Return the answers nearest to the clause ``text``, the nearest first, () for none.

        ``spoken_of``: the questions that are spoken of, so that they need not be named.
        ``without``: answers not to be found.
        """
        words, denies = _roots(text), _denies(text)
        if not any(word.isalpha() for word in words):
            return ()  # a figure by itself is near anything
        whole = sum(map(self._weight, words))
        near: dict[Answer, float] = {}
        ways = {id(way): way for word in words for way in self._of_word.get(word, ())}
        for way in ways.values():
            names = words & self._names[way.answer[0]]
            share = self._near(way, words, names, whole, way.answer[0] in spoken_of)
            share *= _DENIED if way.denies != denies else 1.0
            near[way.answer] = max(share, near.get(way.answer, 0.0))
        for answer in without:
            near.pop(answer, None)
        best = sorted(near.items(), key=lambda found: (-found[1], found[0]))[:MOST]
        return tuple(Near(q, value, share) for (q, value), share in best if share >= FLOOR)

    def _near(
        self, way: _Way, words: frozenset[str], names: frozenset[str], whole: float, spoken: bool
    ) -> float:
        had: set[str] = set()
        of_way = of_clause = 0.0
        found = 0
        for part in way.parts:
            told = [said for said in part if said <= words]
            best = max(map(self._all, told or part))
            of_way += best
            if told:
                of_clause, found = of_clause + best, found + 1
                had.update(*told)
        if found < LEAST and not (had and (names - had or spoken)):
            return 0.0
        named = _NAMED * self._all(names - had)
        return of_clause / of_way * min(1.0, (self._all(had) + named) / whole)

    def _all(self, words: Iterable[str]) -> float:
        return sum(map(self._weight, words))

    def _weight(self, word: str) -> float:
        return self._tells.get(word, self._unknown)


def _ways(q: Question, groups: Mapping[str, _Part]) -> Iterator[_Way]:
    """Yield every way in which an answer of ``q`` is told."""
    for value, label in q.classes.items():
        for phrase in (label, *q.heard.get(value, ())):
            said = phrase.lower().removeprefix(ITS).replace("-", " ")
            words = [
                groups[group] if group else (_roots(word),) for group, word in _PART.findall(said)
            ]
            told = tuple(w for w in words if w and w != (_NOTHING,))
            if told:
                yield _Way((q.id, value), told, _denies(said))


def _roots(text: str) -> frozenset[str]:
    words = _WORD.findall(text)
    return frozenset(root(w) for w in words if w not in IDLE and w not in NEGATIONS)


def _denies(text: str) -> bool:
    return not NEGATIONS.isdisjoint(text.split())


_KEPT: WeakKeyDictionary[Bench, Nearest] = WeakKeyDictionary()
"""The ways of each bench, kept as long as it lives."""
