"""How long until the tank that receives the vapour return overflows."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from diagnose.errors import UsageError
from diagnose.fuel.asked.runs import DAY, Run, run, with_power
from diagnose.fuel.asked.setup import Setup
from diagnose.fuel.faults import Fault
from diagnose.fuel.network import Meter
from diagnose.fuel.reach import downstream
from diagnose.fuel.readings import readings
from diagnose.fuel.settings import Settings, selecting
from diagnose.fuel.solve import solve
from diagnose.units import Quantity, show

NEARLY_FULL = 0.95

_NEAR = 1e-3  # the return is set to within a thousandth of what was asked

_TRIES = 25

_WIDEST = 4.0
"""Most that an opening is widened in one try."""

_OPENINGS = tuple(2.0**k for k in range(11))
"""How far a return is opened to see what it can give at the most: beyond, the pumps are the limit
(this project's statement)."""

_WITHIN = 0.99
"""Share of the most that is named, so that what is named can be asked for."""


@dataclass(frozen=True)
class Filling:
    """One receiving tank, fed from one tank."""

    receives: str
    feeds: str
    engines: tuple[str, ...]
    returned: float  # [m3/s], all its engines together, at the start; NaN without a steady state
    run: Run


@dataclass(frozen=True)
class Returns:
    """What was asked, and each filling."""

    settings: Settings
    asked_flow: Quantity | None
    fillings: tuple[Filling, ...]


def returns(setup: Setup, flow: Quantity | None, ullage: Quantity | None, power: str) -> Returns:
    """Run every receiving tank with each tank that can feed its engines.

    Args:
        setup: Layout, state and conditions.
        flow: Return of each engine; None takes the layout's own.
        ullage: Space below full in each receiving tank; None takes what was set, or 5 %.
        power: Of all engines; '' leaves that of the state.

    Raises:
        UsageError: no vapour return here, more space than the tank has, or a return that the
            engines cannot give.
    """
    network = setup.network
    meters = [m for m in network.meters if m.returns >= 0]
    if not meters:
        raise UsageError(f"{setup.places.layout.id} has no vapour return.")
    tanks = sorted({network.runs[m.returns].top_tank for m in meters} - {-1})
    levels = dict(setup.settings.levels)
    for k in tanks:
        levels[network.tanks[k].id] = _level(setup, network.tanks[k].id, ullage)
    settings = replace(with_power(setup, power), levels=levels)
    out = []
    for k in tanks:
        to_it = [m for m in meters if network.runs[m.returns].top_tank == k]
        for feed, state in _feeds(setup, settings, to_it):
            out.append(_filling(setup, state, network.tanks[k].id, feed, to_it, flow))
    return Returns(settings, flow, tuple(out))


def _level(setup: Setup, tank: str, ullage: Quantity | None) -> float:
    if ullage is None:
        return setup.settings.levels[tank] if tank in setup.stated else NEARLY_FULL
    capacity = setup.network.layout.parts[tank].numbers["capacity"]
    if ullage.value_si > capacity:
        raise UsageError(f"--ullage '{ullage.typed}' is more than {tank} holds, "
                         f"{show(capacity, 'imp gal')} ({show(capacity, 'l')}).")  # fmt: skip
    return 1.0 - ullage.value_si / capacity


def _feeds(setup: Setup, settings: Settings, meters: list[Meter]) -> list[tuple[str, Settings]]:
    """Return each tank that can be selected for these engines, with the cocks set for it."""
    network, out = setup.network, []
    for tank in network.tanks:
        positions = selecting(network, tank.id)
        state = replace(settings, positions={**settings.positions, **positions})
        reached = downstream(network, state, tank.node)
        if positions and any(m.node in reached for m in meters):
            out.append((tank.id, state))
    return out or [("", settings)]


def _filling(
    setup: Setup, state: Settings, tank: str, feed: str, meters: list[Meter],
    flow: Quantity | None,
) -> Filling:  # fmt: skip
    """Run one case until the tank overflows, a day at most."""
    faults = (*setup.faults, *(() if flow is None else _opened(setup, state, flow)))
    solution = solve(setup.network, [state], [faults])
    back = readings(setup.network, solution)
    returned = sum(float(back.at("return-flow", m.engine)[0]) for m in meters)
    rate = float(back.at("tank-rate", tank)[0])
    part = setup.network.layout.parts[tank]
    space = part.brim - state.levels[tank] * part.numbers["capacity"]
    # a little longer than the first rate says; one that does not fill is watched for an hour
    span = min(1.2 * space / rate / 60.0 + 2.0, DAY) if rate > 1e-9 else 60.0
    name = f"{setup.label(tank)}, engines fed from {setup.label(feed) if feed else 'all'}"
    watched = [tank] + ([feed] if feed and feed != tank else [])
    one = run(setup, name, state, span, watched, faults, step=max(1.0, span / 60.0))
    return Filling(tank, feed, tuple(m.engine for m in meters), returned, one)


def _opened(setup: Setup, state: Settings, flow: Quantity) -> tuple[Fault, ...]:
    """Return the openings that give the asked return at every engine.

    Raises:
        UsageError: the engine pumps cannot give it.
    """
    network = setup.network
    meters = [m for m in network.meters if m.returns >= 0]
    opening = {m.part: 1.0 for m in meters}
    rises = dict.fromkeys(opening, 1.0)
    before: dict[str, tuple[float, float]] = {}
    for _ in range(_TRIES):
        faults = tuple(Fault(part, "return-open", v) for part, v in opening.items())
        solution = solve(network, [state], [(*setup.faults, *faults)])
        found = readings(network, solution)
        given = {m.part: float(found.at("return-flow", m.engine)[0]) for m in meters}
        if all(abs(q - flow.value_si) <= _NEAR * flow.value_si for q in given.values()):
            return faults
        if not all(q > 1e-12 for q in given.values()):  # NaN too: no steady state, no return
            break
        for part, q in given.items():
            rises[part] = _rise(before.get(part), (opening[part], q), rises[part])
            before[part] = (opening[part], q)
            opening[part] *= min((flow.value_si / q) ** (1.0 / rises[part]), _WIDEST)
    raise UsageError(
        f"--flow '{flow.typed}': the engines cannot return that much in this state"
        f"{_most_in_words(setup, state, meters)}."
    )


def _rise(before: tuple[float, float] | None, now: tuple[float, float], last: float) -> float:
    """Return by what power of its opening a return rises: near the most by hardly any."""
    if before is None or before[0] == now[0]:
        return last
    rise = math.log(now[1] / before[1]) / math.log(now[0] / before[0])
    return min(max(rise, 0.02), 1.0)


def _most_in_words(setup: Setup, state: Settings, meters: list[Meter]) -> str:
    """Return the most that every engine can return, '' where no opening has a steady state."""
    rows = [[*setup.faults, *(Fault(m.part, "return-open", v) for m in meters)] for v in _OPENINGS]
    found = readings(setup.network, solve(setup.network, [state], rows))
    least = np.min([found.at("return-flow", m.engine) for m in meters], axis=0)
    if not np.isfinite(least).any():
        return ""
    most = _WITHIN * float(np.nanmax(least))
    return f"; the most is about {show(most, 'imp gal/h')} ({show(most, 'l/h')}) an engine"


def feed_gives_out(f: Filling) -> float | None:
    """Return when the feeding tank gives out [min]; None if it does not."""
    out = f.run.gives_out(f.feeds, f.engines) if f.feeds else None
    return out[0] if out else None
