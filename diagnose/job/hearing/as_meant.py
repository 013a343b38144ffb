"""A report with its words as they were meant: misspelt, run together, or in another common form.

A word that neither the knowledge nor ordinary English has is read as the one word of the
vocabulary it must have been meant for.  What could be two words, and whatever could turn a 'no', a
number, a unit or a side into another, is asked.  Every change is told, so that nothing is silent.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from weakref import WeakKeyDictionary

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import STAGE_WORDS
from diagnose.job.hearing.plain_words import NEVER_READ, SPOKEN
from diagnose.job.hearing.spelling import NearWords
from diagnose.job.hearing.vocabulary import Vocabulary
from diagnose.job.hearing.word_forms import irregular_forms, regular_of, root

_LOWER = re.compile(r"[a-z]+(?:'[a-z]+)?")
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?", re.IGNORECASE)
_CLOSE, _SHORT = 0.5, 6
"""What another word may cost more and still be meant, in words of so many letters at most."""
_ENDINGS = ("s", "ed", "ing")
"""Of the forms of a word that are not listed each."""
_OFTEN = 3
"""Phrases in which a word stands that another is read as, unless it stands for itself: most words
of one phrase are ordinary English, and as ordinary as what was typed."""
_MOST = 4
"""Words between which is asked."""
_LEAST, _LEAST_RUN, _LEAST_HALF = 4, 6, 3
"""Letters of a word that may be misspelt, of two run together, and of each half of these where no
phrase has the two side by side."""


@dataclass(frozen=True)
class AsMeant:
    """``text``: the report as meant.  ``read``: (as typed, as read) of each word changed.

    ``unsure``: (as typed, what it may mean) of each word left as it stands, to be asked.
    """

    text: str
    read: tuple[tuple[str, str], ...]
    unsure: tuple[tuple[str, tuple[str, ...]], ...]

    def told(self, typed: str, meant: str) -> AsMeant:
        """Return this with ``typed``, of which it was unsure, read as ``meant``; '' leaves it."""
        unsure = tuple(u for u in self.unsure if u[0] != typed)
        if not meant:
            return AsMeant(self.text, self.read, unsure)
        text = re.sub(rf"\b{re.escape(typed)}\b", meant, self.text, flags=re.IGNORECASE)
        return AsMeant(text, (*self.read, (typed, meant)), unsure)


class Spelling:
    """The words of one bench: those it knows, those another may be meant for, and pairs of them."""

    def __init__(self, bench: Bench) -> None:
        """Gather the words of the knowledge, of the layout and of ordinary English."""
        words, library = bench.library.words, bench.library
        vocabulary = Vocabulary.of(bench)
        phrases = [*vocabulary.spoken(), *(w.word for w in words.trade)]
        stages = [word for several in STAGE_WORDS.values() for word in several]
        heard = _words_of([*phrases, *stages]) | SPOKEN
        asked = library.questions.values()
        prose = [t for q in asked for t in (q.title, q.ask, q.how, q.why, *q.classes.values())]
        parts = [f"{p.name} {p.side} {p.position}" for p in bench.layout.parts.values()]
        self._forms = words.forms
        self._heard = heard - NEVER_READ
        often = Counter(word for p in set(phrases) for word in _words_of([p]))
        alike = [p for group in vocabulary.groups.values() for p in group]
        lone = [p for p in (*vocabulary.said, *alike) if " " not in p]
        own = _words_of([*vocabulary.subjects, *lone])
        meant = {w for w, count in often.items() if count >= _OFTEN} | own | SPOKEN
        forms = irregular_forms(frozenset(own))
        self._near = NearWords(meant | forms | _words_of(stages) | NEVER_READ)
        alone = {
            w[:-1] for w in heard if w.endswith("s") and not w.endswith("ss")
        }  # 'drip' of 'drips'
        alone |= {w[:-2] for w in heard if w.endswith("ly") and len(w) - 2 >= _LEAST}  # 'plentiful'
        ordinary = {*words.ordinary, *_words_of([*prose, *parts])}
        self._known = heard | alone | ordinary | forms | NEVER_READ
        spoken = [re.findall("[a-z]+", p) for p in [*phrases, *stages]]
        self._named = {p.split()[-1] for p in vocabulary.subjects}
        self._said = {p.split()[0] for p in vocabulary.said if not p.startswith("<")}
        self._pairs = {pair for words in spoken for pair in pairwise(words)}
        self._kept: dict[str, tuple[str, ...]] = {}

    @staticmethod
    def of(bench: Bench) -> Spelling:
        """Return the spelling of ``bench``, gathered once."""
        return _KEPT.get(bench) or _KEPT.setdefault(bench, Spelling(bench))

    def meant(self, typed: str) -> tuple[str, ...]:
        """Return () for a word to leave, (meant,) for one to read so, several between which to ask.

        A single word to be asked about stands twice.
        """
        if typed not in self._kept:
            self._kept[typed] = self._meant(typed)
        return self._kept[typed]

    def _meant(self, typed: str) -> tuple[str, ...]:
        form = self._form(typed)
        if form:
            return (form,)
        if len(typed) < _LEAST or self.knows(typed):
            return ()
        apart = self._apart(typed)
        if apart:
            return (apart,)
        near = self._near.near(typed) or self._near_form(typed)
        if any(w in NEVER_READ for w in near):
            return tuple(near)[:_MOST] if len(near) > 1 else tuple(near) * 2
        least = min(near.values(), default=0.0) + (_CLOSE if len(typed) <= _SHORT else 0.0)
        nearest = [w for w, cost in near.items() if cost <= least]
        if len({root(w) for w in nearest}) == 1:  # forms of one word, heard alike
            return (_as_many(nearest[0], typed),)
        return tuple(nearest[:_MOST])

    def _near_form(self, typed: str) -> dict[str, float]:
        """Return the words near ``typed`` without its ending, each with that ending."""
        for ending in _ENDINGS:
            bare = typed.removesuffix(ending)
            near = self._near.near(bare) if bare != typed and len(bare) >= _LEAST_RUN else {}
            if near and NEVER_READ.isdisjoint(near):
                return {(w if ending == "s" else w.removesuffix("e")) + ending: cost
                        for w, cost in near.items()}  # fmt: skip
        return {}

    def knows(self, word: str) -> bool:
        """Return whether ``word`` is known, or another form of a known word."""
        word = word.removesuffix("'s")
        return word in self._known or not self._known.isdisjoint(regular_of(word))

    def joined(self, one: str, other: str) -> str:
        """Return the word that ``one`` and ``other`` are the halves of, ''."""
        whole = one + other
        halves = not (self.knows(one) and self.knows(other))
        return whole if halves and len(whole) >= _LEAST_RUN and whole in self._heard else ""

    def _form(self, typed: str) -> str:
        found = self._forms.get(typed, "")
        if not found and typed.endswith("s") and typed[:-1] in self._forms:
            return f"{self._forms[typed[:-1]]}s"
        return found

    def _apart(self, typed: str) -> str:
        """Return two words that were run together, with the space between them, ''."""
        if len(typed) < _LEAST_RUN:
            return ""
        found = []
        for k in range(2, len(typed) - 1):
            a, b = typed[:k], typed[k:]
            beside = min(len(a), len(b)) >= _LEAST_HALF and a in self._named and b in self._said
            if beside or (a, b) in self._pairs:
                found.append(f"{a} {b}")
        return found[0] if len(found) == 1 else ""


def _as_many(word: str, typed: str) -> str:
    """Return ``word`` as one or several, as ``typed`` is: 'engins' are engines."""
    several = typed.endswith("s") and not word.endswith("s")
    return f"{word}s" if several else word


_KEPT: WeakKeyDictionary[Bench, Spelling] = WeakKeyDictionary()
"""The spelling of each bench, kept as long as it lives."""


def as_meant(report: str, bench: Bench) -> AsMeant:
    """Return ``report`` with each word as meant, what was read so, and what is to be asked."""
    spelling = Spelling.of(bench)
    text = report.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    out: list[str] = []
    read: dict[str, str] = {}
    unsure: dict[str, tuple[str, ...]] = {}
    hits = list(_WORD.finditer(text))
    end, k = 0, 0
    while k < len(hits):
        hit = hits[k]
        typed, upto = hit[0], hit.end()
        if k + 1 < len(hits) and text[upto : hits[k + 1].start()] == " ":
            whole = spelling.joined(typed.lower(), hits[k + 1][0].lower())
            if whole:
                typed, upto, k = text[hit.start() : hits[k + 1].end()], hits[k + 1].end(), k + 1
                read[typed] = whole
        meant = (read[typed],) if typed in read else spelling.meant(typed.lower())
        if len(meant) == 1:
            read[typed] = meant[0]
        elif meant:
            unsure[typed] = tuple(dict.fromkeys(meant))
        out += [text[end : hit.start()], read.get(typed, typed)]
        end, k = upto, k + 1
    return AsMeant("".join([*out, text[end:]]), tuple(read.items()), tuple(unsure.items()))


def _words_of(texts: Iterable[str]) -> set[str]:
    return {word for text in texts for word in _LOWER.findall(text.lower())}
