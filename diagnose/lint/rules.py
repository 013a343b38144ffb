"""Rules that say nothing: dead, out of reach, never true, written twice, naming nobody."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.lint.base import Base, OnLayout, listed
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.conditions import Expanded, Given, Way, clash, power_of
from diagnose.model import Literal, Symptom, literals_of
from diagnose.rules.conditions import TooManyWaysError, key_of, literal_ways
from diagnose.rules.naming import causes_named

NOWHERE = code(
    "RULE-01",
    "rule that no layout has a place for",
    means="A symptom is asked at a kind of part that no layout has.",
    matters="It is read, translated and reviewed, and can never speak.",
    do="Correct 'at', add the layout it is for, or retire the rule.",
)
SILENT = code(
    "RULE-02",
    "rule that concludes nothing",
    means="A symptom points to nothing, speaks against nothing, warns of nothing and stops nothing,"
    " and no other symptom rests on it.",
    matters="Whether it holds makes no difference to anybody.",
    do="Say what it points to, or let another symptom use it, or delete it.",
)
UNREACHABLE = code(
    "RULE-03",
    "rule that can never be true",
    means="In every way of its condition something cannot be had: two classes of one reading"
    " together, a reading in a state it is never taken in, a related part no layout has.",
    matters="The rule is dead, though it looks alive.",
    do="Correct the class, the state or the relation that cannot be.",
)
BOTH = code(
    "RULE-04",
    "rule that is true only when it is false as well",
    means="Every way of its condition wants one finding to be and not to be.",
    matters="It can hold only when findings contradict each other, and is then true and false"
    " together.",
    do="Take one of the two conditions out.",
)
DEAD_WAY = code(
    "RULE-05",
    "alternative that can never be",
    means="One of several ways of a condition cannot be had; the others can.",
    matters="Whoever reads the rule believes that it covers a case which it does not.",
    do="Correct the alternative, or take it out.",
)
NOTHING_GIVES = code(
    "RULE-06",
    "symptom that nothing produces",
    means="Every way of its condition needs a sign that no cause of the knowledge gives.",
    matters="Either a failure mode is missing, or the rule speaks of something that never comes.",
    do="Add the row to the causes that give the sign, or correct the rule.",
)
NAMES_NOBODY = code(
    "RULE-07",
    "cause named where it can never be",
    means="A symptom points to a cause, or speaks against it, that has no part near the symptom's"
    " place on any layout.",
    matters="The name is read, and nothing follows from it.",
    do="Correct the name, or the place of the rule.",
)
TWICE = code(
    "RULE-08",
    "rule written twice",
    means="Two symptoms are asked at the same kind of place under the same condition.",
    matters="One of them will be corrected and the other forgotten.",
    do="Make one of the two; it may point to all causes of both.",
)


@finds(NOWHERE, SILENT, doing="rules: dead ones")
def dead(base: Base) -> Iterator[Found]:
    """Yield symptoms that cannot speak, or say nothing."""
    symptoms = base.library.symptoms
    rested_on = {
        lit.name for s in symptoms.values() for lit in literals_of(s.when) if lit.kind == "symptom"
    }
    for s in symptoms.values():
        if base.whole and not any(on.book.spots[s.id] for on in base.on.values()):
            text = (
                f"is asked at {' or '.join(s.at)}, which no layout has; correct 'at' or retire it"
            )
            yield base.found(NOWHERE, f"symptoms/{s.id}", text, s.origin, "at")
        says = (s.points_to, s.against, s.never_with, s.warns, s.before_run, s.stops)
        if not any(says) and s.id not in rested_on:
            text = (
                "points to nothing, speaks against nothing, warns of nothing, and no symptom rests"
                " on it; say what follows from it or delete it"
            )
            yield base.found(SILENT, f"symptoms/{s.id}", text, s.origin)


@finds(UNREACHABLE, BOTH, DEAD_WAY, doing="rules: out of reach")
def out_of_reach(base: Base) -> Iterator[Found]:
    """Yield symptoms, and single ways of them, that no agreeing findings can make true."""
    expanded = Expanded(base.library)
    for s in base.library.symptoms.values():
        on = [on for on in base.on.values() if on.book.spots[s.id]]
        item = f"symptoms/{s.id}"
        if not on or not base.whole:
            continue
        faults = [_own_fault(base, on, s, expanded.below(way)) for way in _own_ways(s)]
        dead = [f for f in faults if f]
        if dead and len(dead) < len(faults):
            own = {key_of(lit): lit.origin for lit in literals_of(s.when)}
            for literal, why, _ in {key_of(f[0]): f for f in dead}.values():
                origin = own.get(key_of(literal), s.origin)
                text = f"one alternative can never be: {why}; correct it or take it out"
                yield base.found(DEAD_WAY, item, text, origin)
        elif dead and all(opposite for _, _, opposite in dead):
            text = f"is true only when it is false as well: {dead[0][1]}; take one of the two out"
            yield base.found(BOTH, item, text, s.origin, "true-when")
        elif dead:
            text = f"can never be true: {dead[0][1]}; correct the class, the state or the relation"
            yield base.found(UNREACHABLE, item, text, s.origin, "true-when")


def _own_ways(symptom: Symptom) -> tuple[Way, ...]:
    try:
        return literal_ways(symptom.when, True)
    except TooManyWaysError:
        return ()


def _own_fault(
    base: Base, on: list[OnLayout], symptom: Symptom, below: tuple[Way, ...] | None
) -> _Fault | None:
    """Return why none of the ways that one way comes down to can be had; None when one can."""
    faults = [_fault(base, on, symptom, way) for way in below or ()]
    return faults[0] if faults and all(faults) else None


_Fault = tuple[Literal, str, bool]
"""(the literal at fault, why, whether it is wanted true and false together)."""


def _fault(base: Base, on: Iterable[OnLayout], symptom: Symptom, way: Way) -> _Fault | None:
    """Return why ``way`` cannot be had on any layout; None when it can."""
    found = clash(base.library, way)
    if found is not None:
        one, other = found.one, found.other
        if found.opposite:
            return one, f"{_said(one)} is wanted and not wanted", True
        return one, f"{_said(one)} and {_said(other)} are classes of one reading", False
    first: _Fault | None = None
    for layout in on:
        here = next((f for lit, _ in way if (f := _missing(base, layout, symptom, lit))), None)
        if here is None:
            return None
        first = first or here
    return first


def _missing(base: Base, on: OnLayout, symptom: Symptom, literal: Literal) -> _Fault | None:
    """Return why ``literal`` can never be known on one layout."""
    book, library = on.book, base.library
    if literal.kind == "sign":
        if "power" in literal.state:
            allowed, had = set(literal.state["power"]), power_of(library, literal)
            if not allowed & had:
                text = f"{_said(literal)} is never read at power {' or '.join(sorted(allowed))}"
                return literal, text, False
        question = library.questions.get(literal.name)
        for dimension, allowed_values in literal.state.items():
            needed = question.needs.get(dimension) if question else None
            if needed is not None and needed not in allowed_values:
                return literal, f"{_said(literal)} is only read with {dimension} {needed}", False
            weights = on.places.unstated.get(dimension, {})
            if weights and not any(weights.get(v) for v in allowed_values):
                values = " or ".join(allowed_values)
                return literal, f"no layout can have {dimension} {values}", False
    number = book.number_of(literal)
    spots = book.spots[symptom.id]
    places = max((len(book.asked_places(number, p)) for p in spots), default=0)
    if literal.at != "itself" and not places:
        return literal, f"'{literal.at}' leads nowhere from {' or '.join(symptom.at)}", False
    if spots and places < literal.least:
        text = f"{_said(literal)} is wanted at {literal.least} places and can be told at {places}"
        return literal, text, False
    return None


def _said(literal: Literal) -> str:
    if literal.kind == "symptom":
        return f"symptom '{literal.name}'"
    return f"'{literal.name}' {'/'.join(literal.value)}"


@finds(NOTHING_GIVES, doing="rules: symptoms nothing produces")
def nothing_gives(base: Base) -> Iterator[Found]:
    """Yield symptoms whose every way needs a sign that no cause gives."""
    expanded, given = Expanded(base.library), Given(base.library, base.used_causes)
    for s in base.library.symptoms.values():
        every = expanded.of(s.id, True)
        if not every or not base.whole:
            continue
        lacking = [
            next((x for x, side in w if side and x.kind == "sign" and not given.gives(x)), None)
            for w in every
        ]
        if all(lacking):
            signs = listed([_said(x) for x in lacking if x])
            text = f"rests on {signs}, which no cause gives; add the row to a cause or correct it"
            yield base.found(NOTHING_GIVES, f"symptoms/{s.id}", text, s.origin, "true-when")


@finds(NAMES_NOBODY, doing="rules: causes they name")
def names_nobody(base: Base) -> Iterator[Found]:
    """Yield causes named by a symptom that are never near its place."""
    if not base.whole:
        return
    for s in base.library.symptoms.values():
        keys = (
            ("points-to", s.points_to),
            ("speaks-against", s.against),
            ("never-with", s.never_with),
        )
        for key, names in keys:
            for number, name in enumerate(names):
                if name not in base.used_causes:
                    continue  # no layout has it at all, which is said of the cause
                near = (
                    causes_named(on.book, name, place, ())
                    for on in base.on.values()
                    for place in on.book.spots[s.id]
                )
                if not any(near):
                    text = (
                        f"'{name}' under {key} is never near {' or '.join(s.at)} on any layout;"
                        " correct the name or the place of the rule"
                    )
                    yield base.found(NAMES_NOBODY, f"symptoms/{s.id}", text, s.origin, key, number)


@finds(TWICE, doing="rules: written twice")
def written_twice(base: Base) -> Iterator[Found]:
    """Yield symptoms under the same condition at the same kind of place."""
    expanded = Expanded(base.library)
    first: dict[object, Symptom] = {}
    for s in base.library.symptoms.values():
        every = expanded.of(s.id, True)
        if every is None:
            continue
        same = frozenset(frozenset((key_of(x), side) for x, side in way) for way in every)
        other = first.setdefault((frozenset(s.at), same), s)
        if other is not s:
            text = f"has the condition of '{other.id}' ({other.origin}); make one of the two"
            yield base.found(TWICE, f"symptoms/{s.id}", text, s.origin, "true-when")
