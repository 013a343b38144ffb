"""``diagnose fuel return``: how long until the tank that receives the vapour return overflows."""

from __future__ import annotations

from typing import Any

from diagnose.cli.fuel import page, runs
from diagnose.cli.fuel.page import CORRELATION
from diagnose.cli.printing import items
from diagnose.fuel.asked.figures import minutes, with_unit
from diagnose.fuel.asked.returned import Filling, Returns, feed_gives_out
from diagnose.fuel.asked.setup import Asked
from diagnose.grammar import capital

# ------------------------------------------------------------------ text, data, plot


def verdict(f: Filling) -> str:
    """Return in words how long it takes."""
    h = f.run.history
    full, over = h.first("tank-full", f.receives), h.first("overflow", f.receives)
    said = [] if full is None else [f"full in {minutes(full)}"]
    out = f.run.gives_out(f.feeds, f.engines) if f.feeds else None
    if out is not None and f.feeds != f.receives and (over is None or out[0] < over):
        ends = f"in {minutes(out[0])} ({out[1]})"
        # full is not yet overflowing: the expansion space takes some more
        said.append(
            f"the feeding tank gives out first, {ends}"
            if full is None or out[0] < full
            else f"then the feeding tank gives out before it overflows, {ends}"
        )
        if over is not None:
            said.append(f"and drawn on below that it overflows in {minutes(over)}")
    elif over is not None:
        said.append(f"overflows at the vent in {minutes(over)}")
    elif f.run.trouble:
        said.append(runs.unsolved(f.run.trouble))
    elif f.run.rate(f.receives) <= 0.0:
        said.append("does not fill: its engines draw more than they return")
    else:
        said.append(f"does not overflow within {minutes(float(h.minutes[-1]))}")
    return ", ".join(said)


def notes(done: Returns) -> list[str]:
    """Return what the figures rest on."""
    out = [CORRELATION]
    if done.asked_flow is None:
        return [*out, "the return of each engine is that of the layout in normal running"]
    return [*out, f"each engine returns {done.asked_flow.typed}, as asked"]


def text(q: Asked, done: Returns) -> str:
    """Return the page."""
    out = runs.opening(q, done.settings)
    for f in done.fillings:
        who = ", ".join(q.label(e) for e in f.engines)
        flow = with_unit(f.returned, q.shown.flow)
        lines = [
            f"returned to it: {flow} from {who}",
            f"contents change by {with_unit(f.run.rate(f.receives), q.shown.flow)}",
            verdict(f),
        ]
        out += page.titled(capital(f.run.name), items(lines))
    return "\n".join(out + runs.ending(notes(done)))


def as_object(q: Asked, done: Returns) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    out = runs.begin_object("return", q, done.settings, notes(done))
    out["fillings"] = [
        {"receives": f.receives, "fed_from": f.feeds or None, "engines": list(f.engines),
         "returned_m3_per_s": f.returned,
         "full_min": f.run.history.first("tank-full", f.receives),
         "overflow_min": f.run.history.first("overflow", f.receives),
         "feed_gives_out_min": feed_gives_out(f),
         "verdict": verdict(f), "run": runs.as_object(q, f.run)}
        for f in done.fillings
    ]  # fmt: skip
    return out


def draw(q: Asked, done: Returns) -> str:
    """Return contents against time, one plot a case."""
    told = [f"{f.run.name}: {verdict(f)}" for f in done.fillings]
    title = f"{q.places.layout.id}: vapour return"
    return runs.draw(q, title, [f.run for f in done.fillings], told)
