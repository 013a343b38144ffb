"""A layout for people, as list or drawing, and for machines; and what a layout file may hold."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from diagnose.cli.printing import items, wrap, wrapped
from diagnose.knowledge_files.figures import FIGURES, REQUIRED, example_of
from diagnose.knowledge_files.vocabulary import (
    FLOW_KINDS,
    NAMED_PORTS,
    OWNERS,
    PART_KINDS,
    SAID_FOR,
)
from diagnose.model import AEROPLANE, COCKS, Layout, Part, RunState
from diagnose.paper import ways
from diagnose.places import Places
from diagnose.units import SI_UNIT, show

INVENTED = "INVENTED for demonstration: no aeroplane has this fuel system or these figures."


def list_lines(layouts: Collection[Layout]) -> list[str]:
    """Return the layouts, one a line."""
    width = max((len(x.id) for x in layouts), default=0)
    told = (f"{x.id:<{width}}  {x.title}{' (invented)' if x.invented else ''}" for x in layouts)
    return wrapped(told, width + 2)


def show_list(places: Places) -> str:
    """Return the layout as a list: head, tanks, ways of the fuel, cocks, limits, run states."""
    layout, label = places.layout, places.label
    tanks = (layout.parts[tank] for tank in places.tanks)
    out = [*_head(layout), "", *wrap(layout.notes.strip())]
    for heading, told in (
        ("Tanks:", [f"{label(tank.id)}: {_tank_figures(tank)}" for tank in tanks]),
        (
            f"{ways.heading(places)}; a cock's normal position in brackets:",
            ways.feed_lines(places),
        ),
        ("Besides:", ways.other_lines(places)),
        ("Cocks:", [f"{label(c.id)}: {' | '.join(c.positions)}; normal: {c.normal}"
                    for c in places.cocks()]),
        ("Limits:", [f"{x.name}: {x.shown} ({x.reference})" for x in layout.limits.values()]),
        ("Run states:", [_run_state(state) for state in layout.run_states]),
    ):  # fmt: skip
        if told or heading != "Besides:":
            out += ["", heading, *items(told)]
    return "\n".join(out)


def _run_state(state: RunState) -> str:
    start = f", and {state.start_minutes:g} for start and shut-down" if state.start_minutes else ""
    return f"{state.id}: {state.title} ({state.minutes:g} minutes{start})"


def show_drawing(places: Places) -> str:
    """Return the drawing with its head; the list of ways where the drawing would be too wide."""
    lines = ways.drawing(places)
    if not lines:
        lines = ["Too wide to draw, or its ways cross; as a list:", *ways.feed_lines(places)]
    besides = items(ways.other_lines(places))
    not_drawn = ["", "Not drawn:", *besides] if besides else []
    return "\n".join([*_head(places.layout), "", *lines, *not_drawn])


def _head(layout: Layout) -> list[str]:
    title = wrap(f"{layout.id}: {layout.title}", indent=2)
    return [*title, *([INVENTED] if layout.invented else [])]


def _tank_figures(tank: Part) -> str:
    both = [
        f"{words} {show(tank.numbers[key], 'imp gal')} ({show(tank.numbers[key], 'l')})"
        for key, words in (("capacity", "holds"), ("unusable", "unusable"))
        if key in tank.numbers
    ]
    traits = [f"{k} {v}" for k, v in tank.traits.items()]
    return ", ".join([*both, *traits])


# ---------------------------------------------------------------------- for machines


def as_object(places: Places) -> dict[str, Any]:
    """Return the layout as plain data: stable ids beside labels, the unit in each figure's key."""
    layout = places.layout
    return {
        "id": layout.id,
        "title": layout.title,
        "invented": layout.invented,
        "notes": layout.notes.strip(),
        "edition": layout.edition,
        "traits": dict(layout.traits),
        "parts": [_part_object(places, p) for p in layout.parts.values()],
        "ways": [{"tank": w[0], "engine": w[-1], "parts": list(w)} for w in ways.ways(places)],
        "limits": [
            {"id": x.name, "shown": x.shown, "reference": x.reference,
             _key("low", x.unit): x.low, _key("high", x.unit): x.high}
            for x in layout.limits.values()
        ],
        "run_states": [
            {"id": s.id, "title": s.title, "stage": s.stage, "settings": dict(s.settings),
             "minutes": s.minutes, "start_minutes": s.start_minutes, "needs": list(s.needs)}
            for s in layout.run_states
        ],
    }  # fmt: skip


def _part_object(places: Places, part: Part) -> dict[str, Any]:
    dimensions = FIGURES.get(part.kind, {})
    return {
        "id": part.id,
        "kind": part.kind,
        "label": places.label(part.id),
        "of": part.of,
        "side": part.side,
        "position": part.position,
        "number": part.number,
        "traits": dict(part.traits),
        "positions": {k: [list(pair) for pair in v] for k, v in part.positions.items()},
        "normal": part.normal,
        "figures": {_key(k, dimensions.get(k, "")): v for k, v in part.numbers.items()},
    }


def _key(name: str, dimension: str) -> str:
    unit = SI_UNIT.get(dimension, "").replace("/", "_per_").replace(" ", "_")
    return f"{name.replace('-', '_')}_{unit}" if unit else name.replace("-", "_")


# ---------------------------------------------------------------------- kind by kind


def kinds(layouts: Iterable[Layout]) -> list[dict[str, Any]]:
    """Return every kind of part: owner, figures, ports, traits and where a shipped layout has it.

    ``layouts``: the shipped ones; traits and examples are read off them.
    """
    held = list(layouts)
    return [_kind(kind, held) for kind in PART_KINDS if kind != AEROPLANE]


def _kind(kind: str, layouts: Iterable[Layout]) -> dict[str, Any]:
    having = {x.id: [p for p in x.parts.values() if p.kind == kind] for x in layouts}
    traits: dict[str, set[str]] = {}
    for part in (p for parts in having.values() for p in parts):
        for key, value in part.traits.items():
            traits.setdefault(key, set()).add("TANK" if key in ("to", "with") else value)
    return {
        "kind": kind,
        "also_called": [name for name, meant in SAID_FOR.items() if meant == kind],
        "carries_fuel": kind in FLOW_KINDS,
        "of": list(OWNERS.get(kind, ())),
        "ports": ["by its positions"] if kind in COCKS else list(NAMED_PORTS.get(kind, ())),
        "figures": {
            key: {
                "required": key in REQUIRED.get(kind, ()),
                "example": example_of(key, dimension),
            }
            for key, dimension in FIGURES.get(kind, {}).items()
        },
        "traits": {key: sorted(values) for key, values in sorted(traits.items())},
        "in_layouts": [name for name, parts in having.items() if parts],
    }


def kinds_text(rows: Iterable[dict[str, Any]]) -> str:
    """Return the kinds as a list, what is required first."""
    out: list[str] = []
    for row in rows:
        out.append(f"{row['kind']}" + ("" if row["carries_fuel"] else " (carries no fuel)"))
        for said in _said(row):
            out += wrap(f"  {said}", 6)
    return "\n".join(out)


def _said(row: dict[str, Any]) -> Iterator[str]:
    if row["also_called"]:
        yield f"also called: {', '.join(row['also_called'])}"
    if row["of"]:
        yield f"of: {' or '.join(row['of'])}"
    if row["ports"]:
        yield f"ports: {', '.join(row['ports'])}"
    for needed, word in ((True, "required"), (False, "may have")):
        figures = [
            f"{key} ({one['example']})"
            for key, one in row["figures"].items()
            if one["required"] == needed
        ]
        if figures:
            yield f"{word}: {', '.join(figures)}"
    if row["traits"]:
        told = [f"{key}: {' | '.join(values)}" for key, values in row["traits"].items()]
        yield f"traits: {'; '.join(told)}"
    yield f"in: {', '.join(row['in_layouts']) or 'no shipped layout'}"
