"""Conditions of symptoms: their literals, the ways to know them true or false, and their order.

Strong Kleene logic with both sides kept apart: a condition is known true when one of its true
ways holds and known false when one of its false ways holds; neither means unknown, both means
that the findings are in conflict.  Every way is an AND of literals, each known true or false, so
a missing finding can satisfy nothing.
"""

from __future__ import annotations

import difflib
import itertools
from collections.abc import Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

from diagnose.errors import KnowledgeError, Problem
from diagnose.model import Condition, Library, Literal, Symptom

CAP = 64
"""Most ways one side of a symptom may have; beyond it the file should be split."""

Want = tuple[Literal, bool]
"""A literal and whether it must be known true (or known false)."""

LiteralKey = tuple[str, str, tuple[str, ...], str, bool, tuple[tuple[str, tuple[str, ...]], ...]]


class TooManyWaysError(Exception):
    """A condition has more than ``CAP`` ways on one side."""


def key_of(literal: Literal) -> LiteralKey:
    """Return what makes two literals the same test, wherever they are written."""
    state = tuple(sorted((d, tuple(sorted(v))) for d, v in literal.state.items()))
    return (
        literal.kind,
        literal.name,
        tuple(sorted(literal.value)),
        literal.at,
        literal.every,
        state,
    )


def literals_of(condition: Condition) -> Iterator[Literal]:
    """Yield every literal of ``condition``, as written, repeats included."""
    if isinstance(condition, Literal):
        yield condition
    else:
        for part in condition.parts:
            yield from literals_of(part)


def ways(condition: Condition, want: bool) -> tuple[tuple[Want, ...], ...]:
    """Return the shortest ways in which ``condition`` is known to be ``want``.

    Raises:
        TooManyWaysError: If there are more than ``CAP``.
    """
    found = _ways(condition, want)
    sets = [frozenset((key_of(lit), side) for lit, side in way) for way in found]
    kept: dict[frozenset[tuple[LiteralKey, bool]], tuple[Want, ...]] = {}
    for way, same in zip(found, sets, strict=True):
        if not any(other < same for other in sets):
            kept.setdefault(same, way)
    return tuple(kept.values())


def _ways(condition: Condition, want: bool) -> list[tuple[Want, ...]]:
    if isinstance(condition, Literal):
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
    seen: dict[tuple[LiteralKey, bool], Want] = {}
    for literal, side in a + b:
        seen.setdefault((key_of(literal), side), (literal, side))
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
        out += _shape_problems(symptom.when, symptom)
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
    name = literal.name
    if name in library.questions:
        classes: Iterable[str] = library.questions[name].classes
    elif name in library.checks:
        classes = library.checks[name].results
    else:
        return []
    known = tuple(classes)
    return [
        Problem(literal.origin, f"'{value}' is not a class of '{name}'{_near(value, known)}")
        for value in literal.value
        if value not in known
    ]


def _shape_problems(condition: Condition, symptom: Symptom) -> list[Problem]:
    if isinstance(condition, Literal):
        return []
    origin = condition.origin if condition.origin.file else symptom.origin
    if not condition.parts:
        return [Problem(origin, f"'{condition.op}' of symptom '{symptom.id}' has no conditions")]
    if condition.op == "not" and len(condition.parts) != 1:
        return [Problem(origin, f"'not' of symptom '{symptom.id}' takes exactly one condition")]
    return [p for part in condition.parts for p in _shape_problems(part, symptom)]


def _near(name: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(name, list(known), 1)
    return f"; did you mean '{near[0]}'? Correct the name." if near else ". Correct the name."
