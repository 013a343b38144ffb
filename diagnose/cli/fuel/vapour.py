"""``diagnose fuel vapour``: what is left before fuel boils, over height, temperature and fuel."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np

from diagnose.cli.fuel import page
from diagnose.cli.fuel.page import CORRELATION, HYDRAULICS
from diagnose.cli.printing import items, wrap
from diagnose.fuel import properties as fp
from diagnose.fuel.asked.figures import number, with_unit
from diagnose.fuel.asked.setup import Asked
from diagnose.fuel.asked.vapour import Grid
from diagnose.fuel.classes import SURGE_MARGIN
from diagnose.paper import svg
from diagnose.paper.words import model_notes
from diagnose.units import Quantity, show, to

BANDS = (
    "margin words (common practice, no source, but for 5 psi, a published inlet minimum of "
    "another type of pump): good from 5 psi, watch 2 to 5, forming 0 to 2 (the pump surges), "
    "lock below 0"
)
TEMPERATURES = ("15 degC", "30 degC", "43 degC")
HEIGHTS = ("0 ft", "5000 ft", "10000 ft", "15000 ft")
FUELS = ("7 psi", "9 psi")  # the most for aviation gasoline; warm-weather motor gasoline


def assumptions(g: Grid) -> list[str]:
    """Return what the figures rest on."""
    unstated = [g.setup.label(i.part) for i in g.inlets if not i.stated]
    need = [f"needed margin {show(SURGE_MARGIN, 'psi')} (common practice, no source) where the "
            f"layout states none: {', '.join(unstated)}"] if unstated else []  # fmt: skip
    warm = "fuel as warm everywhere as stated, but for any warmth of the run state's engine bays"
    return [CORRELATION, HYDRAULICS, BANDS, *need, warm]


# ------------------------------------------------------------------ text


def text(q: Asked, g: Grid) -> str:
    """Return the page."""
    unit = q.shown.pressure
    out = page.head(q.places)
    out += wrap(f"state: {q.state.title} ({q.state.id})", 2)
    out += wrap("set: " + "; ".join(page.setting_words(q, q.settings)), 2)
    out += wrap("contents: " + "; ".join(page.level_words(q, q.settings)), 2)
    out += wrap(f"with: {q.fault_words}", 2) if q.faults else []
    columns = ["RVP", *(t.typed for t in g.temperatures)]
    rows = [[r.typed, *(number(_tvp(t, r), unit) for t in g.temperatures)] for r in g.rvps]
    out += page.titled(f"Vapour pressure of the fuel [{unit}, absolute]", page.table(columns, rows))
    rows = [[r.typed, *(_boils(t, r) for t in g.temperatures)] for r in g.rvps]
    out += page.titled("Height at which it boils in a vented tank [ft]", page.table(columns, rows))
    for k, inlet in enumerate(g.inlets):
        title = f"Margin at the {inlet.label} [{unit}]; needs {show(inlet.needs, unit)}"
        out += page.titled(title, _margins(q, g, k))
    return "\n".join(
        out
        + page.titled("First place to boil", items(first_lines(q, g)))
        + page.titled("Rests on", items(assumptions(g)))
    )


def _tvp(t: Quantity, r: Quantity) -> float:
    return float(fp.vapour_pressure(t.value_si, r.value_si))


def _boils(t: Quantity, r: Quantity) -> str:
    height = fp.boiling_height(t.value_si, r.value_si)
    return "above 65000" if height >= 20_000.0 else f"{100 * round(to(height, 'ft') / 100)}"


def _margins(q: Asked, g: Grid, inlet: int) -> list[str]:
    header = ["height, RVP", *(t.typed for t in g.temperatures)]
    rows = []
    for h, height in enumerate(g.heights):
        for r, rvp in enumerate(g.rvps):
            cells = [_cell(q, g, g.row(h, r, t), inlet) for t in range(len(g.temperatures))]
            rows.append([f"{height.typed}, {rvp.typed}", *cells])
    return page.table(header, rows)


def _cell(q: Asked, g: Grid, row: int, inlet: int) -> str:
    """Return a margin with its word; 'no solution' where there is none."""
    if not g.solution.converged[row]:
        return "no solution"
    value = float(g.margin[row, inlet])
    return f"{number(value, q.shown.pressure)} {fp.margin_word(value)}"


def first_lines(q: Asked, g: Grid) -> list[str]:
    """Return each place that boils first somewhere, how often, and its worst condition."""
    unit = q.shown.pressure
    out = []
    counts = Counter(place for place, _ in g.first if place)
    for place, count in counts.most_common():
        worst = min((m, k) for k, (p, m) in enumerate(g.first) if p == place)
        out.append(
            f"{place}: in {count} of {len(g.first)} conditions; least margin "
            f"{with_unit(worst[0], unit)} ({fp.margin_word(worst[0])}) at {g.words(worst[1])}"
        )
    bad = [g.words(k) for k, good in enumerate(g.solution.converged) if not good]
    return out + [f"no steady state found, so nothing is concluded, at {w}" for w in bad]


# ------------------------------------------------------------------ plain data and plot


def as_object(q: Asked, g: Grid) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    out = page.body("vapour", q.places, [*page.contents_assumptions(q), *assumptions(g)])
    out["state"] = q.state.id
    out["fuel"] = [
        {"fuel_temperature_K": t.value_si, "reid_vapour_pressure_Pa_abs": r.value_si,
         "vapour_pressure_Pa_abs": _tvp(t, r),
         "boils_in_a_vented_tank_m": fp.boiling_height(t.value_si, r.value_si)}
        for r in g.rvps for t in g.temperatures
    ]  # fmt: skip
    out["inlets"] = [
        {"id": i.part, "label": i.label, "needed_margin_Pa": i.needs, "needed_stated": i.stated}
        for i in g.inlets
    ]
    out["conditions"] = [_condition_object(g, row) for row in range(len(g.first))]
    return out


def _condition_object(g: Grid, row: int) -> dict[str, Any]:
    h, r, t = g.conditions()[row]
    place, least = g.first[row]
    good = bool(g.solution.converged[row])
    return {
        "pressure_height_m": g.heights[h].value_si,
        "fuel_temperature_K": g.temperatures[t].value_si,
        "reid_vapour_pressure_Pa_abs": g.rvps[r].value_si,
        "converged": good,
        "trouble": g.solution.trouble(row),
        "margins": [
            {"id": i.part, "margin_Pa": float(g.margin[row, k]),
             "word": fp.margin_word(float(g.margin[row, k])) if good else None}
            for k, i in enumerate(g.inlets)
        ],
        "first_to_boil": {"place": place or None, "margin_Pa": least},
    }  # fmt: skip


def draw(q: Asked, g: Grid) -> str:
    """Return the margin at the inlet that is worst off against height, one plot a fuel."""
    unit = q.shown.pressure
    lowest = np.where(np.isnan(g.margin), np.inf, g.margin).min(axis=0)
    k = int(lowest.argmin())
    levels = [svg.Level("boils", 0.0), svg.Level("needed", to(g.inlets[k].needs, unit))]
    plots = []
    for r, rvp in enumerate(g.rvps):
        series = [
            svg.Series(t_q.typed, [to(h.value_si, "ft") for h in g.heights],
                       [to(float(g.margin[g.row(h, r, t), k]), unit)
                        for h in range(len(g.heights))])
            for t, t_q in enumerate(g.temperatures)
        ]  # fmt: skip
        heading = f"Margin at the {g.inlets[k].label}, RVP {rvp.typed}"
        axes = ("pressure height [ft]", f"margin [{unit}]")
        plots.append(svg.plot(heading, axes, series, levels, top=r * svg.HEIGHT))
    title = f"{q.places.layout.id}: margin before fuel boils"
    description = "The inlet that is worst off. " + " ".join(f"{x}." for x in first_lines(q, g))
    return svg.page(title, model_notes(q.places.layout), description, plots)
