"""What the pages of ``diagnose fuel`` have in common: head, conditions, tables, plain data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from diagnose.cli.fuel.ask import Asked
from diagnose.cli.layout_view import INVENTED, wrap
from diagnose.errors import UsageError
from diagnose.fuel import Settings
from diagnose.fuel import properties as fp
from diagnose.fuel.settings import position_of
from diagnose.places import Places
from diagnose.units import Quantity, find_unit, show, to

CERTIFIES = (
    "Figures of a model, not readings. It certifies nothing; the aeroplane's approved data come "
    "first."
)
NOT_READINGS = "Figures of a model, not readings; certifies nothing."
WIDTH = 79
_NARROWEST = 26  # a name column narrower than this reads worse than a list


def head(places: Places, plain: bool, certifies: str = CERTIFIES) -> list[str]:
    """Return the lines every page begins with: layout, invented, and that nothing is certified."""
    layout = places.layout
    out = wrap(f"{layout.id}: {layout.title}", plain, 2)
    if layout.invented:
        out += [INVENTED]
    return [*out, *wrap(certifies, plain), ""]


def body(command: str, places: Places, assumptions: Sequence[str]) -> dict[str, Any]:
    """Return what every JSON object begins with."""
    layout = places.layout
    title = {"id": layout.id, "title": layout.title, "invented": layout.invented}
    return {"command": command, "layout": title, "certifies": "nothing",
            "assumptions": list(assumptions)}  # fmt: skip


def notes(places: Places, certifies: str = NOT_READINGS) -> list[str]:
    """Return the notes every drawing carries."""
    layout = places.layout
    invented = ["INVENTED layout."] if layout.invented else []
    return [*invented, certifies, f"Layout {layout.id}, edition {layout.edition}. Page 1 of 1."]


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


def items(texts: Sequence[str], plain: bool) -> list[str]:
    """Return texts as indented lines."""
    return [line for text in texts for line in wrap("  " + text, plain, 6)]


def table(header: Sequence[str], rows: Sequence[Sequence[str]], plain: bool) -> list[str]:
    """Return rows set in columns; one line a row in words where that is too wide, or ``plain``.

    The first column is a name, long ones on several lines; the others are figures.
    """
    if not rows:
        return []
    widths = [max(len(r[k]) for r in (header, *rows)) for k in range(len(header))]
    room = WIDTH - 2 - sum(widths[1:]) - 2 * (len(widths) - 1)
    if plain or room < min(widths[0], _NARROWEST):
        return items([_sentence(header, row) for row in rows], plain)
    widths[0] = min(widths[0], room)
    lines = []
    for row in (header, *rows):
        *above, last = textwrap.wrap(row[0], widths[0], subsequent_indent="  ") or [""]
        lines += ["  " + part for part in above]
        cells = [last.ljust(widths[0])]
        cells += [c.rjust(w) for c, w in zip(row[1:], widths[1:], strict=True)]
        lines.append(("  " + "  ".join(cells)).rstrip())
    return lines


def _sentence(header: Sequence[str], row: Sequence[str]) -> str:
    told = [f"{h} {c}".strip() for h, c in zip(header[1:], row[1:], strict=True) if c]
    return f"{row[0]}: {'; '.join(told)}"


# ------------------------------------------------------------------ figures


def number(value: float, unit: str, digits: int = 3) -> str:
    """Return a figure without its unit, which stands in the column head; '-' where there is none.

    Below one it is cut to hundredths: the rest of a solution is not a figure (a bar or a cubic
    metre is so large a unit that it keeps its digits).
    """
    if not math.isfinite(value):
        return "-"
    found = find_unit(unit)
    figure = to(value, unit)
    if abs(figure) < 1.0 and found.factor < 1e5 and found.name != "m3":
        text = f"{figure:.2f}".rstrip("0").rstrip(".")
        return "0" if text in ("-0", "") else text
    return show(value, unit, digits).removesuffix(f" {found.name}")


def with_unit(value: float, unit: str) -> str:
    """Return a figure with its unit; 'no figure' where there is none."""
    text = number(value, unit)
    return "no figure" if text == "-" else f"{text} {find_unit(unit).name}"


def minutes(value: float | None) -> str:
    """Return a time in minutes, hours beside it where it is long; 'not reached' for None."""
    if value is None or not math.isfinite(value):
        return "not reached"
    text = f"{value:.1f} min" if value < 100 else f"{value:.0f} min"
    return f"{text} ({value / 60:.1f} h)" if value >= 120 else text


# ------------------------------------------------------------------ conditions


def _typed(quantity: Quantity | None, value: float, units: tuple[str, str]) -> str:
    """Return a condition as typed with its conversion, or what was assumed."""
    if quantity is None:
        return f"{show(value, units[0])} ({show(value, units[1])}; assumed)"
    other = next((u for u in units if u not in quantity.typed), units[0])
    return f"{quantity.typed} ({show(value, other)})"


def conditions(question: Asked, settings: Settings, plain: bool) -> list[str]:
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
    return [line for text in texts for line in wrap(text, plain, 2)]


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
        "cause": [{"part": f.part, "change": f.change, "value": f.value, "unit": f.unit}
                  for f in question.faults],
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


def write(path: Path, text: str) -> None:
    """Write a drawing to a file.

    Raises:
        UsageError: the file cannot be written.
    """
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"--svg {path}: cannot be written ({error.strerror}).") from None
