"""What a part is called, and which parts free words may mean.

Number and position are printed together, always; words that fit several parts are not guessed at:
the answer lists the parts and says what to ask.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from diagnose.counted import whole_number
from diagnose.model import AEROPLANE, COCKS, TANKS, Layout, Part, TradeWord

_SAME = {
    "left": "port", "l": "port", "lh": "port",
    "right": "starboard", "stbd": "starboard", "rh": "starboard",
    "center": "centre", "central": "centre",
    "outboard": "outer", "inboard": "inner", "mid": "middle", "top": "upper",
    "motor": "engine", "engines": "engine", "tanks": "tank", "aux": "auxiliary",
    "carb": "carburettor", "carburetor": "carburettor", "filter": "strainer",
    "light": "lamp", "crossfeed": "cross-feed", "aircraft": AEROPLANE, "airplane": AEROPLANE,
}  # fmt: skip
_NUMBERS = {w: n for n, w in enumerate(("one", "two", "three", "four", "five", "six"), 1)}
_IDLE = frozenset({"the", "a", "of", "on", "in", "at", "side", "hand", "s", "its", "to", "and"})
_SOFT = frozenset({"fuel", "main"})  # dropped when they leave nothing: 'fuel filter'
_LEADS = re.compile(r" (?:to|from) ")
_NUMBER_SIGN = re.compile(
    r"(?:\b(?:number|no|nr)\b\.?|#)\s*(?=\d|one|two|three|four|five|six)|\bno(?=\d)"
)


@dataclass(frozen=True)
class PlaceMatch:
    """The parts that free words may mean, in file order.

    ``ask``: where the words alone do not settle it, the question to put, or that nothing fits.
    """

    candidates: tuple[str, ...]
    ask: str = ""

    @property
    def part(self) -> str:
        """Return the one part that is meant, '' where that is unclear."""
        return self.candidates[0] if len(self.candidates) == 1 else ""


class Naming:
    """Labels of the parts of one layout, and the way back from words to parts."""

    def __init__(
        self,
        layout: Layout,
        owners: Callable[[str], tuple[str, ...]],
        trade: Iterable[TradeWord],
    ) -> None:
        """Take ``owners(part)``, what a part belongs to, nearest first, and words for kinds."""
        self._trade = [
            (re.compile(rf"\b{re.escape(w.word.lower())}\b"), w.place)
            for w in sorted(trade, key=lambda w: -len(w.word))
            if w.place
        ]
        self.layout = layout
        self._owners = owners
        self._labels = {p: self._label(layout.parts[p]) for p in layout.parts}
        self._place_names = frozenset(w for p in layout.parts.values() for w in _place_words(p))
        self._own = {p.id: self._own_words(p) for p in layout.parts.values()}
        self._heads = {p.id: self._own_words(p, _head(p.name)) for p in layout.parts.values()}
        self._told_by = {p: self._numbers_and_words(p) for p in layout.parts}

    # ------------------------------------------------------------------ part -> words

    def label(self, part: str) -> str:
        """Return the name of ``part`` for people, with number, side and position together."""
        return self._labels[part]

    def _label(self, part: Part) -> str:
        if part.number is not None:
            return f"no. {part.number} {part.name}{self._where(part)}"
        for owner in self._owners(part.id):
            if self.layout.parts[owner].number is not None:
                return f"{part.name} of {self._label(self.layout.parts[owner])}"
        return part.name + self._where(part)

    @staticmethod
    def _where(part: Part) -> str:
        said = {_SAME.get(w, w) for w in _words(part.name)}
        # of one alone in the middle nobody says so; of three engines the second is told by it
        alone = part.side == "centre" and part.number is None
        side = "" if alone or part.side in said else part.side
        position = "" if set(_words(part.position)) <= said else part.position
        where = " ".join(w for w in (side, position) if w)
        return f" ({where})" if where else ""

    # ------------------------------------------------------------------ words -> part

    def find(self, text: str) -> PlaceMatch:
        """Return the parts that ``text`` may mean.

        A bare side or number ('left', 'number two') names engines, tanks and cocks alike and is
        questioned unless only one of them fits.
        """
        if text.strip() in self.layout.parts:
            return PlaceMatch((text.strip(),))
        number, wanted = self._wanted(text)
        if number is None and not wanted:
            return PlaceMatch((), f"'{text}' names no place. Which part is meant?")
        found = self._fitting(number, wanted)
        while not found and (soft := wanted & _SOFT) and wanted != soft:
            wanted -= soft
            found = self._fitting(number, wanted)
        if not found:
            return PlaceMatch((), f"No part here fits '{text}'. Which part is meant?")
        if len(found) == 1:
            return PlaceMatch(found)
        choices = "; ".join(self.label(p) for p in found)
        return PlaceMatch(found, f"'{text}' may mean: {choices}. Which one?")

    def _wanted(self, text: str) -> tuple[int | None, frozenset[str]]:
        low = _NUMBER_SIGN.sub("", text.lower())
        for term, place in self._trade:
            low = term.sub(place, low)
        number: int | None = None
        out: set[str] = set()
        for word in _words(low):
            counted = _NUMBERS.get(word, whole_number(word))
            if counted is not None:
                number = counted
            elif word not in _IDLE:
                out.update(_words(_SAME.get(word, word)))
        return number, frozenset(out)

    def _fitting(self, number: int | None, wanted: frozenset[str]) -> tuple[str, ...]:
        fits = [p for p in self.layout.parts.values() if self._fits(p.id, number, wanted)]
        nouns = wanted - self._place_names
        if not nouns:  # only a side, a position or a number was said
            major = ("engine", *TANKS, *COCKS)
            return tuple(p.id for p in fits if p.kind in major)
        # A hose 'to the engine pump' is no pump.  What the words name outranks what only belongs
        # to it; named in full outranks in part; and the part itself outranks what hangs on it: an
        # engine, not its pump or its gauge; a sender, not the sender wiring.
        fits = [p for p in fits if nouns & self._heads[p.id] or not nouns & self._own[p.id]]
        fits = [p for p in fits if nouns <= self._own[p.id]] or fits
        fits = [p for p in fits if frozenset(_words(p.kind)) <= wanted] or fits
        fits = [p for p in fits if _noun(p.name) in wanted] or fits
        found = {p.id for p in fits}
        return tuple(p.id for p in fits if found.isdisjoint(self._owners(p.id)))

    def _fits(self, part: str, number: int | None, wanted: frozenset[str]) -> bool:
        numbers, words = self._told_by[part]
        return (number is None or number in numbers) and wanted <= words

    def _numbers_and_words(self, part: str) -> tuple[frozenset[int | None], frozenset[str]]:
        """Return the numbers and the words by which a part is told, with those of its owners."""
        line = [self.layout.parts[p] for p in (part, *self._owners(part))]
        words = (w for p in line for w in (*self._own[p.id], *_place_words(p)))
        return frozenset(p.number for p in line), frozenset(words)

    @staticmethod
    def _own_words(part: Part, name: str = "") -> frozenset[str]:
        words = (*_words(name or part.name), *_words(part.kind))
        return frozenset(_SAME.get(w, w) for w in words)


def _head(name: str) -> str:
    """Return a name without where the part leads: 'hose' of 'hose to the engine pump'."""
    return _LEADS.split(name)[0]


def _noun(name: str) -> str:
    """Return the word of a name that says what it is: 'wiring' of 'sender wiring'."""
    word = _words(_head(name))[-1]
    return _SAME.get(word, word)


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z]+|\d+", text.lower())


def _place_words(part: Part) -> tuple[str, ...]:
    return (*_words(part.side), *_words(part.position))
