"""A gauge and a stick told side by side: 'gauge reads half, dipped a quarter' says who shows more.

Levels in words are parts of the tank; figures are compared only where both are in the same unit,
whichever gallon that is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.plain_words import plain_words
from diagnose.job.hearing.word_forms import NUMBERS

GAUGE, STICK = "gauge", "stick"
NO_UNIT = "#"
"""Unit of a figure told without one: that of the other, if it has one."""
_NAMES = {
    GAUGE: r"(?:contents |fuel |sight )?(?:gauges?|glass|sight tube)",
    STICK: r"(?:sticks?|dipsticks?|dip-sticks?|dips?|dipped)",
}
_PARTS = {
    "empty": 0.0, "bone dry": 0.0, "nothing": 0.0, "dry": 0.0, "an eighth": 1 / 8,
    "a quarter": 1 / 4, "quarter": 1 / 4, "a third": 1 / 3, "half": 1 / 2, "half full": 1 / 2,
    "half empty": 1 / 2, "a quarter full": 1 / 4, "a third full": 1 / 3, "two thirds": 2 / 3,
    "three quarters": 3 / 4, "full": 1.0, "brimful": 1.0, "hardly a gallon": 0.03,
    "barely a gallon": 0.03, "hardly anything": 0.03, "hardly any": 0.03, "next to nothing": 0.03,
}  # fmt: skip
_MORE = {"over": 1, "above": 1, "nearly": -1, "almost": -1, "barely": -1, "under": -1, "below": -1}
"""Words that put a level a little above or below what is named."""
_LITTLE = 0.05
_WORDS = {word: float(figure) for figure, word in NUMBERS.items()}
_IN_WORDS = "|".join(sorted(_WORDS, key=len, reverse=True))
_READ = plain_words(
    "say says said show shows showed showing read reads reading give gives gave giving at to is "
    "was stood stands only about around just barely still nearly over under by on the it out had"
)
"""Words between a name and a figure without a unit: 'gauge says fifteen'."""
_LEVEL = re.compile(
    rf"\b(?:(?P<more>{'|'.join(_MORE)}) )?"
    rf"(?:(?P<part>{'|'.join(sorted(_PARTS, key=len, reverse=True))})"
    rf"|(?P<figure>\d+(?:\.\d+)?|{_IN_WORDS}) (?P<unit>(?:imperial |imp |us )?(?:gallons?|gal)"
    r"|litres?|l)"
    rf"|(?<!no )(?P<bare>\d+(?:\.\d+)?|{_IN_WORDS})(?=$| (?:by|on|in|and|but|with|when) ))\b"
    r"(?! (?:more|less|over|under|above|below|short|an hour)\b)"
)
"""A level, and no difference of two: 'a quarter less than the stick'."""
_NAME = re.compile("|".join(rf"(?P<{what}>\b{words}\b)" for what, words in _NAMES.items()))
_NEAR = 40
"""Characters between a name and its level, at most."""
_BEFORE = 3
"""Words before both in which a denial counts: 'should have dipped half'."""
_BY = re.compile(r"\b(?:by|on|at|of)(?: the| its)? *$")
"""Before a name whose level stands in front: 'half by the stick'."""
_DENIED = re.compile(r"\b(?:not|never|no|should|would|will|stuck|stays|stayed|whatever)\b")


_APART = re.compile(r"\b(?:with|when|while|though|although|if)\b")
"""Between a gauge and what is told of the tank itself."""


_ONLY_DIPPED = re.compile(r"(?:(?:i|we|he|she|they|but|just|then) )*dipped(?: (?:[a-z]+)){0,4}$")
"""A clause that tells of a stick and leaves the level to the next one: 'I dipped the left tank'."""


@dataclass(frozen=True)
class Level:
    """``amount`` that a gauge or a stick was told to show, in ``unit`` ('' for parts of a tank)."""

    what: str
    amount: float
    unit: str
    words: str


_KNOWN = (
    (0.0, re.compile(
        r"\b(?:ran|run|running) (?:out of (?:fuel|petrol|gas)|(?:bone )?dry)\b"
        r"|\btank (?:is|was) (?:(?:found|quite) )?(?:empty|(?:bone )?dry)\b")),
    (1.0, re.compile(
        r"\btank (?:is|was) (?:(?:just|still) )?"
        r"(?:brimmed|brim ?full|full to the (?:brim|neck|top))\b")),
)  # fmt: skip
"""What tells of an empty tank, or of one filled up, without a stick."""


_OUT_OF = re.compile(
    r"\b(?:ran|runs?|running) out (?:(?:of|at|from|through|by) )"
    r"(?!(?:fuel|petrol|gas|gasoline|avgas|juice|it)\b)"
)
"""What tells that fuel comes out of something: 'runs out of the vent' is no empty tank."""


def comes_out_of_it(text: str, told: str) -> bool:
    """Return whether ``told`` of ``text`` is fuel that runs out of a part, and not a tank run dry.

    Where a tank ran dry besides, it is told in words of its own.
    """
    out = _OUT_OF.search(text)
    return out is not None and out[0].startswith(told)


def by_the_gauge(text: str, told: str) -> bool:
    """Return whether what ``told`` says of a tank in ``text`` is what a gauge shows.

    'Gauge showed the right tank half full', and not 'gauge at half with the tank dry'.
    """
    before = text.partition(told)[0]
    names = list(_NAME.finditer(text))
    if any(name.lastgroup == STICK for name in names):
        return False
    ends = [name.end() for name in names if name.end() <= len(before)]
    return bool(ends) and not _APART.search(before[ends[-1] :])


class SideBySide:
    """What was told last of a gauge and of a stick, from clause to clause."""

    def __init__(self) -> None:
        self._told: dict[str, tuple[int, Level]] = {}  # in which sentence
        self._dipped = -1  # the sentence of a stick of which no level is told yet

    @property
    def asks_for_a_level(self) -> bool:
        """Return whether the clause taken last told of a stick and left the level to the next."""
        return self._dipped >= 0

    def take(self, clause: Clause) -> tuple[bool, list[tuple[int, str]]]:
        """Return whether ``clause`` tells a level, and which of the two shows more.

        Both are held against each other where they stand in one sentence or two: 1 where the
        gauge shows more, -1 less, 0 as much, each time with the words it was told in.
        """
        out: list[tuple[int, str]] = []
        levels = list(levels_told(clause.text, dipped=self._dipped == clause.sentence))
        self._dipped = clause.sentence if not levels and _ONLY_DIPPED.match(clause.text) else -1
        for level in levels:
            self._told[level.what] = clause.sentence, level
            both = [self._told.get(what) for what in (GAUGE, STICK)]
            told = [x for x in both if x and x[0] >= clause.sentence - 1]
            more = shows_more(told[0][1], told[1][1]) if len(told) == len(both) else None
            if more is not None:
                out.append((more, ", ".join(x[1].words for x in told)))
                self._told.clear()
        return bool(levels), out


def levels_told(text: str, *, dipped: bool = False) -> Iterator[Level]:
    """Yield the levels ``text`` (lower case) tells of a gauge or a stick, in its order.

    A tank that ran dry or was filled up stands in place of a stick.  ``dipped``: whether the words
    before it ask for a level: 'I dipped it and there is barely a quarter'.
    """
    names = list(_NAME.finditer(text))
    free = list(_LEVEL.finditer(text))
    if dipped and free and not names and not _DENIED.search(text[: free[0].start()]):
        yield Level(STICK, *_amount(free[0]), free[0][0])
    for name in names:
        behind = bool(_BY.search(text[: name.start()]))
        near = [level for level in free if _between(text, name, level, behind=behind) is not None]
        if not near:
            continue
        level = near[-1] if behind else near[0]
        free.remove(level)
        start, end = min(name.start(), level.start()), max(name.end(), level.end())
        if _DENIED.search(" ".join(text[:start].split()[-_BEFORE:])):
            continue
        yield Level(str(name.lastgroup), *_amount(level), text[start:end])
    for amount, known in _KNOWN:
        told = known.search(text)
        if told and not any(name.lastgroup == STICK for name in names):
            yield Level(STICK, amount, "", told[0])


def shows_more(gauge: Level, stick: Level) -> int | None:
    """Return 1 where the gauge shows more than the stick, -1 less, 0 as much.

    None where the two cannot be held against each other.
    """
    units = {gauge.unit, stick.unit}
    alike = len(units) == 1 or (NO_UNIT in units and "" not in units)
    if not alike and stick.amount:
        return None
    return (gauge.amount > stick.amount) - (gauge.amount < stick.amount)


def _between(text: str, name: re.Match[str], level: re.Match[str], *, behind: bool) -> str | None:
    """Return the words between a name and its level, None where they do not belong together."""
    if behind:
        words = text[level.end() : name.start()]
        fits = level.end() <= name.start()
    else:
        words = text[name.end() : level.start()]
        fits = name.end() <= level.start()
    fits = fits and len(words) <= _NEAR and not _NAME.search(words) and not _DENIED.search(words)
    fits = fits and (not level["bare"] or set(words.split()) <= _READ)
    return words if fits else None


def _amount(level: re.Match[str]) -> tuple[float, str]:
    figure = level["figure"] or level["bare"]
    if figure:
        amount = _WORDS[figure] if figure in _WORDS else float(figure)
        return amount, (level["unit"] or NO_UNIT).rstrip("s")
    return _PARTS[level["part"]] + _LITTLE * _MORE.get(level["more"] or "", 0), ""
