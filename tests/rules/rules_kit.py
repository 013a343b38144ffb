"""Small libraries, layouts and relations for the tests of the rules; all of it invented."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from diagnose.errors import Origin, UsageError
from diagnose.model import (
    AEROPLANE,
    ONE_STATE,
    Cause,
    CauseAt,
    Check,
    Combination,
    Condition,
    Distorts,
    Effect,
    Finding,
    KnownBy,
    Layout,
    Library,
    Literal,
    Part,
    Produces,
    Question,
    State,
    Symptom,
    Words,
)

UNSTATED: Mapping[str, Mapping[str, float]] = {
    "power": {"none": 0.1, "cranking": 0.05, "low": 0.2, "mid": 0.35, "high": 0.3},
    "booster": {"off": 0.6, "on": 0.4},
    "crossfeed": {"shut": 0.95, "open": 0.05},
    "heat": {"cool": 0.75, "hot": 0.25},
}


# ------------------------------------------------------------------ layouts and relations


def two_sides(engines: int = 2) -> Layout:
    """One tank, strainer, pump and gauge per engine; a cross-feed joins the two sides."""
    parts = [Part(AEROPLANE, AEROPLANE, "aeroplane")]
    for n in range(1, engines + 1):
        side = "port" if n <= engines // 2 else "starboard"
        parts += [
            Part(f"engine-{n}", "engine", f"engine {n}", side=side),
            Part(f"tank-{n}", "tank", f"tank {n}", side=side),
            Part(f"strainer-{n}", "strainer", f"strainer {n}", side=side, of=f"engine-{n}"),
            Part(f"pump-{n}", "engine-pump", f"pump {n}", side=side, of=f"engine-{n}"),
            Part(f"gauge-{n}", "pressure-gauge", f"gauge {n}", side=side, of=f"engine-{n}"),
        ]
    return Layout("two-sides", "", True, "", {}, {p.id: p for p in parts}, (), {}, (), "1")


class FakePlaces:
    """Relations on ``two_sides``: tank n feeds engine n, all engines on open cross-feed."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout

    def related(self, part: str, relation: str, state: Mapping[str, str]) -> Mapping[str, float]:
        """Return place -> share."""
        parts = self.layout.parts
        engines = [p.id for p in parts.values() if p.kind == "engine"]
        here = parts[part].of or part
        if relation == "itself":
            return {part: 1.0}
        if relation == "its-engine":
            return {here: 1.0} if here in engines else {}
        if relation == "its-tank":
            return {f"tank-{here[-1]}": 1.0} if here in engines else {}
        if relation == "other-engines":
            return {e: 1.0 for e in engines if e != here}
        if relation == "engines-fed-through-it":
            if not here[-1].isdigit():
                return {}
            open_share = UNSTATED["crossfeed"]["open"]
            other = {"open": 1.0, "shut": 0.0}.get(state.get("crossfeed", ""), open_share)
            if "tank" in state:
                # Only the engine in question draws from the stated tank.
                return {e: 1.0 for e in engines if state["tank"] == f"tank-{here[-1]}"}
            return {e: s for e in engines if (s := 1.0 if e[-1] == here[-1] else other) > 0.0}
        if relation == "neighbour-tank":
            return {}
        if relation == AEROPLANE:
            return {AEROPLANE: 1.0}
        if relation.startswith("its-"):
            kind = relation.removeprefix("its-")
            return {p.id: 1.0 for p in parts.values() if p.kind == kind and p.of == here}
        raise UsageError(f"'{relation}' is not a relation between places")

    def shares(
        self, row: Produces, cause_parts: Iterable[str], place: str, known: Mapping[str, str]
    ) -> list[float]:
        """Return the share of the row at ``place``, from each part."""
        fits = 1.0
        for dimension, allowed in row.when.items():
            if dimension in known:
                fits *= known[dimension] in allowed
            else:
                fits *= sum(UNSTATED[dimension][v] for v in allowed)
        return [fits * self.related(p, row.at, known).get(place, 0.0) for p in cause_parts]

    def cause_instances(self, library: Library) -> tuple[CauseAt, ...]:
        """Return every cause at every part of its kinds."""
        return tuple(
            CauseAt(cause.id, part.id)
            for cause in library.causes.values()
            for part in self.layout.parts.values()
            if part.kind in cause.part_kinds
        )

    def is_instrument_of(self, part: str, place: str) -> bool:
        """Return whether ``part`` hangs on ``place``."""
        return place in (part, self.layout.parts[part].of)


# ------------------------------------------------------------------ knowledge


def question(
    name: str,
    classes: Iterable[str] = ("normal", "low"),
    at: str = "engine",
    depends_on: tuple[str, ...] = ("power", "booster", "crossfeed", "heat"),
    instruments: tuple[str, ...] = (),
) -> tuple[Effect, Question]:
    """A question and the effect it reads (same id), each class a value of the effect."""
    values = tuple(classes)
    effect = Effect(name, name, (at,), values, dict.fromkeys(values[1:], 0.01), depends_on)
    shows = {v: {c: float(c == v) for c in values} for v in values}
    labels = {v: v for v in values}
    return effect, Question(name, name, name, name, (at,), labels, shows, instruments=instruments)


def sign(
    name: str,
    *values: str,
    at: str = "itself",
    every: bool = False,
    least: int = 1,
    **state: Any,
) -> Literal:
    """'the sign is one of ``values``', where the state is given as name=value or name=(values)."""
    allowed = {d: (v,) if isinstance(v, str) else tuple(v) for d, v in state.items()}
    origin = Origin(f"symptoms/{name}.yaml", 1, 1)
    return Literal("sign", name, values, at, every, least, MappingProxyType(allowed), origin)


def lower(name: str, at: str = "itself", every: bool = False, least: int = 1) -> Literal:
    """'the symptom holds'."""
    return Literal("symptom", name, ("true",), at, every, least)


def both(*parts: Condition) -> Combination:
    """All of ``parts``."""
    return Combination("all", parts)


def either(*parts: Condition) -> Combination:
    """Any of ``parts``."""
    return Combination("any", parts)


def no(part: Condition) -> Combination:
    """Not ``part``."""
    return Combination("not", (part,))


def together(*parts: Condition) -> Combination:
    """All of ``parts``, in one and the same run state."""
    return Combination(ONE_STATE, parts, Origin("symptoms/together.yaml", 1, 1))


def symptom(name: str, when: Condition, at: str = "engine", **more: Any) -> Symptom:
    """A symptom as if read from its own file."""
    origin = Origin(f"symptoms/{name}.yaml", 1, 1)
    return Symptom(name, name, (at,), when, "made up for a test", origin=origin, **more)


def cause(
    name: str,
    kind: str,
    *rows: tuple[str, str, str, Mapping[str, tuple[str, ...]]],
    distorts: tuple[str, ...] = (),
) -> Cause:
    """A cause with rows (effect, value, relation, when) and instrument tables on questions."""
    produces = tuple(
        Produces(e, v, at, {"severe": 0.9}, {}, when, Origin(f"causes/{name}.yaml", 10 + k, 5))
        for k, (e, v, at, when) in enumerate(rows)
    )
    tables = tuple(
        Distorts(q, {}, origin=Origin(f"causes/{name}.yaml", 50 + k, 5))
        for k, q in enumerate(distorts)
    )
    return Cause(name, name, "test", (kind,), "", "", 0.03, "common", "", {}, produces, tables)


def library(
    questions: Iterable[tuple[Effect, Question]],
    symptoms: Iterable[Symptom] = (),
    causes: Iterable[Cause] = (),
    checks: Iterable[Check] = (),
) -> Library:
    """A library of just these items."""
    pairs = tuple(questions)
    words = Words({}, {}, {}, 10.0, 3.0, {}, UNSTATED)
    return Library(
        "test",
        "1",
        {e.id: e for e, _ in pairs},
        {q.id: q for _, q in pairs},
        {s.id: s for s in symptoms},
        {c.id: c for c in causes},
        {k.id: k for k in checks},
        {},
        {},
        words,
    )


def found(
    name: str,
    value: str,
    at: str = "engine-1",
    known_by: KnownBy = "seen",
    epoch: int = 0,
    others_normal: bool = False,
    **state: str,
) -> Finding:
    """A finding in the settings given as name=value."""
    return Finding(
        name,
        at,
        value,
        State(settings=MappingProxyType(state)),
        known_by,
        epoch=epoch,
        others_normal=others_normal,
    )
