"""A finding that reaches belief twice: by two ways, or under two names."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import Final

from diagnose.lint.base import Base, listed
from diagnose.lint.codes import Found, code, finds
from diagnose.model import Effect

TWO_WAYS = code(
    "TWICE-01",
    "cause that acts on one reading in two ways",
    means="A cause bends what an instrument shows and also produces the effect the instrument reads"
    " at the same place.",
    matters="One finding then counts for the cause twice: as true and as falsely shown.",
    do="Keep the one that is meant: an instrument fault distorts, any other fault produces.",
)
ONE_QUANTITY = code(
    "TWICE-02",
    "one physical quantity as two effects",
    means="Two effects at one kind of place have the same reading of the fuel-system model in a"
    " state that fits both.",
    matters="One look at one needle then counts as two independent findings.",
    do="Make one effect of them, or keep their states apart with 'depends-on' and 'stages'.",
)
SAME_QUESTION = code(
    "TWICE-03",
    "one observation asked as two questions",
    means="Two questions at one kind of place, read in a state that fits both and reading different"
    " effects, are asked in nearly the same words.",
    matters="A person answers the same thing twice and belief counts it twice.",
    do="Make one question of them, or say in the words what sets them apart.",
)
SAME_PROFILE = code(
    "TWICE-04",
    "two effects with the same causes",
    means="Two effects at one kind of place are given by exactly the same causes, with the same"
    " chances in the same states.",
    matters="They are one condition under two names; whoever sees it is counted twice.",
    do="Make one effect of them, read by both questions.",
)

LIKE: Final = 0.75
"""Share of words two questions have in common from which they are taken for one."""

_LITTLE: Final = "a an and are at did do does in is it its of on or the to was with"
_SMALL: Final = frozenset(_LITTLE.split())


@finds(TWO_WAYS, doing="belief: one reading in two ways")
def two_ways(base: Base) -> Iterator[Found]:
    """Yield causes that both distort a question and produce the effect it reads, at one place."""
    for cause in base.library.causes.values():
        for table in cause.distorts:
            question = base.library.questions[table.question]
            for row in cause.produces:
                if row.effect == question.reads and _meet(base, cause.id, row.origin):
                    text = (
                        f"distorts '{question.id}' (line {table.origin.line}) and produces"
                        f" '{row.effect}', which that question reads, at one place; keep one"
                    )
                    yield base.found(TWO_WAYS, f"causes/{cause.id}", text, row.origin)


def _meet(base: Base, cause: str, origin: object) -> bool:
    rows = [r for r in base.library.causes[cause].produces if r.origin == origin]
    return any(
        on.places.is_instrument_of(c.at, place)
        for on in base.on.values()
        for c in on.net.instances
        if c.cause == cause
        for row in rows
        for place in on.places.reach(row, c.at, {})
    )


@finds(ONE_QUANTITY, SAME_PROFILE, doing="belief: one condition under two names")
def two_effects(base: Base) -> Iterator[Found]:
    """Yield pairs of effects that are one quantity, or have one set of causes."""
    library = base.library
    profiles: dict[str, set[tuple[object, ...]]] = {e: set() for e in library.effects}
    for cause in library.causes.values():
        for row in cause.produces:
            when = tuple(sorted((d, tuple(sorted(v))) for d, v in row.when.items()))
            chances = tuple(sorted(row.how_often.items()))
            profiles[row.effect].add((cause.id, row.at, when, chances))
    for one, two in itertools.combinations(library.effects.values(), 2):
        if not set(one.at) & set(two.at):
            continue
        item = f"effects/{two.id}"
        if one.reading and one.reading == two.reading and _together(base, one, two):
            text = (
                f"is the reading '{two.reading}', as '{one.id}' ({one.origin}) is in the same"
                " state; make one effect of them or keep their states apart"
            )
            yield base.found(ONE_QUANTITY, item, text, two.origin, "reading")
        if profiles[one.id] and profiles[one.id] == profiles[two.id]:
            text = f"has the causes and chances of '{one.id}' ({one.origin}); make one of the two"
            yield base.found(SAME_PROFILE, item, text, two.origin)


def _together(base: Base, one: Effect, two: Effect) -> bool:
    """Return whether both effects are read at one place in one state of the aeroplane."""
    asked = base.library.questions
    for on in base.on.values():
        seen: dict[str, set[tuple[str, tuple[tuple[str, str], ...]]]] = {
            one.id: set(),
            two.id: set(),
        }
        for r in on.catalogue.readings:
            if asked[r.question].reads in seen:
                state = tuple(sorted(r.state.known().items()))
                seen[asked[r.question].reads].add((r.place, state))
        if seen[one.id] & seen[two.id]:
            return True
    return False


@finds(SAME_QUESTION, doing="belief: one observation asked twice")
def two_questions(base: Base) -> Iterator[Found]:
    """Yield pairs of questions that ask one thing and read two effects."""
    words = {q.id: _words(q.ask) for q in base.library.questions.values()}
    for one, two in itertools.combinations(base.library.questions.values(), 2):
        apart = one.stages and two.stages and not set(one.stages) & set(two.stages)
        if one.reads == two.reads or apart or not set(one.at) & set(two.at):
            continue
        common, every = words[one.id] & words[two.id], words[one.id] | words[two.id]
        if every and len(common) / len(every) >= LIKE:
            text = (
                f"asks what '{one.id}' ({one.origin}) asks ({listed(sorted(common))}) and reads"
                " another effect; make one of them or say what sets them apart"
            )
            yield base.found(SAME_QUESTION, f"questions/{two.id}", text, two.origin, "ask")


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"[a-z]+", text.lower())) - _SMALL
