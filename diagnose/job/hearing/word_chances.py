"""How likely the words of a clause are where it tells an answer, learned from reports told before.

Naive Bayes with counts: the phrases of an answer (``heard``) are counted as a little of what was
told, the clauses that told it as themselves; what is not known of an answer is taken from all
answers of its question, and what is not known of that from all that was ever told.  A word may
always have come by itself (``BY_ITSELF``), so that one strange word makes no clause unlike.
The amounts were chosen on reports left out in five parts; they matter little.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from math import log, sqrt

from diagnose.job.hearing.clauses import FILLERS
from diagnose.job.hearing.phrases import each_way
from diagnose.job.hearing.plain_words import NEGATIONS, plain_words
from diagnose.job.hearing.vocabulary import ITS
from diagnose.job.hearing.word_forms import root
from diagnose.model import Library, ToldAs

IDLE = FILLERS | plain_words(
    "and but then she he they them i we you be been being had has have do did does there here so "
    "yes as too very just about again still only or if one would could will"
)
"""Words that tell nothing of what was found."""
Answer = tuple[str, str]
"""A question and one of its classes."""
BY_ITSELF = 0.3
"""Chance that a word of a clause has nothing to do with the answer it tells."""
_PHRASES = 1.0
"""What the phrases of an answer count, times the root of how many there are."""
_OF_QUESTION, _OF_ALL = 5.0, 8.0
"""Words that an answer borrows from its question, and a question from all that is told."""
_NAMES = 0.5
"""What each word that names a question counts."""
_COMPANY = 0.5
"""How much what else was told counts, where findings come together."""
_KNOWN_COMPANY, _MEAN_COMPANY = 3, 10.0
"""Reports in which an answer must have been told to say what comes with it, and how many more it
is taken to have been told in as if it said nothing."""
_DENIAL, _FIGURE = "no", "#"
_WORD = re.compile(r"[a-z]+|\d+(?:\.\d+)?")


class WordChances:
    """What words, and what other answers, come with each answer of ``library``."""

    def __init__(self, library: Library, accounts: Iterable[Iterable[ToldAs]]) -> None:
        """Count the words of the phrases, and of the clauses of ``accounts``."""
        self._of: dict[Answer, dict[str, float]] = {}
        self._reports = 0
        self._in: Counter[Answer] = Counter()  # reports that tell an answer
        self._both: Counter[tuple[Answer, Answer]] = Counter()
        for q in library.questions.values():
            for value, label in q.classes.items():
                said = (label, *q.heard.get(value, ()))
                ways = [words_of(_plain(phrase, library.words.amounts)) for phrase in said]
                counts = self._of.setdefault((q.id, value), {})
                for way in ways:
                    _add(counts, dict.fromkeys(way, _PHRASES / sqrt(len(ways))))
        for account in accounts:
            self._count(account)
        names = {q.id: words_of(" ".join((q.title, *q.also_called)).lower())
                 for q in library.questions.values()}  # fmt: skip
        self._sum_up(names)

    def _count(self, account: Iterable[ToldAs]) -> None:
        told = [t for t in account if (t.question, t.value) in self._of]
        answers = [(t.question, t.value) for t in told]
        self._reports += 1
        self._in.update(answers)
        self._both.update((a, b) for a in answers for b in answers if a != b)
        for answer, t in zip(answers, told, strict=True):
            for clause in t.clauses:
                _add(self._of[answer], dict.fromkeys(words_of(clause), 1.0))

    def _sum_up(self, names: Mapping[str, Collection[str]]) -> None:
        self._all: dict[str, float] = {}
        self._question: dict[str, dict[str, float]] = defaultdict(dict)
        for (question, _), counts in self._of.items():
            _add(self._all, counts)
            _add(self._question[question], counts)
        for question, each in names.items():
            _add(self._question[question], dict.fromkeys(each, _NAMES))
        self._total = sum(self._all.values()) + 0.5 * len(self._all)
        self._sizes = {a: sum(c.values()) for a, c in self._of.items()}
        self._question_sizes = {q: sum(c.values()) for q, c in self._question.items()}

    @property
    def answers(self) -> Collection[Answer]:
        """Return every answer there is."""
        return self._of.keys()

    def knows(self, words: Collection[str], question: str = "") -> int:
        """Return how many of ``words`` were ever told, of ``question`` if it is named."""
        told = self._question[question] if question else self._all
        return sum(word in told for word in words)

    def speak(self, words: Iterable[str], answer: Answer) -> float:
        """Return how much likelier ``words`` are where ``answer`` is told than anywhere, as log."""
        own, question = self._of[answer], self._question[answer[0]]
        size, around = self._sizes[answer], self._question_sizes[answer[0]]
        out = 0.0
        for word in sorted(words):
            anywhere = (self._all.get(word, 0.0) + 0.5) / self._total
            asked = (question.get(word, 0.0) + _OF_ALL * anywhere) / (around + _OF_ALL)
            told = (own.get(word, 0.0) + _OF_QUESTION * asked) / (size + _OF_QUESTION)
            out += log(BY_ITSELF + (1.0 - BY_ITSELF) * told / anywhere)
        return out

    def usual(self, answer: Answer) -> float:
        """Return the log of how often ``answer`` is told."""
        return log((self._in[answer] + 0.5) / (self._reports + 0.5))

    def company(self, answer: Answer, told: Iterable[Answer]) -> float:
        """Return how much likelier ``answer`` is where ``told`` were told too, as log."""
        found = []
        usual = (self._in[answer] + 1.0) / (self._reports + _MEAN_COMPANY)
        for other in sorted(told):
            if self._in[other] >= _KNOWN_COMPANY:
                both = self._both[answer, other] + _MEAN_COMPANY * usual
                found.append(log(both / (self._in[other] + _MEAN_COMPANY) / usual))
        return _COMPANY * sum(found) / sqrt(len(found)) if found else 0.0


def words_of(text: str) -> frozenset[str]:
    """Return the words of ``text`` that tell something, each form of a word as one."""
    out = set()
    for word in _WORD.findall(text):
        if word in NEGATIONS:
            out.add(_DENIAL)
        elif word not in IDLE:
            out.add(_FIGURE if word[0].isdigit() else root(word))
    return frozenset(out)


def _add(counts: dict[str, float], more: Mapping[str, float]) -> None:
    for word, much in more.items():
        counts[word] = counts.get(word, 0.0) + much


def _plain(phrase: str, groups: Mapping[str, Collection[str]]) -> str:
    return next(each_way(phrase.lower().removeprefix(ITS).replace("-", " "), groups))
