"""``diagnose fuel endurance``: what a test run draws from each tank, and how long it lasts."""

from __future__ import annotations

from typing import Any

from diagnose.cli.fuel import page, runs
from diagnose.cli.fuel.page import CORRELATION
from diagnose.cli.printing import items
from diagnose.fuel.asked.endurance import FINEST, NOTHING_USABLE, Endurances
from diagnose.fuel.asked.figures import minutes, number
from diagnose.fuel.asked.setup import Asked
from diagnose.units import show


def notes(done: Endurances) -> list[str]:
    """Return what the figures rest on."""
    out = [
        CORRELATION,
        "burn at the layout's figures for this power, mixture rich; nothing held in reserve",
    ]
    step = max((float(e.run.history.minutes[-1]) / 60.0 for e in done.each), default=0.0)
    out.append(f"when an engine starves is told to within {max(step, FINEST):.1f} min")
    if done.idle:
        names = ", ".join(done.setup.label(t) for t in done.idle)
        out.append(f"nothing is drawn from: {names}")
    return out


def _together(done: Endurances) -> bool:
    return any(len(e.run.watched) > 1 for e in done.each)


def text(q: Asked, done: Endurances) -> str:
    """Return the page."""
    volume = q.shown.volume
    out = runs.opening(q, done.settings)
    rows = []
    for e in done.each:
        flow = number(-e.run.rate(e.tank), q.shown.flow)
        used = "runs out" if e.used is None else number(e.used, volume)
        lasts = "no solution" if e.run.trouble and e.lasts is None else minutes(e.lasts)
        rows.append([q.label(e.tank), number(e.run.start(e.tank), volume), flow, used, lasts])
    header = ["tank", "holds", "draws at first", f"in {done.minutes:g} min", "lasts"]
    by = "tanks feeding together" if _together(done) else "each tank by itself"
    title = f"Test run, {by} [{volume}, {q.shown.flow}]"
    out += page.titled(title, page.table(header, rows))
    for e in done.each:
        if e.why == NOTHING_USABLE:
            out += items([f"{q.label(e.tank)}: {e.why}"])
        elif e.why and e.why != "down to unusable":
            rest = show(e.run.end(e.tank), volume)
            said = f"{q.label(e.tank)}: {e.why}; {rest} in it at the end"
            out += items([said])
    for e in done.each:
        if e.starves and e.why != NOTHING_USABLE:
            out += items([f"{q.label(e.tank)}: an engine on it gets {100 * e.given:.0f} % of what "
                          "it wants from the start, so it does not run at this power; the minutes "
                          "are of what runs out, and of no run"])  # fmt: skip
    for e in done.each:
        if e.run.trouble:
            out += items([f"{q.label(e.tank)}: {runs.unsolved(e.run.trouble)}"])
    return "\n".join(out + runs.ending(notes(done)))


def as_object(q: Asked, done: Endurances) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    out = runs.begin_object("endurance", q, done.settings, notes(done))
    out["test_run_min"] = done.minutes
    out["tanks"] = [
        {"id": e.tank, "label": q.label(e.tank), "used_in_test_run_m3": e.used,
         "draws_m3_per_s": -e.run.rate(e.tank), "lasts_min": e.lasts,
         "gives_out": e.why or None, "given_at_start": e.given,
         "run": runs.as_object(q, e.run)}
        for e in done.each
    ]  # fmt: skip
    out["not_drawn_from"] = list(done.idle)
    return out


def draw(q: Asked, done: Endurances) -> str:
    """Return contents against time, one plot a tank."""
    told = [f"{q.label(e.tank)}: {show(e.run.start(e.tank), q.shown.volume)}, lasts "
            f"{minutes(e.lasts)}" for e in done.each]  # fmt: skip
    title = f"{q.places.layout.id}: endurance of a test run"
    return runs.draw(q, title, [e.run for e in done.each], told)
