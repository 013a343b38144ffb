"""Phrases found in what people say, whatever form their words take and whatever small words stand
between: 'tanks changed' in 'the tanks had just been changed'.

``<name>`` in a phrase stands for each phrase of the group of that name; a word behind ``=`` is
heard in that form only.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from diagnose.job.hearing.word_forms import root


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


_LIGHT = _set("a an the is are was were")
"""Small words that nobody needs to say: 'cap off' for 'the cap was off'."""
_UNSAID = _LIGHT | _set(
    "its his her my our their your be been being have has had do does did will would could may "
    "might shall should"
)
"""Small words that change nothing in a phrase: not needed where it lists them, passed over where
it does not."""
_JOINING = _set(
    "about above across after against along around as at before behind below between by down "
    "during for from in into near of off on onto out over past round since through till to toward "
    "under until up upon when while with within without"
)
"""Words that by themselves tell nothing of what was seen."""
_PASSED = _UNSAID | _set(
    "it she he they we i you this that these those them just very rather quite too so also again "
    "still always often sometimes now even almost nearly both each every really slightly slowly "
    "straight suddenly steadily gradually quickly badly somewhat fairly pretty bit little all only "
    "then simply completely totally definitely about soon first fuel strongly faintly strong faint "
    "left right port starboard inner outer inboard outboard auxiliary aux tip"
)
"""Words passed over between two words of a phrase, never a denial; a side is one: 'out of the left
vent'."""
FORM = "="
"""Before a word of which no other form is meant."""
_MOST_PASSED = 3
_LEAST = 2
"""Words of its own that a phrase keeps; with fewer it is heard with all its small words, and with
fewer that tell something with all but the lightest: 'to lean' is no 'had to lean'."""
_WORD = re.compile(r"[^\s-]+")
_GLUE = re.compile(r"[^\s-]-$")
_STOPS = ".,;:!?)'\""
_GROUP = re.compile(r"<([^<>]*)>")
_PART = re.compile(r"<[^<>]*>|[^\s<]+")


@dataclass(frozen=True)
class Hit:
    """``phrase`` as listed, found from character ``start`` to ``end``, by so many ``words``.

    ``exact``: whether in the very words of the list.
    """

    phrase: str
    start: int
    end: int
    words: int
    exact: bool


@dataclass
class _Node:
    """What may follow: roots of words, and groups of phrases; ``ends``: the phrases that end."""

    words: dict[str, _Node] = field(default_factory=dict)
    groups: dict[str, _Node] = field(default_factory=dict)
    ends: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class _Word:
    text: str
    root: str
    start: int
    end: int
    glued: bool  # to the word before it by a hyphen
    last: bool  # before a stop of some kind


class PhraseBook:
    """Phrases by the roots of their words."""

    def __init__(self, phrases: Iterable[str], groups: Mapping[str, Iterable[str]]) -> None:
        """Take in ``phrases`` (lower case, spaces for hyphens)."""
        self._top = _Node()
        self._last: tuple[str, list[Hit]] = "", []  # asked of one clause several times over
        self._groups: dict[str, _Node] = {}
        for name, each in groups.items():
            self._groups[name] = _Node()
            for one in each:
                _add(self._groups[name], one.lower().replace("-", " "))
        for phrase in phrases:
            _add(self._top, phrase)

    def found(self, text: str) -> list[Hit]:
        """Return where in ``text`` (lower case) the phrases stand, each as short as it may be."""
        if text == self._last[0]:
            return list(self._last[1])
        words = _words(text)
        out: dict[tuple[str, int], Hit] = {}
        for k, word in enumerate(words):
            if word.glued:
                continue
            for phrase, end, count in self._from(self._top, words, k, first=True):
                if end < len(words) and words[end].glued:
                    continue
                a, b = word.start, words[end - 1].end
                exact = text[a:b].replace("-", " ") == phrase
                hit = Hit(phrase, a, b, count, exact)
                kept = out.get((phrase, a))
                if kept is None or b < kept.end:
                    out[phrase, a] = hit
        self._last = text, list(out.values())
        return list(out.values())

    def _from(
        self, node: _Node, words: list[_Word], k: int, *, first: bool
    ) -> Iterator[tuple[str, int, int]]:
        """Yield (phrase, where it ends, words of it) of what goes on at word ``k``."""
        if not node.words and not node.groups:
            return
        passed = 0
        while k < len(words):
            for key in (words[k].root, FORM + words[k].text):
                after = node.words.get(key)
                if after is None:
                    continue
                yield from ((phrase, k + 1, 1) for phrase in after.ends)
                onward = () if words[k].last else self._from(after, words, k + 1, first=False)
                for phrase, end, count in onward:
                    yield phrase, end, count + 1
            for name, next_ in node.groups.items():
                for _, end, count in self._from(self._groups[name], words, k, first=True):
                    yield from ((phrase, end, count) for phrase in next_.ends)
                    if words[end - 1].last:
                        continue
                    for phrase, last, more in self._from(next_, words, end, first=False):
                        yield phrase, last, count + more
            if first or passed == _MOST_PASSED or words[k].text not in _PASSED or words[k].last:
                return
            k, passed = k + 1, passed + 1


def each_way(phrase: str, groups: Mapping[str, Iterable[str]]) -> Iterator[str]:
    """Yield ``phrase`` as it may be said: each phrase of each group in it at least once."""
    names = _GROUP.findall(phrase)
    several = [list(groups[name]) for name in names]
    for k in range(max(map(len, several), default=1)):
        said = phrase
        for name, each in zip(names, several, strict=True):
            said = said.replace(f"<{name}>", each[k % len(each)], 1)
        yield said.replace(FORM, "")


def steps(phrase: str) -> tuple[str, ...]:
    """Return the parts by which ``phrase`` is found, word by word: roots, forms and groups."""
    parts = _PART.findall(phrase)
    told = [p for p in parts if p not in _UNSAID]
    bearing = [p for p in told if p not in _PASSED]  # 'as it should' is no 'as it'
    if len(bearing) < _LEAST:
        told = parts
    elif len([p for p in bearing if p not in _JOINING]) < _LEAST:
        told = [p for p in parts if p not in _LIGHT]
    return tuple(map(_key, told))


def _add(node: _Node, phrase: str) -> None:
    for step in steps(phrase):
        group = _GROUP.fullmatch(step)
        edges = node.groups if group else node.words
        node = edges.setdefault(group[1] if group else step, _Node())
    node.ends.append(phrase)


def _key(word: str) -> str:
    return word if word.startswith((FORM, "<")) else root(word)


def _words(text: str) -> list[_Word]:
    out = []
    for hit in _WORD.finditer(text):
        word = hit[0].rstrip(_STOPS)
        if word:
            glued = bool(_GLUE.search(text[: hit.start()][-2:]))
            stopped = word != hit[0]
            out.append(
                _Word(word, root(word), hit.start(), hit.start() + len(word), glued, stopped)
            )
    return out
