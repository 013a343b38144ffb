"""Running tanks down into the engines: what a test run draws, and how long each lasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.errors import UsageError
from diagnose.fuel.asked.runs import DAY, Run, run, with_power
from diagnose.fuel.asked.setup import Setup
from diagnose.fuel.reach import downstream
from diagnose.fuel.readings import readings
from diagnose.fuel.settings import NOT_RUNNING, Settings, selecting
from diagnose.fuel.solve import solve

_DRAWN = 0.05e-3 / 3600.0  # [m3/s] less than this is not feeding anything

ENOUGH = 0.85  # share of the fuel wanted below which an engine fades, as the readings are classed

FINEST = 1.0  # [min] shortest step asked for

_TOGETHER = "all tanks feed together, and then an engine starves"

NOTHING_USABLE = "holds no more than its unusable fuel to begin with"
"""Why a tank lasts no minute: level and undisturbed it may run on, but nobody may count on it."""


@dataclass(frozen=True)
class Endurance:
    """One tank run down.

    ``used`` is what a test run of the minutes asked draws [m3], None if the tank does not last;
    ``lasts`` the minutes until it gives out, and ``why``; ``given`` the least share of what one of
    its engines wants that it gets at the start, 1 without a steady state.
    """

    tank: str
    run: Run
    used: float | None
    lasts: float | None
    why: str
    given: float

    @property
    def starves(self) -> bool:
        """Return whether an engine goes short from the start: its minutes are then of no run."""
        return self.given < ENOUGH


@dataclass(frozen=True)
class Endurances:
    """What was asked, the length of the test run, and each tank."""

    setup: Setup
    settings: Settings
    minutes: float
    each: tuple[Endurance, ...]
    idle: tuple[str, ...]  # tanks no selection feeds an engine from


def endurances(setup: Setup, minutes: float, power: str) -> Endurances:
    """Run each tank that can be selected down to unusable; without a selector, as it stands.

    Raises:
        UsageError: no engine runs in this state.
    """
    settings = with_power(setup, power)
    if not set(settings.power.values()) - {*NOT_RUNNING}:
        raise UsageError("No engine runs in this state; choose another with --state or --power.")
    network = setup.network
    ways = {t.id: selecting(network, t.id) for t in network.tanks}
    chosen = {t: cocks for t, cocks in ways.items() if cocks}
    out: list[Endurance] = []
    if not chosen:  # nothing to select: all tanks feed, or feed each other, at once
        out += _endurance(setup, tuple(ways), settings, minutes)
    for tank, cocks in chosen.items():
        state = replace(settings, positions={**settings.positions, **cocks})
        out += _endurance(setup, (tank,), state, minutes)
    idle = [e.tank for e in out if e.lasts is None and e.run.rate(e.tank) > -_DRAWN]
    idle += [t for t in ways if chosen and t not in chosen]
    return Endurances(setup, settings, minutes, tuple(e for e in out if e.tank not in idle),
                      tuple(idle))  # fmt: skip


def _endurance(
    setup: Setup, tanks: tuple[str, ...], state: Settings, minutes: float
) -> list[Endurance]:
    """Run tanks down together until they or their engines give out, a day at most."""
    engines = _fed(setup, state, tanks)
    name = " and ".join(setup.label(t) for t in tanks)
    span = max(_first_guess(setup, state, tanks), minutes)
    while True:
        step = max(FINEST, span / 60.0)
        one = run(setup, f"on {name}", state, span, tanks, step=step)
        ends = {t: one.gives_out(t, engines) for t in tanks}
        if any(ends.values()) or one.trouble or span >= DAY:
            break
        if all(one.rate(t) > -_DRAWN for t in tanks):
            break  # nothing is drawn; more time would show no more
        span = min(2.0 * span, DAY)
    parts = setup.network.layout.parts
    given = _given(setup, state, engines)
    for tank in ends:
        if one.start(tank) <= parts[tank].numbers.get("unusable", 0.0):
            ends[tank] = (0.0, NOTHING_USABLE)
    out = []
    for tank, end in ends.items():
        lasts, why = end if end else (None, "")
        starved = why not in ("", NOTHING_USABLE)
        if len(tanks) > 1 and starved and lasts != one.history.first("tank-dry", tank):
            why = _TOGETHER
        out.append(Endurance(tank, one, _used(one, tank, minutes, lasts), lasts, why, given))
    return out


def _given(setup: Setup, state: Settings, engines: Sequence[str]) -> float:
    """Return the least share of what it wants that one of ``engines`` gets at the start."""
    solution = solve(setup.network, [state], [setup.faults])
    if not engines or not solution.converged[0]:
        return 1.0
    found = readings(setup.network, solution)
    return min(float(found.at("burn-fraction", e)[0]) for e in engines)


def _first_guess(setup: Setup, state: Settings, tanks: tuple[str, ...]) -> float:
    """Return about how long the tanks last [min], from what they give in the first minute."""
    one = run(setup, "the first minute", state, 1.0, tanks)
    parts = setup.network.layout.parts
    usable = sum(one.start(t) - parts[t].numbers.get("unusable", 0.0) for t in tanks)
    drawn = -sum(one.rate(t) for t in tanks)
    guess = 1.1 * usable / drawn / 60.0 + 2.0 if drawn > _DRAWN and usable > 0.0 else 30.0
    return float(min(guess, DAY))


def _fed(setup: Setup, state: Settings, tanks: tuple[str, ...]) -> list[str]:
    """Return the engines these tanks feed as the cocks stand."""
    network = setup.network
    reached: set[int] = set()
    for tank in tanks:
        start = network.tank(tank).node
        reached |= downstream(network, state, start)
    return [m.engine for m in network.meters if m.node in reached]


def _used(one: Run, tank: str, minutes: float, lasts: float | None) -> float | None:
    """Return what a tank lost in the first minutes [m3]; None if the run did not last."""
    from numpy import interp

    h, at = one.history, one.history.tanks.index(tank)
    if h.minutes[-1] < minutes - 1e-6 or (lasts is not None and lasts < minutes):
        return None
    return one.start(tank) - float(interp(minutes, h.minutes, h.contents[:, at]))
