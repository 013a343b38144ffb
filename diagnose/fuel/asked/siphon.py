"""What runs from tank to tank at rest, and what the airflow draws over the wing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.fuel import properties as fp
from diagnose.fuel.asked.runs import Run, run
from diagnose.fuel.asked.setup import Setup
from diagnose.fuel.elements import DISCHARGE
from diagnose.fuel.network import Tank
from diagnose.fuel.settings import Settings, all_engines, cocks_off
from diagnose.model import COCKS
from diagnose.units import Quantity

HIGH, LOW = 0.75, 0.25


@dataclass(frozen=True)
class Siphon:
    """The runs at rest and the suction over the wing."""

    setup: Setup
    settings: Settings
    cases: tuple[Run, ...]
    minutes: float
    speeds: tuple[Quantity, ...]


def siphon(setup: Setup, minutes: float, speeds: Sequence[Quantity]) -> Siphon:
    """Run every way tanks can be joined at rest, from unequal levels."""
    network = setup.network
    settings = replace(setup.settings, levels=_levels(setup), power=all_engines(network, "none"))
    if not _joined_by_hand(setup):  # else the run state's own positions, whichever they are
        settings = replace(settings, positions=cocks_off(network))
    cases = [_at_rest(setup, name, s, minutes) for name, s in _cases(setup, settings)]
    return Siphon(setup, settings, tuple(cases), minutes, tuple(speeds))


def _at_rest(setup: Setup, name: str, settings: Settings, minutes: float) -> Run:
    """Return one case until the levels meet, or for all the minutes.

    Steps that pass the meeting point run back in the next one: the case is run again finely to
    that point and ends there.
    """
    one = run(setup, name, settings, minutes, (), step=30.0)
    turn = _turn(one)
    if turn is None:
        return one
    span = min(1.2 * float(one.history.minutes[turn]), minutes)
    fine = run(setup, name, settings, span, (), step=max(span / 150.0, 0.1))
    end = _turn(fine)
    return fine if end is None else _until(fine, end)


def _turn(one: Run) -> int | None:
    """Return the step in which a tank that gained first loses, or the other way; None if none."""
    moves = np.diff(one.history.contents, axis=0)
    if len(moves) < 2:
        return None
    back = (moves[1:] * np.sign(moves[0]) < -_TURNED).any(axis=1).nonzero()[0]
    return int(back[0]) + 1 if len(back) else None


_TURNED = 1e-5  # [m3] ten millilitres in a step: more than the solver's creep


def _until(one: Run, step: int) -> Run:
    """Return a run cut off after ``step`` steps."""
    h = one.history
    end = float(h.minutes[step])
    cut = replace(
        h, minutes=h.minutes[: step + 1], contents=h.contents[: step + 1],
        overboard=h.overboard[: step + 1], burnt=h.burnt[: step + 1], pressure=h.pressure[:step],
        lit=h.lit[:step], events=tuple(e for e in h.events if e.minute <= end),
    )  # fmt: skip
    return replace(one, history=cut)


def met(done: Siphon, one: Run) -> float | None:
    """Return when the levels met [min], None if they did not or the run ended early."""
    end = float(one.history.minutes[-1])
    return end if end < done.minutes - 1e-6 and not one.trouble else None


def _levels(setup: Setup) -> dict[str, float]:
    """Return contents: as stated, else unequal."""
    parts = setup.network.layout.parts
    tanks = [t.id for t in setup.network.tanks]
    port = {t for t in tanks if parts[t].side == "port"} or set(tanks[:1])
    return {
        t: setup.settings.levels[t] if t in setup.stated else HIGH if t in port else LOW
        for t in tanks
    }


def _joined_by_hand(setup: Setup) -> bool:
    """Return whether the asker set a cock or a transfer valve."""
    parts = setup.network.layout.parts
    joining = (*COCKS, "transfer-valve")
    return any(parts[part].kind in joining for part in setup.stated)


def _cases(setup: Setup, settings: Settings) -> list[tuple[str, Settings]]:
    """Return each way the cocks can join tanks, or only that which was set."""
    parts = setup.network.layout.parts
    if _joined_by_hand(setup):
        return [("cocks as set", settings)]
    out = [("cocks shut", settings), ("cocks in their normal positions",
                                      replace(settings, positions={}))]  # fmt: skip
    for part in parts.values():
        if part.kind == "cross-feed-cock":
            opened = next((n for n, pairs in part.positions.items() if pairs), "")
            name = f"{setup.label(part.id)} {opened}, other cocks normal"
            out.append((name, replace(settings, positions={part.id: opened})))
        elif part.kind == "selector-cock":
            several = [n for n, pairs in part.positions.items() if len(pairs) > 1]
            out += [(f"{setup.label(part.id)} {n}", replace(settings, positions={part.id: n}))
                    for n in several if n != part.normal]  # fmt: skip
        elif part.kind == "transfer-valve":
            open_ = replace(settings, open_valves=settings.open_valves | {part.id})
            out.append((f"{setup.label(part.id)} left open, cocks shut", open_))
    return out


@dataclass(frozen=True)
class Suction:
    """What an airspeed can lift: dynamic pressure [Pa] and head of fuel [m]."""

    pressure: float
    head: float


def suction(done: Siphon, speed: Quantity) -> Suction:
    """Return what the airflow at one speed can lift."""
    pressure = float(fp.ram_pressure(speed.value_si, done.settings.height))
    return Suction(pressure, float(fp.fuel_head(pressure, done.settings.temperature)))


def capped(setup: Setup) -> list[Tank]:
    """Return the tanks that have a filler cap of their own, or could lose none over the wing."""
    parts = setup.network.layout.parts.values()
    own = {p.of for p in parts if p.kind == "filler-cap"}
    return [t for t in setup.network.tanks if t.id in own]


def below_top(done: Siphon, tank: str) -> float:
    """Return how far the fuel stands below the top of its tank [m]."""
    t = done.setup.network.tank(tank)
    return max(1.0 - done.settings.levels[tank], 0.0) * t.depth


def from_speed(done: Siphon, tank: str) -> float:
    """Return the airspeed from which a loose cap draws fuel out of a tank [m/s]."""
    rise = below_top(done, tank)
    return float(fp.lifting_speed(rise, done.settings.temperature, done.settings.height))


def left(done: Siphon, tank: str, head: float) -> float:
    """Return what a suction of ``head`` [m] leaves in a tank [m3]."""
    t = done.setup.network.tank(tank)
    now = done.settings.levels[tank] * t.capacity
    return min(now, t.area * max(t.depth - head, 0.0))


GAP = 10e-6
"""Opening at the cap that a rate is told for [m2]; half of it loses half."""


def first_rate(done: Siphon, tank: str, pressure: float) -> float:
    """Return what a suction draws out through ``GAP`` at first [m3/s]; less as the fuel falls."""
    density = float(fp.density(done.settings.temperature))
    push = pressure - density * fp.GRAVITY * below_top(done, tank)
    return DISCHARGE * GAP * math.sqrt(2.0 * max(push, 0.0) / density)
