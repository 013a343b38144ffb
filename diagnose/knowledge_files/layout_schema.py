"""The pieces of a layout file: parts with their figures, lines, limits and run states."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from diagnose.grammar import a
from diagnose.knowledge_files.fields import Fields, build, quantity, scalar, scalars
from diagnose.knowledge_files.figures import FIGURES, REQUIRED, SIGNED, example_of
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Sequence
from diagnose.knowledge_files.schema.common import settings
from diagnose.knowledge_files.vocabulary import (
    LIMITS,
    PART_KINDS,
    RUN_NEEDS,
    SAID_FOR,
    SIDES,
    TRAITS,
)
from diagnose.model import AEROPLANE, COCKS, RUNNING, STAGES, TANKS, Limit, Line, Part, RunState

_PART_KEYS: Final = (
    *("part", "kind", "name", "side", "position", "number", "of", "bus"),
    *("traits", "positions", "normal"),
)
_MAY_BE_ZERO: Final = ("loss", "bypass-loss", "unusable", "empty", "full", "standpipe", "length")


class PartFields:
    """One part as read, with where its references stand, for the checks that follow."""

    def __init__(self, fields: Fields) -> None:
        """Read the part; every problem is noted in the gather of ``fields``."""
        self.fields = fields
        self.of, self.bus = fields.text("of"), fields.text("bus")
        self.traits = fields.mapping("traits")
        self.part = self._read()

    def _read(self) -> Part:
        fields = self.fields
        name = fields.id("part")
        if name == AEROPLANE:
            fields.gather.add(name.origin, "the aeroplane is there of itself; delete this part")
        kind = _kind(fields)
        positions = _positions(fields, cock=kind in COCKS)
        normal = fields.text("normal", required=bool(positions))
        if normal and normal not in positions:
            fields.gather.unknown(normal, "position of this cock", positions)
        return build(
            Part,
            id=name,
            kind=kind,
            name=fields.text("name", required=True),
            side=fields.choice("side", SIDES),
            position=fields.text("position"),
            number=fields.whole("number", low=1) if fields.has("number") else None,
            of=self.of,
            bus=self.bus,
            traits=self.traits,
            numbers=_figures(fields, str(kind)),
            positions=positions,
            normal=normal,
            origin=fields.origin,
        )


def _kind(fields: Fields) -> Text:
    """Read a part's kind; what people call one is told as the kind it is."""
    said = fields.text("kind")
    if said in SAID_FOR:
        text = f"'{said}' is not a known kind; in a layout it is a '{SAID_FOR[said]}'"
        fields.gather.add(said.origin, text, "name")
        return said
    remedy = "'diagnose layout kinds' lists them."
    return fields.choice("kind", PART_KINDS, required=True, remedy=remedy)


def _figures(fields: Fields, kind: str) -> dict[str, float]:
    """Read every other key as a figure of the part's kind, in SI."""
    allowed = FIGURES.get(kind, {})
    out: dict[str, float] = {}
    for key, node in fields.pairs():
        if key in _PART_KEYS:
            continue
        if key not in allowed:
            if kind in PART_KINDS:
                known = (*allowed, *_PART_KEYS)
                fields.gather.unknown(key, f"figure of {a(kind)}", known)
            continue
        found = scalar(node, fields.gather, f"'{key}'")
        example = example_of(key, allowed[key])
        value = quantity(found, allowed[key], fields.gather, f"'{key}'", example) if found else None
        if value is None:
            continue
        # heights may lie below the datum; a pump or a tank of nothing is a slip of the pen
        out[str(key)] = value.value_si
        if key not in SIGNED and value.value_si < 0:
            fields.gather.add(found.origin, f"'{key}' is {found}; it cannot be negative")
        elif key not in (*SIGNED, *_MAY_BE_ZERO) and value.value_si == 0:
            fields.gather.add(found.origin, f"'{key}' is {found}; leave it out if there is none")
    for needed in REQUIRED.get(kind, ()):
        if not fields.has(needed):
            example = example_of(needed, allowed[needed])
            text = f"{a(kind)} needs '{needed}'; add it, for instance '{needed}: {example}'"
            fields.gather.add(fields.origin, text)
    if out.get("rated-pressure", 0.0) >= out.get("shutoff", float("inf")):
        text = (
            "'rated-pressure' is not below 'shutoff', the pressure at which the pump delivers none"
        )
        fields.gather.add(fields.where("rated-pressure"), text)
    if out.get("unusable", 0.0) >= out.get("capacity", 1e9):
        fields.gather.add(fields.where("unusable"), "'unusable' leaves nothing of the capacity")
    return out


def _positions(fields: Fields, *, cock: bool) -> dict[Text, tuple[tuple[Text, ...], ...]]:
    """Read position -> joined pairs of ports; a position that joins nothing is shut."""
    table = fields.table("positions", required=cock)
    if table is None:
        return {}
    out: dict[Text, tuple[tuple[Text, ...], ...]] = {}
    for name, node in table.pairs():
        if not isinstance(node, Sequence):
            text = f"position '{shorten(name)}' is a list of joined pairs: [[left, out]], or []"
            fields.gather.add(node.origin, text)
            continue
        pairs = tuple(scalars(item, fields.gather, "a pair of ports") for item in node.items)
        for pair, item in zip(pairs, node.items, strict=True):
            if len(set(pair)) != 2 or len(pair) != 2:
                fields.gather.add(item.origin, "a pair joins two different ports: [left, out]")
        out[name] = tuple(pair for pair in pairs if len(pair) == 2)
    if len(out) < 2 and cock:
        fields.gather.add(table.origin, "a cock has at least two positions")
    return out


def line(fields: Fields) -> Line:
    """Read a line; whether its ends exist is checked once all parts are known."""
    figures = {
        key: fields.quantity(key, dimension, required=True)
        for key, dimension in (("bore", "length"), ("length", "length"), ("loss", "number"))
    }
    for key, value in figures.items():
        if value is not None and (value.value_si < 0 or (key == "bore" and value.value_si == 0)):
            fields.gather.add(fields.where(key), f"'{key}' is {value.typed}; a pipe has more")
    return fields.build(
        Line,
        id=fields.id("line"),
        start=fields.text("from", required=True),
        end=fields.text("to", required=True),
        **{key: 0.0 if value is None else value.value_si for key, value in figures.items()},
    )


def limits(fields: Fields | None, gather: Gather) -> dict[Text, Limit]:
    """Read the limits; each that is given carries the reference it was typed from."""
    out = {}
    for name, node in fields.pairs() if fields else ():
        one = Fields(node, gather, f"the limit '{shorten(name)}'")
        # low and high are concluded from this figure, so where it was typed from must be shown
        reference = one.text("reference")
        if not one.broken and not reference:
            gather.add(
                one.where("reference"),
                f"limit '{shorten(name)}' has no reference; name the approved document, revision "
                "and date it was typed from, or delete the limit",
            )
        out[name] = limit(name, one, reference)
    return out


def limit(name: Text, fields: Fields, reference: str) -> Limit:
    """Read the edges of a limit, at least one, that was typed from ``reference``."""
    unit = LIMITS.get(str(name))  # of an unknown limit any dimension passes
    if unit is None:
        fields.gather.unknown(name, "limit", LIMITS)
    low, high = fields.quantity("low", unit), fields.quantity("high", unit)
    if not fields.broken and not fields.has("low") and not fields.has("high"):
        fields.gather.add(fields.origin, f"limit '{shorten(name)}' has neither 'low' nor 'high'")
    if low and high and low.value_si >= high.value_si:
        text = f"'high' ({high.typed}) is not above 'low' ({low.typed})"
        fields.gather.add(fields.where("high"), text)
    return fields.build(
        Limit,
        name=name,
        low=low.value_si if low else None,
        high=high.value_si if high else None,
        unit=unit or "",
        reference=reference,
        shown=", ".join(f"{key} {q.typed}" for key, q in (("low", low), ("high", high)) if q),
    )


def run_state(fields: Fields, parts: Mapping[str, Part]) -> RunState:
    """Read a run state and hold its settings against what the layout has."""
    gather = fields.gather
    stage = fields.choice("stage", STAGES, required=True)
    known = settings(fields, "settings")
    where = fields.where("settings")
    kinds = {part.kind for part in parts.values()}
    power = STAGES.get(str(stage), known.get("power", ""))
    if known.get("power", power) != power:
        gather.add(where, f"stage '{stage}' means power '{power}', not '{known['power']}'")
    if known.get("booster") == "on" and not kinds & {"booster-pump", "hand-pump"}:
        gather.add(where, "the layout has no booster or hand pump to put on")
    if known.get("crossfeed") == "open" and "cross-feed-cock" not in kinds:
        gather.add(where, "the layout has no cross-feed cock to open")
    # a setting the layout cannot make would be a run that nobody can carry out
    tank = known.get("tank", "")
    tanks = [part.id for part in parts.values() if part.kind in TANKS]
    if tank and tank not in tanks:
        gather.unknown(Text(tank, where), "tank of this layout", tanks)
    running = fields.flag("engine-running")
    if stage in STAGES and running != (power in RUNNING):
        should = "no" if running else "yes"
        gather.add(
            fields.where("engine-running"),
            f"in stage '{stage}' the power is '{power}', so 'engine-running' is {should}",
        )
    return fields.build(
        RunState,
        id=fields.id("state"),
        title=fields.text("title", required=True),
        stage=stage,
        settings=known,
        minutes=fields.number("minutes", low=0.0, high=10_000.0, required=True),
        start_minutes=fields.number("start-minutes", low=0.0, high=10_000.0),
        engine_running=running,
        needs=fields.choices("needs", RUN_NEEDS, what="need of a run state"),
    )


def layout_traits(fields: Fields) -> dict[Text, Text]:
    """Read the layout's traits; how it is fed and what meters the fuel must be stated."""
    traits = fields.mapping("traits", required=True)
    for key, values in TRAITS.items():
        if fields.has("traits") and key not in traits:
            gather, where = fields.gather, fields.where("traits")
            gather.add(where, f"'traits' has no '{key}'; it is one of {', '.join(values)}")
        elif key in traits and traits[Text(key, fields.origin)] not in values:
            found = traits[Text(key, fields.origin)]
            fields.gather.unknown(found, f"value of '{key}'", values)
    return traits
