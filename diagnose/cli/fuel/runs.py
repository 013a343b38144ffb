"""Contents over time as ``diagnose fuel`` shows them: runs of the model, tables, plots, data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from diagnose.cli.fuel import page
from diagnose.cli.printing import items
from diagnose.fuel.asked.figures import minutes, number
from diagnose.fuel.asked.runs import Run, surface
from diagnose.fuel.asked.setup import Asked
from diagnose.fuel.settings import Settings
from diagnose.paper import svg
from diagnose.paper.words import model_notes
from diagnose.units import show, to

QUASI = "each step solved as a steady state; what passes the brim goes out of the vent"


# ------------------------------------------------------------------ text


def opening(question: Asked, settings: Settings) -> list[str]:
    """Return head and conditions of a page."""
    return page.head(question.places) + page.conditions(question, settings)


def tank_table(question: Asked, one: Run, tanks: Sequence[str]) -> list[str]:
    """Return start, end, first rate and what was lost, for some tanks."""
    volume, flow = question.shown.volume, question.shown.flow
    header = ["tank", "start", "end", f"gains at first [{flow}]", "overboard"]
    rows = [
        [question.label(t), number(one.start(t), volume), number(one.end(t), volume),
         number(one.rate(t), flow), number(one.lost(t), volume)]
        for t in tanks
    ]  # fmt: skip
    return page.table(header, rows)


_EVENTS = {
    "tank-dry": "down to unusable", "tank-full": "full", "overflow": "overflows at the vent",
    "lamp-on": "warning lamp lights", "lamp-out": "warning lamp goes out",
}  # fmt: skip


def event_lines(question: Asked, one: Run) -> list[str]:
    """Return what happened, in order."""
    out = []
    for e in one.history.events:
        if e.what == "no-solution":
            out.append(f"after {minutes(e.minute)} {unsolved(e.place)}")
        else:
            where = question.label(e.place)
            out.append(f"{where}: {_EVENTS[e.what]} at {minutes(e.minute)}")
    return out


def unsolved(trouble: str) -> str:
    """Return that a step has no steady state, so that nothing follows."""
    return f"no steady state found ({trouble}); nothing is concluded from there on"


def ending(notes: Sequence[str]) -> list[str]:
    """Return what the page rests on."""
    return page.titled("Rests on", items([*notes, page.HYDRAULICS, QUASI]))


# ------------------------------------------------------------------ plain data and plots


def begin_object(
    command: str, question: Asked, settings: Settings, notes: Sequence[str]
) -> dict[str, Any]:
    """Return what the JSON of a run begins with."""
    said = [*page.air_assumptions(question, settings), *notes, page.HYDRAULICS, QUASI]
    out = page.body(command, question.places, said)
    out["conditions"] = page.conditions_object(question, settings)
    return out


def as_object(question: Asked, one: Run) -> dict[str, Any]:
    """Return one run as plain data."""
    h = one.history
    return {
        "name": one.name,
        "watched": list(one.watched),
        "complete": not one.trouble,
        "trouble": one.trouble,
        "tanks": [
            {"id": t, "label": question.label(t),
             "surface_at_start_m": surface(question, one.settings, t),
             "start_m3": one.start(t), "end_m3": one.end(t),
             "first_rate_m3_per_s": one.rate(t), "overboard_m3": one.lost(t),
             "full_min": h.first("tank-full", t), "overflow_min": h.first("overflow", t),
             "unusable_min": h.first("tank-dry", t)}
            for t in h.tanks
        ],
        "events": [asdict(e) for e in h.events],
        "minutes": h.minutes.tolist(),
        "contents_m3": {t: h.contents[:, k].tolist() for k, t in enumerate(h.tanks)},
    }  # fmt: skip


def draw(question: Asked, title: str, runs: Sequence[Run], told: Sequence[str]) -> str:
    """Return contents against time, one plot a run."""
    unit = question.shown.volume
    plots = []
    for k, one in enumerate(runs):
        h = one.history
        tanks = list(one.watched) or one.moved()
        series = [
            svg.Series(question.label(t), h.minutes.tolist(),
                       [to(v, unit) for v in h.contents[:, h.tanks.index(t)].tolist()])
            for t in tanks
        ]  # fmt: skip
        sizes = {question.network.layout.parts[t].numbers["capacity"] for t in tanks}
        # a full tank is a line only where it is near enough to matter
        top = max((max(s.y) for s in series), default=0.0)
        levels = [svg.Level(f"full, {show(v, unit)}", to(v, unit)) for v in sorted(sizes)
                  if to(v, unit) < 1.3 * top]  # fmt: skip
        axes = ("minutes", f"contents [{unit}]")
        plots.append(svg.plot(one.name, axes, series, levels, top=k * svg.HEIGHT))
    return svg.page(
        title, model_notes(question.places.layout), " ".join(f"{t}." for t in told), plots
    )
