"""Contents over time: a ground run or a parked night in quasi-steady steps.

Each step solves the steady state for the contents as they are and moves fuel at those rates; what
passes the brim goes out of the vent, or into the tank that shares it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.fuel.conditions import finish, prepare
from diagnose.fuel.faults import Fault, apply
from diagnose.fuel.network import Network
from diagnose.fuel.properties import Array
from diagnose.fuel.readings import contents_rates, readings
from diagnose.fuel.settings import Settings
from diagnose.fuel.solve import Solution, solve_conditions

MINUTE = 60.0
_LARGEST_CHANGE = 0.03  # share of a tank's capacity moved in one step
_LARGEST_ERROR = 0.002  # the same, by which the rates' change over a step may falsify it
_SHORTEST = 0.05  # [min]


@dataclass(frozen=True)
class Event:
    """Something that happened: tank-dry, tank-full, overflow, lamp-on, lamp-out, no-solution."""

    minute: float
    what: str
    place: str


@dataclass(frozen=True)
class History:
    """What a scenario did, at K + 1 moments from its start.

    Attributes:
        minutes: (K + 1,) since the start.
        contents: (K + 1, T) [m3].
        overboard: (K + 1, T) lost so far through vents and leaks of the tank [m3].
        burnt: (K + 1, engines) so far [m3].
        pressure: (K, engines) metering pressure over each step [Pa gauge].
        lit: (K, engines) warning lamp over each step; NaN where there is none.
    """

    tanks: tuple[str, ...]
    engines: tuple[str, ...]
    minutes: Array
    contents: Array
    overboard: Array
    burnt: Array
    pressure: Array
    lit: Array
    events: tuple[Event, ...]

    def change(self, tank: str) -> float:
        """Return the change of one tank's contents over the whole scenario [m3]."""
        at = self.tanks.index(tank)
        return float(self.contents[-1, at] - self.contents[0, at])

    def first(self, what: str, place: str) -> float | None:
        """Return the minute an event first happened, None if it did not."""
        found = [e.minute for e in self.events if e.what == what and e.place == place]
        return found[0] if found else None


def simulate(
    network: Network,
    schedule: Sequence[tuple[float, Settings]],
    faults: Sequence[Fault] = (),
    step: float = 1.0,
) -> History:
    """Run a schedule of (minutes, settings) with the same faults throughout.

    Contents start as the first settings say and carry over; ``step`` is the longest step
    [minutes], shortened while a tank changes fast.  A state without a steady solution ends the
    run with a no-solution event: nothing is made up after it.
    """
    return _Run(network, faults).run(schedule, step)


class _Run:
    def __init__(self, network: Network, faults: Sequence[Fault]) -> None:
        self.network, self.faults = network, tuple(faults)
        self.capacity = np.asarray([t.capacity for t in network.tanks])
        self.brim = np.asarray([network.layout.parts[t.id].brim for t in network.tanks])
        self.unusable = np.asarray([t.unusable for t in network.tanks])
        self.spill = {v.tank: v.other for v in network.vents if v.other >= 0}
        self.events: list[Event] = []
        self.lamps = np.full(len(network.engines), np.nan)
        self.start: Array | None = None

    def run(self, schedule: Sequence[tuple[float, Settings]], step: float) -> History:
        """Step through the schedule."""
        network = self.network
        first = schedule[0][1]
        volume = self.capacity * [first.levels.get(t.id, 0.5) for t in network.tanks]
        lost, burnt = np.zeros_like(volume), np.zeros(len(network.engines))
        times, contents, losses, burns = [0.0], [volume], [lost], [burnt]
        pressures, lamps = [], []
        now = 0.0
        for minutes, settings in schedule:
            end = now + minutes
            ahead: Solution | None = None
            while now < end - 1e-9:
                solution = ahead or self.solve(settings, volume)
                if not solution.converged[0]:
                    self.events.append(Event(float(now), "no-solution", solution.trouble(0)))
                    break
                found = readings(network, solution)
                rates = contents_rates(network, solution)[0]
                quick = np.abs(rates) / (_LARGEST_CHANGE * self.capacity)
                length = min(
                    step, end - now, max(1.0 / max(quick.max() * MINUTE, 1e-12), _SHORTEST)
                )
                length, ahead = self.steady(settings, volume, rates, length)
                seconds = length * MINUTE
                now += length
                leaks = found.values["overboard-flow"][0]
                volume, out = self.move(volume, rates * seconds, now - length, length)
                lost = lost + out + leaks * seconds
                burnt = burnt + np.nan_to_num(found.values["flow"][0]) * seconds
                before = self.lamps
                self.watch(found.values["pressure-lamp"][0], now - length)
                if not np.array_equal(before, self.lamps, equal_nan=True):
                    ahead = None  # a switch that has made breaks at its other point
                pressures.append(found.values["metering-pressure"][0])
                lamps.append(self.lamps.copy())
                times.append(now)
                contents.append(volume)
                losses.append(lost)
                burns.append(burnt)
            else:
                continue
            break
        shape = (len(pressures), len(network.engines))
        return History(
            tuple(t.id for t in network.tanks),
            tuple(e.id for e in network.engines),
            np.asarray(times),
            np.asarray(contents),
            np.asarray(losses),
            np.asarray(burns),
            np.asarray(pressures).reshape(shape),
            np.asarray(lamps).reshape(shape),
            tuple(self.events),
        )

    def solve(self, settings: Settings, volume: Array) -> Solution:
        """Solve the state with the contents as they are, from where the last step stood."""
        names = [t.id for t in self.network.tanks]
        levels = dict(zip(names, (volume / self.capacity).tolist(), strict=True))
        state = replace(settings, levels=levels)
        conditions = prepare(self.network, [state])
        lit = np.nan_to_num(self.lamps, nan=float(settings.rising))
        conditions.rising = lit[None, :].copy()  # a lit lamp goes out at the high point only
        for fault in self.faults:
            apply(self.network, conditions, 0, state, fault)
        finish(self.network, conditions)
        solution = solve_conditions(self.network, conditions, (state,), (self.faults,), self.start)
        self.start = solution.pressure if solution.converged[0] else None
        return solution

    def steady(
        self, settings: Settings, volume: Array, rates: Array, length: float
    ) -> tuple[float, Solution | None]:
        """Return a step over which the rates hold, at most ``length`` [min], and its end solved.

        Tanks that are joined would else run past the level at which they meet, and back again.
        None where the step meets a brim or an empty tank: its end is then another one.
        """
        while True:
            after = volume + rates * length * MINUTE
            if (after < 0.0).any() and length > _SHORTEST:  # no further than the last drop
                left = np.where(after < 0.0, volume / np.maximum(-rates * MINUTE, 1e-12), length)
                length = max(0.999 * float(left.min()), _SHORTEST)
                continue
            if (after < 0.0).any() or (after > self.brim).any():
                return length, None
            ahead = self.solve(settings, after)
            if not ahead.converged[0] or length <= _SHORTEST:
                return length, ahead
            turned = np.abs(contents_rates(self.network, ahead)[0] - rates) * length * MINUTE
            if (turned <= 2.0 * _LARGEST_ERROR * self.capacity).all():
                return length, ahead
            length = max(0.5 * length, _SHORTEST)

    def move(
        self, volume: Array, change: Array, start: float, length: float
    ) -> tuple[Array, Array]:
        """Return contents after a step and what went overboard at the vents.

        ``start`` and ``length`` of the step are in minutes; events fall where within it the
        level passed.
        """
        after = np.maximum(volume + change, 0.0)
        out = np.zeros_like(after)

        def note(what: str, tank: int, level: float) -> None:
            part = (level - volume[tank]) / change[tank] if change[tank] else 1.0
            event = Event(float(start + length * min(max(part, 0.0), 1.0)), what,
                          self.network.tanks[tank].id)  # fmt: skip
            if what != "overflow" or self.fresh(event):
                self.events.append(event)

        for tank in range(len(after)):
            if after[tank] >= self.capacity[tank] > volume[tank]:
                note("tank-full", tank, self.capacity[tank])
            if after[tank] <= self.unusable[tank] < volume[tank]:
                note("tank-dry", tank, self.unusable[tank])
            over = after[tank] - self.brim[tank]
            if over > 0.0:
                after[tank] = self.brim[tank]
                other = self.spill.get(tank, -1)
                if other >= 0:
                    after[other] += over
                else:
                    out[tank] = over
                    note("overflow", tank, self.brim[tank])
        return after, out

    def fresh(self, event: Event) -> bool:
        """Say whether something that lasts has not been noted before."""
        return not any(e.what == event.what and e.place == event.place for e in self.events)

    def watch(self, lit: Array, minute: float) -> None:
        """Keep the lamps' changes."""
        for i, engine in enumerate(self.network.engines):
            before, after = self.lamps[i], lit[i]
            if not np.isnan(after) and not np.isnan(before) and before != after:
                what = "lamp-on" if after > 0.5 else "lamp-out"
                self.events.append(Event(float(minute), what, engine.id))
        self.lamps = lit.copy()
