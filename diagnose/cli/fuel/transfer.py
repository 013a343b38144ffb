"""``diagnose fuel transfer``: emptying one tank into another."""

from __future__ import annotations

from typing import Any

from diagnose.cli.fuel import page, runs
from diagnose.cli.printing import items
from diagnose.fuel.asked.figures import minutes
from diagnose.fuel.asked.setup import Asked
from diagnose.fuel.asked.transfers import GIVING, RECEIVING, Transfer, Transfers
from diagnose.grammar import capital


def notes(done: Transfers) -> list[str]:
    """Return what the figures rest on."""
    return [f"where contents were not stated the giving tank begins at {100 * GIVING:g} %, "
            f"the receiving at {100 * RECEIVING:g} %"]  # fmt: skip


def verdict(t: Transfer) -> str:
    """Return in words what came of it."""
    h = t.run.history
    if t.run.trouble:
        return runs.unsolved(t.run.trouble)
    over, dry = h.first("overflow", t.receives), h.first("tank-dry", t.gives)
    if over is not None:
        return f"the receiving tank overflows at its vent in {minutes(over)}"
    if dry is not None:
        return f"the giving tank is down to unusable in {minutes(dry)}"
    if not t.run.moved():
        return "nothing runs"
    span = minutes(float(h.minutes[-1]))
    full = h.first("tank-full", t.receives)
    if full is not None:
        return f"the receiving tank is full in {minutes(full)} and spills nothing in {span}"
    return f"still under way or level after {span}"


def text(q: Asked, done: Transfers) -> str:
    """Return the page."""
    out = runs.opening(q, done.setup.settings)
    for t in done.each:
        title = f"{capital(t.run.name)} [{q.shown.volume}]"
        lines = runs.tank_table(q, t.run, (t.gives, t.receives))
        lines += items(runs.event_lines(q, t.run))
        out += page.titled(title, lines + items([verdict(t)]))
    return "\n".join(out + runs.ending(notes(done)))


def as_object(q: Asked, done: Transfers) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    out = runs.begin_object("transfer", q, done.setup.settings, notes(done))
    out["transfers"] = [
        {"gives": t.gives, "receives": t.receives, "by": t.how,
         "verdict": verdict(t), "run": runs.as_object(q, t.run)}
        for t in done.each
    ]  # fmt: skip
    return out


def draw(q: Asked, done: Transfers) -> str:
    """Return contents against time, one plot a transfer."""
    told = [f"{t.run.name}: {verdict(t)}" for t in done.each]
    title = f"{q.places.layout.id}: transfer"
    return runs.draw(q, title, [t.run for t in done.each], told)
