"""What a symptom's condition comes down to: the signs each way needs, and whether they can meet.

A *way* is a set of literals, each known true or false, that makes the symptom known.  Symptoms
needed at the same place are replaced by their own ways, so that a clash shows through a chain.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from diagnose.model import STAGES, Library, Literal, narrower
from diagnose.rules.conditions import AtomKey, LiteralWay, TooManyWaysError, key_of, literal_ways

MOST_WAYS: Final = 400
"""Ways looked at for one symptom; beyond it the rest is let be, and nothing is said."""

Way = LiteralWay


class Expanded:
    """The ways of every symptom of a library, down to signs as far as the place is the same."""

    def __init__(self, library: Library) -> None:
        """Expand nothing yet."""
        self._library = library
        self._found: dict[tuple[str, bool], tuple[Way, ...] | None] = {}

    def of(self, symptom: str, side: bool) -> tuple[Way, ...] | None:
        """Return the ways in which ``symptom`` is known to be ``side``; None when too many."""
        key = (symptom, side)
        if key not in self._found:
            self._found[key] = self._expand(symptom, side)
        return self._found[key]

    def _expand(self, symptom: str, side: bool) -> tuple[Way, ...] | None:
        try:
            own = literal_ways(self._library.symptoms[symptom].when, side)
        except TooManyWaysError:
            return None
        out: dict[frozenset[tuple[AtomKey, bool]], Way] = {}
        for way in own:
            found = self.below(way)
            if found is None or len(out) + len(found) > MOST_WAYS:
                return None
            out |= {frozenset((key_of(lit), s) for lit, s in one): one for one in found}
        return tuple(out.values())

    def below(self, way: Way) -> tuple[Way, ...] | None:
        """Return the ways that ``way`` comes down to; None when too many."""
        choices: list[tuple[Way, ...]] = []
        for literal, wanted in way:
            below: tuple[Way, ...] | None = (((literal, wanted),),)
            if literal.kind == "symptom" and literal.at == "itself":
                below = self.of(literal.name, wanted)
            if below is None:
                return None
            choices.append(below)
        if math.prod(len(some) for some in choices) > MOST_WAYS:
            return None
        return tuple(
            tuple({(key_of(lit), s): (lit, s) for part in parts for lit, s in part}.values())
            for parts in itertools.product(*choices)
        )


@dataclass(frozen=True)
class Clash:
    """Two literals of one way that cannot both stand.

    ``opposite``: one finding would have to be and not be; otherwise two classes of one reading
    are wanted together.
    """

    one: Literal
    other: Literal
    opposite: bool


def clash(library: Library, way: Way) -> Clash | None:
    """Return what makes ``way`` impossible for findings that agree with each other."""
    plain = [
        (lit, side) for lit, side in way if not lit.every and lit.least == 1 and lit.kind == "sign"
    ]
    for (one, yes), (other, also) in itertools.combinations(plain, 2):
        if (one.name, one.at) != (other.name, other.at):
            continue
        if yes != also:
            true, false = (one, other) if yes else (other, one)
            if set(true.value) <= set(false.value) and narrower(true.state, false.state):
                return Clash(true, false, True)
        elif yes and not set(one.value) & set(other.value) and _one_reading(library, one, other):
            return Clash(one, other, False)
    return None


def _one_reading(library: Library, one: Literal, other: Literal) -> bool:
    """Return whether both literals can only speak of one and the same effect instance."""
    if one.at != "itself":
        return False
    question = library.questions.get(one.name)
    dims = library.effects[question.reads].depends_on if question else ()
    return all(len(one.state.get(d, ())) == 1 and one.state[d] == other.state.get(d) for d in dims)


def power_of(library: Library, literal: Literal) -> frozenset[str]:
    """Return the power bands in which the sign of ``literal`` can be read, or told of in a report.

    Nobody is asked to go and see how it runs in the cruise; whoever was there tells of it.
    """
    question = library.questions.get(literal.name)
    asked = question.stages if question and not question.heard else ()
    stages = asked or tuple(STAGES)
    return frozenset(STAGES[s] for s in stages)


class Given:
    """Which classes of which questions, and which results of which checks, the causes bring."""

    LEAST: Final = 0.3
    """A class counts as shown from this chance up: 'sometimes'."""

    def __init__(self, library: Library, causes: frozenset[str]) -> None:
        """Take the ``causes`` that can be at all."""
        self._library = library
        self._causes = causes

    @cached_property
    def values(self) -> frozenset[tuple[str, str]]:
        """Return (effect, value) of every row."""
        rows = (r for c in self._causes for r in self._library.causes[c].produces)
        return frozenset((r.effect, r.value) for r in rows)

    @cached_property
    def _bent(self) -> frozenset[tuple[str, str]]:
        tables = (d for c in self._causes for d in self._library.causes[c].distorts)
        return frozenset(
            (d.question, shown)
            for d in tables
            for _, shows in d.tables()
            for row in shows.values()
            for shown, p in row.items()
            if p >= self.LEAST
        )

    @cached_property
    def _results(self) -> frozenset[tuple[str, str]]:
        checks = (k for c in self._causes for k in self._library.causes[c].at_checks)
        return frozenset((k.check, k.result) for k in checks)

    def gives(self, literal: Literal) -> bool:
        """Return whether some cause, or a sound aeroplane, shows a class of the sign literal."""
        question = self._library.questions.get(literal.name)
        if question is None:
            usual = self._library.checks[literal.name].nothing_found
            return any(v == usual or (literal.name, v) in self._results for v in literal.value)
        effect = self._library.effects[question.reads]
        values = {effect.values[0], *(v for e, v in self.values if e == effect.id)}
        return any(
            (question.id, shown) in self._bent
            or any(question.shows[v].get(shown, 0.0) >= self.LEAST for v in values)
            for shown in literal.value
        )
