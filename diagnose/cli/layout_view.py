"""A layout for people, as list or drawing, and for machines."""

from __future__ import annotations

import textwrap
from typing import Any

from diagnose.knowledge_files.figures import FIGURES
from diagnose.model import Layout, Part
from diagnose.paper import ways
from diagnose.places import Places
from diagnose.units import SI_UNIT, show

INVENTED = "INVENTED for demonstration: no aeroplane has this fuel system or these figures."


def show_list(places: Places, *, plain: bool = False) -> str:
    """Return the layout as a list: head, tanks, ways of the fuel, cocks, limits, run states."""
    layout = places.layout
    out = _head(layout, plain)
    out += ["", *wrap(layout.notes.strip(), plain)]
    out += ["", "Tanks:"]
    for part in map(layout.parts.__getitem__, places.tanks):
        out += _item(f"{places.label(part.id)}: {_tank_figures(part)}", plain)
    out += ["", "Ways of the fuel, cross-feed shut; a cock's normal position in brackets:"]
    for line in ways.feed_lines(places):
        out += _item(line, plain)
    out += _besides("Besides:", places, plain)
    out += ["", "Cocks:"]
    for cock in places.cocks():
        text = f"{places.label(cock.id)}: {' | '.join(cock.positions)}; normal: {cock.normal}"
        out += _item(text, plain)
    out += ["", "Limits:"]
    for limit in layout.limits.values():
        out += _item(f"{limit.name}: {limit.shown} ({limit.reference})", plain)
    out += ["", "Run states:"]
    for state in layout.run_states:
        start = f", and {state.start_minutes:g} for start and shut-down"
        start = start if state.start_minutes else ""
        out += _item(f"{state.id}: {state.title} ({state.minutes:g} minutes{start})", plain)
    return "\n".join(out)


def show_drawing(places: Places) -> str:
    """Return the drawing with its head; the list of ways where the drawing would be too wide."""
    lines = ways.drawing(places)
    if not lines:
        lines = ["Too wide to draw; as a list:", *ways.feed_lines(places)]
    return "\n".join([*_head(places.layout), "", *lines, *_besides("Not drawn:", places)])


def _besides(heading: str, places: Places, plain: bool = False) -> list[str]:
    lines = [line for text in ways.other_lines(places) for line in _item(text, plain)]
    return ["", heading, *lines] if lines else []


def _head(layout: Layout, plain: bool = False) -> list[str]:
    title = wrap(f"{layout.id}: {layout.title}", plain, indent=2)
    return [*title, *([INVENTED] if layout.invented else [])]


def _tank_figures(tank: Part) -> str:
    both = [
        f"{words} {show(tank.numbers[key], 'imp gal')} ({show(tank.numbers[key], 'l')})"
        for key, words in (("capacity", "holds"), ("unusable", "unusable"))
        if key in tank.numbers
    ]
    traits = [f"{k} {v}" for k, v in tank.traits.items()]
    return ", ".join([*both, *traits])


def _item(text: str, plain: bool) -> list[str]:
    return wrap("  " + text, plain, indent=6)


def wrap(text: str, plain: bool, indent: int = 0) -> list[str]:
    """Return ``text`` in lines of at most 79 characters, further lines indented; one if plain."""
    if plain:
        return [text]
    return textwrap.wrap(
        text, 79, subsequent_indent=" " * indent, break_on_hyphens=False, break_long_words=False
    )


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
