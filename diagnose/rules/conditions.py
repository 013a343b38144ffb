"""Conditions of symptoms: their literals, the ways to know them true or false, and their order.

Strong Kleene logic with both sides kept apart: a condition is known true when one of its true
ways holds and known false when one of its false ways holds; neither means unknown, both means
that the findings are in conflict.  Every way is an AND of literals, each known true or false, so
a missing finding can satisfy nothing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import replace
from graphlib import CycleError, TopologicalSorter

from diagnose.errors import KnowledgeError, Problem, did_you_mean
from diagnose.model import (
    ONE_STATE,
    Combination,
    Condition,
    Library,
    Literal,
    Symptom,
    literals_of,
)

CAP = 64
"""Most ways one side of a symptom may have; beyond it the file should be split."""

Atom = Condition
"""What a rule tests as one fact: a literal, or conditions that are to meet in one run state."""

Want = tuple[Atom, bool]
"""An atom and whether it must be known true (or known false)."""

LiteralWay = tuple[tuple[Literal, bool], ...]
"""Literals, each known true or false, that make a condition known."""

AtomKey = tuple[Hashable, ...]


class TooManyWaysError(Exception):
    """A condition has more than ``CAP`` ways on one side."""


def key_of(condition: Condition) -> AtomKey:
    """Return what makes two conditions the same test, wherever they are written."""
    if isinstance(condition, Combination):
        return (condition.op, *(key_of(part) for part in condition.parts))
    literal = condition
    state = tuple(sorted((d, tuple(sorted(v))) for d, v in literal.state.items()))
    return (
        literal.kind,
        literal.name,
        tuple(sorted(literal.value)),
        literal.at,
        literal.every,
        literal.least,
        state,
    )


def atoms_of(condition: Condition) -> Iterator[Atom]:
    """Yield every atom of ``condition``, as written, repeats included."""
    if isinstance(condition, Literal) or condition.op == ONE_STATE:
        yield condition
    else:
        for part in condition.parts:
            yield from atoms_of(part)


def inside(atom: Atom) -> Condition:
    """Return what must be met within one run state, or the literal that ``atom`` is."""
    if isinstance(atom, Literal):
        return atom
    return replace(atom, op="all")


def words_of(condition: Condition, holds: bool = True) -> str:
    """Return ``condition`` known to hold, or not, in the ids of its signs and symptoms."""
    if isinstance(condition, Literal):
        state = ", ".join(f"{d} {'/'.join(v)}" for d, v in condition.state.items())
        where = "" if condition.at == "itself" else f" at {condition.at}"
        if condition.least > 1:
            where += f", {condition.least} or more"
        return (
            f"{condition.name}{', everywhere,' if condition.every else ''}"
            f" is {'' if holds else 'not '}{' or '.join(condition.value)}{where}"
            + (f" [{state}]" if state else "")
        )
    if condition.op == "not":
        return words_of(condition.parts[0], not holds)
    if condition.op == ONE_STATE:
        return f"{'' if holds else 'not '}in one run state: {words_of(inside(condition))}"
    joint = " and " if (condition.op == "all") == holds else ", or "
    parts = [words_of(part, holds) for part in condition.parts]
    text = joint.join(parts)
    return f"({text})" if len(parts) > 1 and joint == ", or " else text


def ways(condition: Condition, want: bool) -> tuple[tuple[Want, ...], ...]:
    """Return the shortest ways in which ``condition`` is known to be ``want``.

    Raises:
        TooManyWaysError: If there are more than ``CAP``.
    """
    found = _ways(condition, want)
    sets = [frozenset((key_of(lit), side) for lit, side in way) for way in found]
    kept: dict[frozenset[tuple[AtomKey, bool]], tuple[Want, ...]] = {}
    for way, same in zip(found, sets, strict=True):
        if not any(other < same for other in sets):
            kept.setdefault(same, way)
    return tuple(kept.values())


def literal_ways(condition: Condition, want: bool) -> tuple[LiteralWay, ...]:
    """Return the ways of ``condition`` down to literals, wherever their run states must be one.

    Raises:
        TooManyWaysError: If there are more than ``CAP``.
    """
    out: list[LiteralWay] = []
    for way in ways(condition, want):
        each = [_opened(atom, side) for atom, side in way]
        if len(out) + math.prod(len(some) for some in each) > CAP:
            raise TooManyWaysError
        out += [tuple(itertools.chain(*parts)) for parts in itertools.product(*each)]
    return tuple(out)


def _opened(atom: Atom, side: bool) -> tuple[LiteralWay, ...]:
    if isinstance(atom, Literal):
        return (((atom, side),),)
    return literal_ways(inside(atom), side)


def _ways(condition: Condition, want: bool) -> list[tuple[Want, ...]]:
    if isinstance(condition, Literal) or condition.op == ONE_STATE:
        return [((condition, want),)]
    if condition.op == "not":
        return _ways(condition.parts[0], not want)
    parts = [_ways(part, want) for part in condition.parts]
    if (condition.op == "all") != want:
        # 'any' known true, or 'all' known false: one part is enough.
        return _capped([way for part in parts for way in part])
    out: list[tuple[Want, ...]] = [()]
    for part in parts:
        out = _capped([_joined(a, b) for a, b in itertools.product(out, part)])
    return out


def _joined(a: tuple[Want, ...], b: tuple[Want, ...]) -> tuple[Want, ...]:
    seen: dict[tuple[AtomKey, bool], Want] = {}
    for atom, side in a + b:
        seen.setdefault((key_of(atom), side), (atom, side))
    return tuple(seen.values())


def _capped(out: list[tuple[Want, ...]]) -> list[tuple[Want, ...]]:
    if len(out) > CAP:
        raise TooManyWaysError
    return out


def strata(symptoms: Mapping[str, Symptom]) -> tuple[tuple[str, ...], ...]:
    """Return the symptoms in layers, each resting only on layers before it; ids sorted.

    Raises:
        KnowledgeError: If symptoms rest on each other in a loop; the loop and its files are named.
    """
    below = {
        s.id: sorted({lit.name for lit in literals_of(s.when) if lit.kind == "symptom"})
        for s in symptoms.values()
    }
    try:
        order = tuple(TopologicalSorter(below).static_order())
    except CycleError as error:
        # graphlib lists the loop from what is needed to what needs it, first and last the same.
        loop = list(reversed(error.args[1]))
        text = " -> ".join(loop)
        raise KnowledgeError(
            Problem(
                symptoms[name].origin,
                f"symptom '{name}' rests on itself: {text}. Break the loop in one of these files.",
                "loop",
            )
            for name in set(loop)
        ) from error
    level: dict[str, int] = {}
    for name in order:
        level[name] = 1 + max((level[lower] for lower in below[name]), default=-1)
    count = 1 + max(level.values(), default=-1)
    return tuple(tuple(sorted(n for n in level if level[n] == k)) for k in range(count))


def problems_in(library: Library) -> list[Problem]:
    """Return what makes the rules unusable: unknown names, conditions of no sense."""
    out: list[Problem] = []
    for symptom in library.symptoms.values():
        out += _shape_problems(symptom.when, symptom, library)
        for literal in literals_of(symptom.when):
            if literal.kind == "symptom":
                out += _unknown(literal, "symptom", library.symptoms)
            else:
                out += _unknown(literal, "question or check", _asked(library))
                out += _class_problems(literal, library)
        for name in (*symptom.points_to, *symptom.against, *symptom.never_with):
            if name not in library.causes:
                text = f"'{name}' is not a known cause{_near(name, library.causes)}"
                out.append(Problem(symptom.origin, text))
    for cause in library.causes.values():
        for row in cause.produces:
            if row.effect not in library.effects:
                near = _near(row.effect, library.effects)
                out.append(Problem(row.origin, f"'{row.effect}' is not a known effect{near}"))
        for table in cause.distorts:
            if table.question not in library.questions:
                near = _near(table.question, library.questions)
                text = f"'{table.question}' is not a known question{near}"
                out.append(Problem(table.origin, text))
    return out


def _asked(library: Library) -> Mapping[str, object]:
    return {**library.checks, **library.questions}


def _unknown(literal: Literal, what: str, known: Mapping[str, object]) -> list[Problem]:
    if literal.name in known:
        return []
    text = f"'{literal.name}' is not a known {what}{_near(literal.name, known)}"
    return [Problem(literal.origin, text)]


def _class_problems(literal: Literal, library: Library) -> list[Problem]:
    asked = library.questions.get(literal.name) or library.checks.get(literal.name)
    known = asked.answers if asked else literal.value
    text = f" is not a class of '{literal.name}'"
    return [
        Problem(literal.origin, f"'{value}'{text}{_near(value, known)}")
        for value in literal.value
        if value not in known
    ]


def _stateless(condition: Condition, symptom: Symptom, library: Library) -> list[Problem]:
    """Return what stands in an 'all-in-one-state' and is of no run state."""
    if isinstance(condition, Literal):
        if condition.kind == "sign" and condition.name not in library.checks:
            return []
        what = "symptom" if condition.kind == "symptom" else "check"
        origin, text = condition.origin, f"{what} '{condition.name}' is of no run state"
    elif condition.op != ONE_STATE:
        found = _shape_problems(condition, symptom, library)
        return found + [p for c in condition.parts for p in _stateless(c, symptom, library)]
    else:
        origin, text = condition.origin, f"one '{ONE_STATE}' cannot stand in another"
    return [
        Problem(
            origin, f"{text}; take it out of the '{ONE_STATE}' and join it by 'all'", "one-state"
        )
    ]


def _never_in_one_state(condition: Combination) -> Iterator[Problem]:
    """Yield the ways of an 'all-in-one-state' whose signs ask for different run states."""
    for way in ways(inside(condition), True):
        signs = [atom for atom, _ in way if isinstance(atom, Literal)]
        for one, other in itertools.combinations(signs, 2):
            for d in sorted(one.state.keys() & other.state.keys()):
                if not set(one.state[d]) & set(other.state[d]):
                    text = (
                        f"'{one.name}' with {d} {' or '.join(one.state[d])} and '{other.name}' with"
                        f" {d} {' or '.join(other.state[d])} can never be of one run state; correct"
                        f" 'state', or join them by 'all'"
                    )
                    yield Problem(other.origin, text, "one-state")


def _shape_problems(condition: Condition, symptom: Symptom, library: Library) -> list[Problem]:
    if isinstance(condition, Literal):
        return []
    origin = condition.origin if condition.origin.file else symptom.origin
    if not condition.parts:
        return [Problem(origin, f"'{condition.op}' of symptom '{symptom.id}' has no conditions")]
    if condition.op == "not" and len(condition.parts) != 1:
        return [Problem(origin, f"'not' of symptom '{symptom.id}' takes exactly one condition")]
    if condition.op == ONE_STATE:
        found = [p for part in condition.parts for p in _stateless(part, symptom, library)]
        return found or list(_never_in_one_state(condition))
    return [p for part in condition.parts for p in _shape_problems(part, symptom, library)]


def _near(name: str, known: Iterable[str]) -> str:
    return f"{did_you_mean(name, known)} Correct the name."
