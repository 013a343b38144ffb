"""Which part a clause of a report speaks of, as far as it names one.

'No. 2 fuel pressure lamp' is said of an engine, 'port inner reads high' of a tank: the same words
mean what the question that hears them is asked at.  What stays unclear is asked, never guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.model import AEROPLANE

WHERE = (
    r"(?:nos?\.?\s*\d|number\s+(?:\d|one|two|three|four|five|six)|port|starboard|left|right|upper|lower"
    r"|stbd|lh|rh|inboard|outboard|inner|outer|middle|main|auxiliary|aux|reserve|header|tip|front|rear"
    r"|top(?= (?:wing )?tank))"
)
EITHER = "engine or tank"
"""What 'no. 3' names where both an engine and a tank are called so."""
KINDS = "engine|tank|cock|selector|strainer|pump|primer|booster"
"""Kinds of part as they are named behind a number or a side."""
_NAMED = re.compile(
    rf"\b((?:{WHERE}\s+)+)((?:fuel|electric|boost)\s+)?(?:({KINDS})\b)?", re.IGNORECASE
)


_LEFT = re.compile(
    r"\bleft(?= (?:off|open|out|loose|undone|outside|unlocked)\b)"
    r"|(?<=been )left\b|(?<=was )left(?= (?:on|in)\b)"
)
"""'Left' that is no side: 'the cap was left off'."""
_OWNED = re.compile(rf"\b({WHERE})'s\b", re.IGNORECASE)
"""'Left main's drinking for two' names the left main."""
_COCK = "-cock"
_COMPARED = re.compile(
    rf"\b(?:than|unlike) (?:the )?(?:{WHERE}\b ?)+"
    rf"|\b(?:below|above|under|over) (?:the )?(?:{WHERE} )*{WHERE}'s(?=$| (?:and|but|in|at|on)\b)",
    re.IGNORECASE,
)
"""What something else is held against: 'left drains faster than right', 'flow below no. 2's'."""
TANK = "tank"
_COUNTS = {"both": 2, "two": 2, "three": 3, "four": 4}
_ALL_OF = re.compile(
    rf"\b(?P<count>both|all(?: of)?(?: the)?(?: (?:two|three|four))?)(?: of)?(?: the)? "
    rf"(?P<where>(?:{WHERE} )*)(?P<kind>{KINDS})s\b",
    re.IGNORECASE,
)
_ONE_OF = re.compile(
    rf"\b(?:one|either)(?: or (?:the )?other)? of (?:the )?(?:(?P<count>two|three|four) )?"
    rf"(?:{WHERE} )*(?:fuel |boost |electric |pressure |warning |contents )*"
    r"(?:lamps|lights|gauges|needles|pointers|pressures|engines|tanks|strainers|pumps|boosters|cocks|"
    r"selectors|caps|vents)\b",
    re.IGNORECASE,
)
_EITHER = re.compile(
    rf"\b(?P<one>{WHERE}(?: (?:inner|outer|middle|main|aux|auxiliary))?) or (?:the )?"
    rf"(?P<other>\d(?!\d)|{WHERE}(?: (?:inner|outer|middle|main|aux|auxiliary))?)"
    rf"(?:\s+(?P<kind>{KINDS}))?(?=\s)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Named:
    """Words that name places, and the parts they name for sure (none where only a side is said).

    ``of_kind``: whether they are 'both engines' and the like, which no other kind of part is.
    """

    words: str
    parts: tuple[str, ...]
    of_kind: bool = False


class Where:
    """The places of one layout, as reports name them."""

    def __init__(self, bench: Bench) -> None:
        """Hold the layout and the words of the trade of ``bench``."""
        self.bench = bench
        # 'wobble pump' names its part where there is one of the kind it stands for
        kinds = {w.word: w.place for w in bench.library.words.trade if w.place}
        parts = {word: bench.places.parts_of_kind(kind) for word, kind in kinds.items()}
        # a cock that is the only one of its kind is named by that
        for kind in {p.kind for p in bench.layout.parts.values()}:
            if kind.endswith(_COCK):
                spelt = kind.removesuffix(_COCK).replace("-", "[ -]?")
                parts[f"{spelt} cock"] = bench.places.parts_of_kind(kind)
        self._alone = {word: only for word, only in parts.items() if len(only) == 1}

    def named(self, text: str) -> tuple[Named, ...]:
        """Return the places ``text`` (lower case) names, in order."""
        text = _OWNED.sub(r"\1", _LEFT.sub(" ", _COMPARED.sub(" ", text)))
        every = [self._every(hit) for hit in _ALL_OF.finditer(text)]
        text = _ALL_OF.sub(" ", text)
        found = [
            Named(hit[1].strip(), self.one(f"{hit[1]} {hit[2] or ''} {hit[3]}") if hit[3] else ())
            for hit in _NAMED.finditer(text + " ")
        ]
        alone = [
            Named(hit[0], only)
            for w, only in self._alone.items()
            for hit in re.finditer(rf"\b{w}\b", text)
        ]
        return tuple(dict.fromkeys((*every, *found, *alone)))

    def _every(self, hit: re.Match[str]) -> Named:
        """Return 'both engines', 'all four port tanks' as places, if the layout has so many."""
        kind, count = hit["kind"].lower(), _COUNTS.get(hit["count"].split()[-1].lower(), 0)
        found = self._all(hit["where"].strip(), kind)
        return Named(hit[0], found if count in (0, len(found)) else (), of_kind=True)

    @classmethod
    def is_all(cls, text: str, named: Sequence[Named]) -> bool:
        """Return whether ``text`` tells nothing but the places ``named``."""
        return not cls.without(text, named).strip()

    @staticmethod
    def without(text: str, named: Sequence[Named]) -> str:
        """Return ``text`` with the places ``named`` blanked."""
        for n in named:
            text = text.replace(n.words, " " * len(n.words), 1)
        kinds = rf"\b(?:{KINDS}|engines|tanks|both|the|on|of|in)\b"
        return re.sub(kinds, lambda hit: " " * len(hit[0]), text)

    def of(self, question: str, named: Sequence[Named], *, only: bool = False) -> tuple[str, ...]:
        """Return where ``question`` is asked among the places ``named``, () where that is unclear.

        A question that can be asked at one place only is asked there.  ``only``: several places
        are as unclear as none.
        """
        asked = self.bench.library.questions.get(question)
        if asked is None:
            return ()
        if AEROPLANE in asked.at:
            return (AEROPLANE,)
        every = self.bench.places.parts_of_kind(asked.at)
        if len(every) == 1:
            return every
        found = tuple(dict.fromkeys(p for n in named for p in self._near(n, asked.at, every)))
        return found if len(found) == 1 or not only else ()

    def among(self, question: str, named: Sequence[Named]) -> tuple[str, ...]:
        """Return the places of ``question`` that a side named may mean: 'port' of four engines."""
        asked = self.bench.library.questions.get(question)
        if asked is None or AEROPLANE in asked.at:
            return ()
        may = {p for n in named for kind in asked.at for p in self._all(n.words, kind)}
        return _ordered(tuple(may), self.bench.places.parts_of_kind(asked.at))

    def one_of(self, question: str, text: str) -> tuple[str, ...]:
        """Return the places at one of which ``text`` says it was, not known which; else ().

        'One of the two lamps on the port side', 'no. 1 or no. 2 engine'.
        """
        asked = self.bench.library.questions.get(question)
        if asked is None or AEROPLANE in asked.at:
            return ()
        every = self.bench.places.parts_of_kind(asked.at)
        either = _EITHER.search(text + " ")
        if either is not None:
            both = self.named(f"{either['one']} {either['kind'] or ''}")
            other = either["other"]
            other = f"no {other}" if other.isdigit() else other  # 'no. 1 or 2'
            both += self.named(f"{other} {either['kind'] or ''}")
            found = [p for n in both for p in self._near(n, asked.at, every)]
            return _ordered(found, every) if len(set(found)) == 2 else ()
        listed = _ONE_OF.search(text)
        if listed is None:
            return ()
        sides = [n.words for n in self.named(text)]
        found = [p for side in sides for kind in asked.at for p in self._all(side, kind)]
        places = _ordered(found if sides else every, every)
        count = {"two": 2, "three": 3, "four": 4}.get(listed["count"] or "", len(places))
        return places if len(places) == count and count > 1 else ()

    def _all(self, words: str, kind: str) -> tuple[str, ...]:
        """Return every part of ``kind`` that ``words`` may mean, all of them without words."""
        of_kind = self.bench.places.parts_of_kind(kind)
        if not words:
            return tuple(of_kind)
        match = self.bench.places.find_places(f"{words} {kind.replace('-', ' ')}")
        return tuple(p for p in match.candidates if p in of_kind)

    def _near(self, named: Named, kinds: Sequence[str], every: Sequence[str]) -> Iterator[str]:
        """Yield the parts of ``kinds`` that ``named`` speaks of."""
        parts = self.bench.layout.parts
        for part in named.parts:
            if part in every:
                yield part
            elif parts[part].of in every:  # the engine of the pump that was named
                yield parts[part].of
            else:  # the strainer of the engine that was named
                yield from (p for p in every if parts[p].of == part)
        if not named.parts and not named.of_kind:
            for kind in kinds:
                only = self.one(f"{named.words} {kind.replace('-', ' ')}")
                yield from (p for p in only if p in every)

    def names(self, text: str, named: Sequence[Named]) -> Mapping[tuple[int, int], str]:
        """Return where the places ``named`` stand in ``text`` and what they name besides.

        A gauge of a tank is its contents gauge, and so is every 'fuel gauge'; any other gauge of
        an engine is its pressure gauge, but a side alone, where tanks stand too, names neither.
        '' for an engine itself, ``EITHER`` for a number that both an engine and a tank have.
        """
        out: dict[tuple[int, int], str] = {}
        for n in named:
            at = text.find(n.words)
            gauge = re.match(r"\s+(fuel )?(?:gauge|needle)\b", text[at + len(n.words) :])
            end = at + len(n.words) + (gauge.end() if gauge else 0)
            parts = n.parts or tuple(
                p for kind in ("engine", "tank") for p in self.one(f"{n.words} {kind}")
            )
            kinds = {self.bench.layout.parts[p].kind for p in parts}
            if at >= 0 and gauge and gauge[1]:
                out[at, end] = "contents-gauge"
            elif (
                at >= 0 and gauge and not n.parts and "engine" in kinds and self._all(n.words, TANK)
            ):
                continue
            elif at >= 0 and len(kinds) == 1:
                if kinds == {"engine"}:
                    out[at, end] = "fuel-pressure" if gauge else ""
                elif gauge and "tank" in "".join(kinds):
                    out[at, end] = "contents-gauge"
            elif at >= 0 and "engine" in kinds and not gauge:
                out[at, end] = EITHER
        return out

    def one(self, words: str) -> tuple[str, ...]:
        """Return the one part that ``words`` mean, () where they do not mean one for sure."""
        part = self.bench.places.find_places(words).part
        return (part,) if part else ()


def _ordered(found: Sequence[str], every: Sequence[str]) -> tuple[str, ...]:
    return tuple(p for p in every if p in found)
