"""What tank fed while something happened: told with it, told behind it, or changed to before it."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.whereabouts import WHERE, Named, Where
from diagnose.places import joint_positions

_SEVERAL = (
    r"both\s+(?!(?:the|of|engines?|sides?|mag|magnetos?|mags|gauges?|wings?|pumps?|lamps?|tanks?|"
    r"runs?)\b)"
)
_WHICH = rf"((?:{WHERE}\s+)+|{_SEVERAL})"
_NOT_FED = "".join(
    rf"(?<!\b{word} )" for word in ("lamp", "light", "gauge", "needle", "strainer", "carburettor")
)
"""'The light on the port inner' says whose light it is, not what it was fed from."""
_FED = re.compile(
    rf"{_NOT_FED}\b(?:on|(?:back|over) to|"
    r"(?:changed|switched|swapped|went|selector|turned|put|moved|changing|switching|swapping|"
    r"going)(?: over)?(?: it| them)?"
    rf"(?: from (?:the )?(?:{WHERE}\s+)+(?:tank )?)? ?(?:back |over )?(?:on )?to)"
    rf" (?:the )?{_WHICH}(?!(?:engine|motor)\b)(?:fuel )?(?:tank\b)?"
    rf"|\b{_WHICH}(?:tank )?(?:(?:was|is|had been) )?(?:selected|in use)\b"
    rf"|\bselect(?:ed|ing) (?:the )?{_WHICH}(?!(?:engine|motor|gauge)\b)(?:fuel )?(?:tank\b)?"
    rf"|\b{_WHICH}(?:tank )?(?:brought|brings|got|gets|cured|cures|restored) "
    r"(?:it|her|him|them|the engine)\b",
    re.IGNORECASE,
)
"""What fed: 'on the left', 'changed to the right', 'right tank selected', 'selector to both'."""
_NUMBER = re.compile(r"no\.?\s*\d|number\s+\w+")
_EACH = re.compile(r"\bon (?:either|each|any|both|all)(?: of)?(?: the)?(?: fuel)? tanks?\b")
"""What tells no one tank: 'faded on either tank'."""
_CHANGE = re.compile(
    r"\b(?:chang|switch|swapp|turn|mov|put|went|go(?:es|ing)|back|over)\w*\b(?:.*\b)?(?:to|on)\b"
)
"""What tells that another tank was put on, not which one fed before."""


_INTO = re.compile(
    rf"(?P<from>\b{WHERE}\b.*\btransfer\w*\b.*?)\b(?:in)?to (?:the )?(?:{WHERE}\s+)+(?:tank\b)?",
    re.IGNORECASE,
)
"""Where one tank gives its fuel to: 'no. 1 will not transfer into no. 2' tells of no. 1."""


def without_feeding(text: str) -> str:
    """Return ``text`` with 'on the right tank' blanked: it tells a state, not what is meant."""
    for told in (_FED, _EACH):
        text = told.sub(lambda hit: " " * len(hit[0]), text + " ")[: len(text)]
    return text


def without_goal(text: str) -> str:
    """Return ``text`` with the tank blanked that another transfers into: it is not meant."""
    blanked = _INTO.sub(
        lambda hit: hit["from"] + " " * (len(hit[0]) - len(hit["from"])), text + " "
    )
    return blanked[: len(text)]


def is_change(text: str) -> bool:
    """Return whether ``text`` tells that another tank was put on: 'changed to the right'."""
    return bool(_CHANGE.search(text))


def feeding(where: Where, text: str, engines: Collection[str] = ()) -> Mapping[str, str]:
    """Return the tank that feeds, where ``text`` says that the engine ran 'on' it.

    ``engines``: those spoken of; 'on the aux' of the right engine is the aux on its side.
    """
    on = _FED.search(text + " ")
    words = next(filter(None, on.groups())).strip().lower() if on else ""
    if words in joint_positions(where.bench.layout):
        return {"tank": words}
    said_tank = on is not None and " tank" in on[0]
    if _NUMBER.fullmatch(words) and not said_tank and where.one(f"{words} engine"):
        return {}  # 'surging on no. 2' is said of the engine where one is called so
    places, parts = where.bench.places, where.bench.layout.parts
    may = places.find_places(f"{words} tank").candidates if words else ()
    tanks = [p for p in may if p in places.tanks]
    sides = {parts[e].side for e in engines}
    if len(tanks) > 1:  # 'on the left' is the main where the tip tank gives its fuel to it
        feeds = {t for e in places.engines for t in places.fed_by(e, {})}
        tanks = [p for p in tanks if p in feeds] or tanks
    if len(tanks) > 1:
        tanks = [p for p in tanks if sides == {parts[p].side}]
    return {"tank": tanks[0]} if len(tanks) == 1 else {}


class WhatFed:
    """The tank that fed and what was set with it, from clause to clause of a sentence."""

    def __init__(self, where: Where) -> None:
        self.settings: dict[str, str] = {}
        self._where = where
        self._put_on: dict[str, str] = {}

    def end_sentence(self) -> None:
        """Forget the tank, unless it was what a sentence changed to and told no more of."""
        self.settings, self._put_on = self._put_on, {}

    def take(self, clause: Clause, engines: Collection[str]) -> None:
        """Hold the tank that ``clause`` says fed; ``engines``: those it speaks of."""
        told = feeding(self._where, clause.text, engines)
        if told or is_change(clause.text):  # 'back to left' may be of two tanks
            self.settings.pop("tank", None)
        self.settings |= told

    def of_side(
        self, settings: Mapping[str, str], places: Collection[str], clause: Clause
    ) -> Mapping[str, str]:
        """Return ``settings`` without a tank told of before that lies on no side of ``places``.

        'Port back to main and it ran.  Starboard ran on.'
        """
        parts = self._where.bench.layout.parts
        tank = settings.get("tank", "")
        sides = {parts[p].side for p in places if p in parts} - {""}
        other = tank in parts and parts[tank].side and sides and parts[tank].side not in sides
        if not other or feeding(self._where, clause.text):
            return settings
        return {d: v for d, v in settings.items() if d != "tank"}

    def put_on(self, clause: Clause) -> None:
        """Hold what ``clause`` changed to for the next sentence: it fed only from then on."""
        self._put_on = {**clause.settings, **self.settings}

    def of_the_tank_named(self, named: Sequence[Named]) -> None:
        """Hold the one tank ``named``, where a single engine was told of on a tank before.

        'Fades on the right, left is fine': with more engines 'left' may be one of these.
        """
        places = self._where.bench.places
        if "tank" not in self.settings or len(places.parts_of_kind(("engine",))) > 1:
            return
        tanks = {p for n in named for p in n.parts or self._where.one(f"{n.words} tank")}
        tanks &= set(places.tanks)
        if len(tanks) == 1:
            self.settings["tank"] = tanks.pop()
