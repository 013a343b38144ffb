"""``diagnose fuel return``: how long until the tank that receives the vapour return overflows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from diagnose.cli.fuel import page, runs
from diagnose.cli.fuel.ask import Asked
from diagnose.cli.fuel.pressures import CORRELATION
from diagnose.errors import UsageError
from diagnose.fuel import Fault, Settings, readings, solve
from diagnose.fuel.network import Meter
from diagnose.fuel.reach import downstream
from diagnose.fuel.settings import selecting
from diagnose.units import Quantity, show

NEARLY_FULL = 0.95
_NEAR = 1e-3  # the return is set to within a thousandth of what was asked
_TRIES = 12


@dataclass(frozen=True)
class Filling:
    """One receiving tank, fed from one tank."""

    receives: str
    feeds: str
    engines: tuple[str, ...]
    returned: float  # [m3/s], all its engines together, at the start; NaN without a steady state
    run: runs.Run


@dataclass(frozen=True)
class Returns:
    """The question and each filling."""

    question: Asked
    settings: Settings
    asked_flow: Quantity | None
    fillings: tuple[Filling, ...]


def returns(question: Asked, flow: Quantity | None, ullage: Quantity | None, power: str) -> Returns:
    """Run every receiving tank with each tank that can feed its engines.

    Args:
        question: Layout, state and conditions.
        flow: Return of each engine; None takes the layout's own.
        ullage: Space below full in each receiving tank; None takes what was set, or 5 %.
        power: Of all engines; '' leaves that of the state.

    Raises:
        UsageError: no vapour return here, more space than the tank has, or a return that the
            engines cannot give.
    """
    network = question.network
    meters = [m for m in network.meters if m.returns >= 0]
    if not meters:
        raise UsageError(f"{question.places.layout.id} has no vapour return.")
    tanks = sorted({network.runs[m.returns].top_tank for m in meters} - {-1})
    levels = dict(question.settings.levels)
    for k in tanks:
        levels[network.tanks[k].id] = _level(question, network.tanks[k].id, ullage)
    settings = replace(runs.with_power(question, power), levels=levels)
    out = []
    for k in tanks:
        to_it = [m for m in meters if network.runs[m.returns].top_tank == k]
        for feed, state in _feeds(question, settings, to_it):
            out.append(_filling(question, state, network.tanks[k].id, feed, to_it, flow))
    return Returns(question, settings, flow, tuple(out))


def _level(question: Asked, tank: str, ullage: Quantity | None) -> float:
    if ullage is None:
        return question.settings.levels[tank] if tank in question.stated else NEARLY_FULL
    capacity = question.network.layout.parts[tank].numbers["capacity"]
    if ullage.value_si > capacity:
        raise UsageError(f"--ullage '{ullage.typed}' is more than {tank} holds, "
                         f"{show(capacity, 'imp gal')} ({show(capacity, 'l')}).")  # fmt: skip
    return 1.0 - ullage.value_si / capacity


def _feeds(question: Asked, settings: Settings, meters: list[Meter]) -> list[tuple[str, Settings]]:
    """Return each tank that can be selected for these engines, with the cocks set for it."""
    network, out = question.network, []
    for tank in network.tanks:
        positions = selecting(network, tank.id)
        state = replace(settings, positions={**settings.positions, **positions})
        reached = downstream(network, state, tank.node)
        if positions and any(m.node in reached for m in meters):
            out.append((tank.id, state))
    return out or [("", settings)]


def _filling(
    question: Asked, state: Settings, tank: str, feed: str, meters: list[Meter],
    flow: Quantity | None,
) -> Filling:  # fmt: skip
    """Run one case until the tank overflows, a day at most."""
    faults = (*question.faults, *(() if flow is None else _opened(question, state, flow)))
    solution = solve(question.network, [state], [faults])
    back = readings(question.network, solution)
    returned = sum(float(back.at("return-flow", m.engine)[0]) for m in meters)
    rate = float(back.at("tank-rate", tank)[0])
    space = (
        runs.brim(question, tank)
        - state.levels[tank] * (question.network.layout.parts[tank].numbers["capacity"])
    )
    # a little longer than the first rate says; one that does not fill is watched for an hour
    span = min(1.2 * space / rate / 60.0 + 2.0, runs.DAY) if rate > 1e-9 else 60.0
    name = f"{question.label(tank)}, engines fed from {question.label(feed) if feed else 'all'}"
    watched = [tank] + ([feed] if feed and feed != tank else [])
    one = runs.run(question, name, state, span, watched, faults, step=max(1.0, span / 60.0))
    return Filling(tank, feed, tuple(m.engine for m in meters), returned, one)


def _opened(question: Asked, state: Settings, flow: Quantity) -> tuple[Fault, ...]:
    """Return the openings that give the asked return at every engine.

    Raises:
        UsageError: the engine pumps cannot give it.
    """
    network = question.network
    meters = [m for m in network.meters if m.returns >= 0]
    opening = {m.part: 1.0 for m in meters}
    for _ in range(_TRIES):
        faults = tuple(Fault(part, "return-open", v) for part, v in opening.items())
        solution = solve(network, [state], [(*question.faults, *faults)])
        found = readings(network, solution)
        given = {m.part: float(found.at("return-flow", m.engine)[0]) for m in meters}
        if all(abs(q - flow.value_si) <= _NEAR * flow.value_si for q in given.values()):
            return faults
        if not all(q > 1e-12 for q in given.values()):  # NaN too: no steady state, no return
            break
        opening = {part: opening[part] * flow.value_si / q for part, q in given.items()}
    raise UsageError(f"--flow '{flow.typed}': the engines cannot return that much in this state.")


# ------------------------------------------------------------------ text, data, plot


def verdict(done: Returns, f: Filling) -> str:
    """Return in words how long it takes."""
    h = f.run.history
    full, over = h.first("tank-full", f.receives), h.first("overflow", f.receives)
    said = [] if full is None else [f"full in {page.minutes(full)}"]
    out = f.run.gives_out(f.feeds, f.engines) if f.feeds else None
    if over is not None:
        said.append(f"overflows at the vent in {page.minutes(over)}")
    if out is not None and f.feeds != f.receives and (over is None or out[0] < over):
        ends = f"in {page.minutes(out[0])} ({out[1]})"
        # full is not yet overflowing: the expansion space takes some more
        said.append(
            f"the feeding tank gives out first, {ends}"
            if full is None or out[0] < full
            else f"then the feeding tank gives out before it overflows, {ends}"
        )
    elif over is None and f.run.trouble:
        said.append(f"no steady state found ({f.run.trouble}); nothing is concluded from there on")
    elif over is None and f.run.rate(f.receives) <= 0.0:
        said.append("does not fill: its engines draw more than they return")
    elif over is None:
        said.append(f"does not overflow within {page.minutes(float(h.minutes[-1]))}")
    return ", ".join(said)


def notes(done: Returns) -> list[str]:
    """Return what the figures rest on."""
    out = [CORRELATION]
    if done.asked_flow is None:
        return [*out, "the return of each engine is that of the layout in normal running"]
    return [*out, f"each engine returns {done.asked_flow.typed}, as asked"]


def text(done: Returns, plain: bool) -> str:
    """Return the page."""
    q = done.question
    out = runs.opening(q, done.settings, plain)
    for f in done.fillings:
        who = ", ".join(q.label(e) for e in f.engines)
        flow = page.with_unit(f.returned, q.shown.flow)
        lines = [
            f"returned to it: {flow} from {who}",
            f"contents change by {page.with_unit(f.run.rate(f.receives), q.shown.flow)}",
            verdict(done, f),
        ]
        out += page.titled(f.run.name[0].upper() + f.run.name[1:], page.items(lines, plain))
    return "\n".join(out + runs.ending(q, notes(done), plain))


def as_object(done: Returns) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    q = done.question
    out = runs.begin_object("return", q, done.settings, notes(done))
    out["fillings"] = [
        {"receives": f.receives, "fed_from": f.feeds or None, "engines": list(f.engines),
         "returned_m3_per_s": f.returned,
         "full_min": f.run.history.first("tank-full", f.receives),
         "overflow_min": f.run.history.first("overflow", f.receives),
         "feed_gives_out_min": _feed_out(f),
         "verdict": verdict(done, f), "run": runs.as_object(q, f.run)}
        for f in done.fillings
    ]  # fmt: skip
    return out


def _feed_out(f: Filling) -> float | None:
    out = f.run.gives_out(f.feeds, f.engines) if f.feeds else None
    return out[0] if out else None


def draw(done: Returns) -> str:
    """Return contents against time, one plot a case."""
    told = [f"{f.run.name}: {verdict(done, f)}" for f in done.fillings]
    title = f"{done.question.places.layout.id}: vapour return"
    return runs.draw(done.question, title, [f.run for f in done.fillings], told)
