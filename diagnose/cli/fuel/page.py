"""What the pages of ``diagnose fuel`` have in common: head, conditions, tables, plain data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from io import StringIO
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from diagnose.cli.layout_view import INVENTED
from diagnose.cli.printing import items, wrap, wrapped
from diagnose.cli.room import unbroken
from diagnose.fuel import Settings
from diagnose.fuel import properties as fp
from diagnose.fuel.asked.setup import Asked
from diagnose.fuel.settings import position_of
from diagnose.places import Places
from diagnose.units import Quantity, show

CERTIFIES = (
    "Figures of a model, not readings. It certifies nothing; the aeroplane's approved data come "
    "first."
)
CORRELATION = (
    "vapour pressure by AP-42 chapter 7.1 for new fuel (constants checked on its table 7.1-2); "
    "weathered fuel boils later"
)
HYDRAULICS = (
    "pressures and flows by the layout's heights, bores and losses: pipe friction by Churchill "
    "(1977), fuel 720 kg/m3 at 15 degC and 0.1 % lighter a degree (planning figures), 0.6 mm2/s at "
    "20 degC (from memory)"
)
WIDTH = 79
_NARROWEST = 26  # a name column narrower than this reads worse than a list


def head(places: Places, certifies: str = CERTIFIES) -> list[str]:
    """Return the lines every page begins with: layout, invented, and that nothing is certified."""
    layout = places.layout
    out = wrap(f"{layout.id}: {layout.title}", 2)
    if layout.invented:
        out += [INVENTED]
    return [*out, *wrap(certifies), ""]


def body(command: str, places: Places, assumptions: Sequence[str]) -> dict[str, Any]:
    """Return what every JSON object begins with."""
    layout = places.layout
    title = {"id": layout.id, "title": layout.title, "invented": layout.invented}
    return {"command": command, "layout": title, "certifies": "nothing",
            "assumptions": list(assumptions)}  # fmt: skip


def clean(value: Any) -> Any:
    """Return plain data for JSON: a figure that is not there is null, never NaN."""
    if isinstance(value, Mapping):
        return {str(k): clean(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [clean(v) for v in value]
    if hasattr(value, "item"):  # a numpy scalar
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def titled(name: str, lines: Sequence[str]) -> list[str]:
    """Return lines under a title with an empty line before; nothing for no lines."""
    return ["", f"{name}:", *lines] if lines else []


def table(header: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Return rows set in columns; one line a row in words where that is too wide, or unbroken.

    The first column is a name, long ones on several lines; the others are figures.
    """
    if not rows:
        return []
    widths = [max(len(r[k]) for r in (header, *rows)) for k in range(len(header))]
    room = WIDTH - 2 - sum(widths[1:]) - 2 * (len(widths) - 1)
    if unbroken() or room < min(widths[0], _NARROWEST):
        return items([_sentence(header, row) for row in rows])
    grid = Table.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    for _ in header[1:]:
        grid.add_column(justify="right", vertical="bottom", no_wrap=True)
    for name, *figures in (header, *rows):
        said = textwrap.fill(name, min(widths[0], room), subsequent_indent="  ")
        grid.add_row(*map(Text, (said, *figures)))
    page = Console(file=StringIO(), width=WIDTH - 2, color_system=None)
    with page.capture() as columns:
        page.print(grid)
    return [f"  {line}".rstrip() for line in columns.get().splitlines()]


def _sentence(header: Sequence[str], row: Sequence[str]) -> str:
    told = [f"{h} {c}".strip() for h, c in zip(header[1:], row[1:], strict=True) if c]
    return f"{row[0]}: {'; '.join(told)}"


# ------------------------------------------------------------------ conditions


def _typed(quantity: Quantity | None, value: float, units: tuple[str, str]) -> str:
    """Return a condition as typed with its conversion, or what was assumed."""
    if quantity is None:
        return f"{show(value, units[0])} ({show(value, units[1])}; assumed)"
    other = next((u for u in units if u not in quantity.typed), units[0])
    return f"{quantity.typed} ({show(value, other)})"


def conditions(question: Asked, settings: Settings) -> list[str]:
    """Return state, air and fuel, and how cocks, pumps and engines are set."""
    s, air = settings, question.air
    degrees = ("degC", "degF")
    texts = [
        f"state: {question.state.title} ({question.state.id})",
        f"fuel {_typed(air.temperature, s.temperature, degrees)}, "
        f"pressure height {_typed(air.height, s.height, ('ft', 'm'))}, "
        f"Reid vapour pressure {_typed(air.rvp, s.rvp, ('psi', 'kPa'))}",
        "set: " + "; ".join(setting_words(question, s)),
        "contents: " + "; ".join(level_words(question, s)),
    ]
    if s.engine_heat:
        texts.append(f"fuel in the engine bays {s.engine_heat:g} K warmer (assumed)")
    texts += [f"with: {question.fault_words}"] if question.faults else []
    return wrapped(texts, 2)


def setting_words(question: Asked, s: Settings) -> list[str]:
    """Return how every cock, pump, valve in use and engine is set, in words."""
    network, out = question.network, []
    for cock in question.places.cocks():
        out.append(f"{question.label(cock.id)} {position_of(network, s, cock.id)}")
    for pump in network.boosters:
        on = pump.part in s.boosters or pump.part in s.open_valves
        out.append(f"{question.label(pump.part)} {'on' if on else 'off'}")
    out += [f"{question.label(v)} open" for v in sorted(s.open_valves)]
    powers = {e.id: s.power.get(e.id, "none") for e in network.engines}
    if len(set(powers.values())) == 1:  # all alike: said once
        power = next(iter(powers.values()))
        who = "engine" if len(powers) == 1 else "all engines"
        return [*out, f"{who} {_power(power)}"]
    return out + [f"{question.label(e)} {_power(power)}" for e, power in powers.items()]


def _power(power: str) -> str:
    words = {"none": "standing", "can": "standing, union open into a can"}
    return words.get(power, f"at {power}")


def level_words(question: Asked, s: Settings) -> list[str]:
    """Return contents of every tank, said to be assumed where nobody stated them."""
    out = []
    for tank in question.network.tanks:
        share = s.levels.get(tank.id, 0.5)
        mark = "" if tank.id in question.stated else ", assumed"
        volume = show(share * tank.capacity, question.shown.volume)
        out.append(f"{question.label(tank.id)} {volume} ({100 * share:.0f} %{mark})")
    return out


def conditions_object(question: Asked, s: Settings) -> dict[str, Any]:
    """Return the same as plain data."""
    network = question.network
    return {
        "state": question.state.id,
        "fuel_temperature_K": s.temperature,
        "pressure_height_m": s.height,
        "ambient_pressure_Pa_abs": float(fp.ambient_pressure(s.height)),
        "reid_vapour_pressure_Pa_abs": s.rvp,
        "engine_bay_warmer_K": s.engine_heat,
        "cocks": {c.id: position_of(network, s, c.id) for c in question.places.cocks()},
        "pumps_on": sorted(s.boosters),
        "valves_open": sorted(s.open_valves),
        "power": {e.id: s.power.get(e.id, "none") for e in network.engines},
        "contents_m3": {t.id: s.levels.get(t.id, 0.5) * t.capacity for t in network.tanks},
        "cause": [asdict(f) for f in question.faults],
    }  # fmt: skip


def air_assumptions(question: Asked, s: Settings) -> list[str]:
    """Return which figures nobody stated, and what rests on the model alone."""
    air, out = question.air, []
    for name, value, typed in (
        ("fuel temperature", show(s.temperature, "degC"), air.temperature),
        ("pressure height", show(s.height, "ft"), air.height),
        ("Reid vapour pressure", show(s.rvp, "psi"), air.rvp),
    ):
        if typed is None:
            out.append(f"{name} {value} was not stated and is assumed")
    return out + contents_assumptions(question)


def contents_assumptions(question: Asked) -> list[str]:
    """Return which tanks' contents nobody stated."""
    unstated = [question.label(t.id) for t in question.network.tanks if t.id not in question.stated]
    return [f"contents not stated, assumed: {', '.join(unstated)}"] if unstated else []
