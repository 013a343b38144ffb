"""``diagnose fuel siphon``: what runs from tank to tank at rest, and over the wing in flight."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from diagnose.cli.fuel import page, runs
from diagnose.cli.fuel.ask import Asked
from diagnose.fuel import Settings
from diagnose.fuel import properties as fp
from diagnose.fuel.elements import DISCHARGE
from diagnose.fuel.network import Tank
from diagnose.fuel.settings import all_engines, cocks_off
from diagnose.model import COCKS
from diagnose.units import Quantity, show, to

SPEEDS = ("60 kn", "100 kn", "150 kn", "200 kn")
HIGH, LOW = 0.75, 0.25
UNEQUAL = (
    f"where contents were not stated the tanks to port, or else the first, hold {100 * HIGH:g} % "
    f"and the others {100 * LOW:g} %, so that there is something to run"
)
CAP = (
    "over the wing: the whole dynamic pressure as suction at a loose cap on top of the tank, the "
    "vent at the outside pressure (the worst case, common practice, no source)"
)


@dataclass(frozen=True)
class Siphon:
    """The runs at rest and the suction over the wing."""

    question: Asked
    settings: Settings
    cases: tuple[runs.Run, ...]
    minutes: float
    speeds: tuple[Quantity, ...]


def siphon(question: Asked, minutes: float, speeds: Sequence[Quantity]) -> Siphon:
    """Run every way tanks can be joined at rest, from unequal levels."""
    network = question.network
    settings = replace(
        question.settings, levels=_levels(question), power=all_engines(network, "none")
    )
    if not _joined_by_hand(question):  # else the run state's own positions, whichever they are
        settings = replace(settings, positions=cocks_off(network))
    cases = [_at_rest(question, name, s, minutes) for name, s in _cases(question, settings)]
    return Siphon(question, settings, tuple(cases), minutes, tuple(speeds))


def _at_rest(question: Asked, name: str, settings: Settings, minutes: float) -> runs.Run:
    """Return one case until the levels meet, or for all the minutes.

    Steps that pass the meeting point run back in the next one: the case is run again finely to
    that point and ends there.
    """
    one = runs.run(question, name, settings, minutes, (), step=30.0)
    turn = _turn(one)
    if turn is None:
        return one
    span = min(1.2 * float(one.history.minutes[turn]), minutes)
    fine = runs.run(question, name, settings, span, (), step=max(span / 150.0, 0.1))
    end = _turn(fine)
    return fine if end is None else _until(fine, end)


def _turn(one: runs.Run) -> int | None:
    """Return the step in which a tank that gained first loses, or the other way; None if none."""
    moves = np.diff(one.history.contents, axis=0)
    if len(moves) < 2:
        return None
    back = (moves[1:] * np.sign(moves[0]) < -_TURNED).any(axis=1).nonzero()[0]
    return int(back[0]) + 1 if len(back) else None


_TURNED = 1e-5  # [m3] ten millilitres in a step: more than the solver's creep


def _until(one: runs.Run, step: int) -> runs.Run:
    """Return a run cut off after ``step`` steps."""
    h = one.history
    end = float(h.minutes[step])
    cut = replace(
        h, minutes=h.minutes[: step + 1], contents=h.contents[: step + 1],
        overboard=h.overboard[: step + 1], burnt=h.burnt[: step + 1], pressure=h.pressure[:step],
        lit=h.lit[:step], events=tuple(e for e in h.events if e.minute <= end),
    )  # fmt: skip
    return replace(one, history=cut)


def met(done: Siphon, one: runs.Run) -> float | None:
    """Return when the levels met [min], None if they did not or the run ended early."""
    end = float(one.history.minutes[-1])
    return end if end < done.minutes - 1e-6 and not one.trouble else None


def _levels(question: Asked) -> dict[str, float]:
    """Return contents: as stated, else unequal."""
    parts = question.network.layout.parts
    tanks = [t.id for t in question.network.tanks]
    port = {t for t in tanks if parts[t].side == "port"} or set(tanks[:1])
    return {
        t: question.settings.levels[t] if t in question.stated else HIGH if t in port else LOW
        for t in tanks
    }


def _joined_by_hand(question: Asked) -> bool:
    """Return whether the asker set a cock or a transfer valve."""
    parts = question.network.layout.parts
    touched = [parts[s.partition("=")[0].strip()].kind for s in question.sets]
    return any(kind in (*COCKS, "transfer-valve") for kind in touched)


def _cases(question: Asked, settings: Settings) -> list[tuple[str, Settings]]:
    """Return each way the cocks can join tanks, or only that which was set."""
    parts = question.network.layout.parts
    if _joined_by_hand(question):
        return [("cocks as set", settings)]
    out = [("cocks shut", settings), ("cocks in their normal positions",
                                      replace(settings, positions={}))]  # fmt: skip
    for part in parts.values():
        if part.kind == "cross-feed-cock":
            opened = next((n for n, pairs in part.positions.items() if pairs), "")
            name = f"{question.label(part.id)} {opened}, other cocks normal"
            out.append((name, replace(settings, positions={part.id: opened})))
        elif part.kind == "selector-cock":
            several = [n for n, pairs in part.positions.items() if len(pairs) > 1]
            out += [(f"{question.label(part.id)} {n}", replace(settings, positions={part.id: n}))
                    for n in several if n != part.normal]  # fmt: skip
        elif part.kind == "transfer-valve":
            open_ = replace(settings, open_valves=settings.open_valves | {part.id})
            out.append((f"{question.label(part.id)} left open, cocks shut", open_))
    return out


# ------------------------------------------------------------------ over the wing


@dataclass(frozen=True)
class Suction:
    """What an airspeed can lift: dynamic pressure [Pa] and head of fuel [m]."""

    pressure: float
    head: float


def suction(done: Siphon, speed: Quantity) -> Suction:
    """Return what the airflow at one speed can lift."""
    pressure = float(fp.ram_pressure(speed.value_si, done.settings.height))
    return Suction(pressure, float(fp.fuel_head(pressure, done.settings.temperature)))


def capped(question: Asked) -> list[Tank]:
    """Return the tanks that have a filler cap of their own, or could lose none over the wing."""
    parts = question.network.layout.parts.values()
    own = {p.of for p in parts if p.kind == "filler-cap"}
    return [t for t in question.network.tanks if t.id in own]


def below_top(done: Siphon, tank: str) -> float:
    """Return how far the fuel stands below the top of its tank [m]."""
    t = done.question.network.tanks[done.question.network.tank_index[tank]]
    return max(1.0 - done.settings.levels[tank], 0.0) * t.depth


def from_speed(done: Siphon, tank: str) -> float:
    """Return the airspeed from which a loose cap draws fuel out of a tank [m/s]."""
    rise = below_top(done, tank)
    return float(fp.lifting_speed(rise, done.settings.temperature, done.settings.height))


def left(done: Siphon, tank: str, head: float) -> float:
    """Return what a suction of ``head`` [m] leaves in a tank [m3]."""
    t = done.question.network.tanks[done.question.network.tank_index[tank]]
    now = done.settings.levels[tank] * t.capacity
    return min(now, t.area * max(t.depth - head, 0.0))


GAP = 10e-6
"""Opening at the cap that a rate is told for [m2]; half of it loses half."""


def first_rate(done: Siphon, tank: str, pressure: float) -> float:
    """Return what a suction draws out through ``GAP`` at first [m3/s]; less as the fuel falls."""
    density = float(fp.density(done.settings.temperature))
    push = pressure - density * fp.GRAVITY * below_top(done, tank)
    return DISCHARGE * GAP * math.sqrt(2.0 * max(push, 0.0) / density)


# ------------------------------------------------------------------ text, data, plot


def text(done: Siphon, plain: bool) -> str:
    """Return the page."""
    q = done.question
    out = runs.opening(q, done.settings, plain)
    rows = [[q.label(t.id), f"{1000 * runs.surface(q, done.settings, t.id):.0f}"]
            for t in q.network.tanks]  # fmt: skip
    out += page.titled("Surface of the fuel above the datum [mm]",
                       page.table(["tank", "surface"], rows, plain))  # fmt: skip
    for one in done.cases:
        title = f"{one.name[0].upper()}{one.name[1:]}, {page.minutes(done.minutes)} at rest"
        out += page.titled(f"{title} [{q.shown.volume}]", case_lines(done, one, plain))
    speeds = [s.typed for s in done.speeds]
    lifts = [suction(done, s) for s in done.speeds]
    rows = [
        [f"suction [{q.shown.pressure}]",
         *(page.number(s.pressure, q.shown.pressure) for s in lifts)],
        ["lifts fuel by [in]", *(page.number(s.head, "in") for s in lifts)],
    ]  # fmt: skip
    out += page.titled("Over the wing: what the airflow lifts",
                       page.table(["at", *speeds], rows, plain))  # fmt: skip
    rows = [
        [q.label(t.id), f"{1000 * below_top(done, t.id):.0f} mm",
         f"{to(from_speed(done, t.id), 'kn'):.0f} kn",
         *(page.number(left(done, t.id, s.head), q.shown.volume) for s in lifts)]
        for t in capped(q)
    ]  # fmt: skip
    header = ["tank", "below top", "drawn from", *(f"left, {s}" for s in speeds)]
    out += page.titled(f"Over the wing, a loose cap: what is left [{q.shown.volume}]",
                       page.table(header, rows, plain))  # fmt: skip
    rows = [[q.label(t.id), *(page.number(first_rate(done, t.id, s.pressure), q.shown.flow)
                              for s in lifts)] for t in capped(q)]  # fmt: skip
    title = f"Over the wing: lost at first through each {1e6 * GAP:g} mm2 of gap [{q.shown.flow}]"
    out += page.titled(title, page.table(["tank", *speeds], rows, plain))
    return "\n".join(out + runs.ending(q, notes(done), plain))


def notes(done: Siphon) -> list[str]:
    """Return what the figures rest on."""
    unstated = len(done.question.stated) < len(done.question.network.tanks)
    return [*([UNEQUAL] if unstated else []), CAP, "level attitude, engines standing"]


def case_lines(done: Siphon, one: runs.Run, plain: bool) -> list[str]:
    """Return what one way of joining the tanks does."""
    q = done.question
    events = page.items(runs.event_lines(q, one), plain)
    if not one.moved():
        return page.items(["nothing runs"] if not one.trouble else [], plain) + events
    end = met(done, one)
    level = [] if end is None else [f"as far as it goes in about {page.minutes(end)}"]
    return runs.tank_table(q, one, one.moved(), plain) + events + page.items(level, plain)


def as_object(done: Siphon) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
    q = done.question
    out = runs.begin_object("siphon", q, done.settings, notes(done))
    out["minutes_at_rest"] = done.minutes
    out["at_rest"] = [
        {**runs.as_object(q, one), "levels_meet_min": met(done, one)} for one in done.cases
    ]
    lifts = [(s, suction(done, s)) for s in done.speeds]
    out["over_the_wing"] = {
        "gap_m2": GAP,
        "suction": [{"speed_m_per_s": s.value_si, "suction_Pa": lift.pressure,
                     "lifts_fuel_m": lift.head} for s, lift in lifts],
        "tanks": [
            {"id": t.id, "label": q.label(t.id), "surface_below_top_m": below_top(done, t.id),
             "drawn_from_speed_m_per_s": from_speed(done, t.id),
             "left_m3": [left(done, t.id, lift.head) for _, lift in lifts],
             "first_rate_m3_per_s": [first_rate(done, t.id, lift.pressure) for _, lift in lifts]}
            for t in capped(q)
        ],
    }  # fmt: skip
    return out


def draw(done: Siphon) -> str:
    """Return contents against time of the cases in which fuel runs."""
    q = done.question
    moving = [one for one in done.cases if one.moved()]
    told = [f"{one.name}: {_told(done, one)}" for one in done.cases]
    title = f"{q.places.layout.id}: siphon between tanks at rest"
    return runs.draw(q, title, moving or done.cases[:1], told)


def _told(done: Siphon, one: runs.Run) -> str:
    volume = done.question.shown.volume
    said = [f"{done.question.label(t)} from {show(one.start(t), volume)} to "
            f"{show(one.end(t), volume)}" for t in one.moved()]  # fmt: skip
    return ", ".join(said) or "nothing runs"
