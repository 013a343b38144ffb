"""``diagnose fuel siphon``: what runs from tank to tank at rest, and over the wing in flight."""

from __future__ import annotations

from typing import Any

from diagnose.cli.fuel import page, runs
from diagnose.cli.printing import items
from diagnose.fuel.asked.figures import minutes, number
from diagnose.fuel.asked.runs import Run, surface
from diagnose.fuel.asked.setup import Asked
from diagnose.fuel.asked.siphon import (
    GAP,
    HIGH,
    LOW,
    Siphon,
    below_top,
    capped,
    first_rate,
    from_speed,
    left,
    met,
    suction,
)
from diagnose.grammar import capital
from diagnose.units import show, to

SPEEDS = ("60 kn", "100 kn", "150 kn", "200 kn")
UNEQUAL = (
    f"where contents were not stated the tanks to port, or else the first, hold {100 * HIGH:g} % "
    f"and the others {100 * LOW:g} %, so that there is something to run"
)
CAP = (
    "over the wing: the whole dynamic pressure as suction at a loose cap on top of the tank, the "
    "vent at the outside pressure (the worst case, common practice, no source)"
)


# ------------------------------------------------------------------ text, data, plot


def text(q: Asked, done: Siphon) -> str:
    """Return the page."""
    out = runs.opening(q, done.settings)
    rows = [[q.label(t.id), f"{1000 * surface(q, done.settings, t.id):.0f}"]
            for t in q.network.tanks]  # fmt: skip
    out += page.titled("Surface of the fuel above the datum [mm]",
                       page.table(["tank", "surface"], rows))  # fmt: skip
    for one in done.cases:
        title = f"{capital(one.name)}, {minutes(done.minutes)} at rest"
        out += page.titled(f"{title} [{q.shown.volume}]", case_lines(q, done, one))
    speeds = [s.typed for s in done.speeds]
    lifts = [suction(done, s) for s in done.speeds]
    rows = [
        [f"suction [{q.shown.pressure}]", *(number(s.pressure, q.shown.pressure) for s in lifts)],
        ["lifts fuel by [mm]", *(f"{1000 * s.head:.0f}" for s in lifts)],
    ]
    out += page.titled("Over the wing: what the airflow lifts", page.table(["at", *speeds], rows))
    rows = [
        [q.label(t.id), f"{1000 * below_top(done, t.id):.0f} mm",
         f"{to(from_speed(done, t.id), 'kn'):.0f} kn",
         *(number(left(done, t.id, s.head), q.shown.volume) for s in lifts)]
        for t in capped(q)
    ]  # fmt: skip
    header = ["tank", "below top", "drawn from", *(f"left, {s}" for s in speeds)]
    out += page.titled(f"Over the wing, a loose cap: what is left [{q.shown.volume}]",
                       page.table(header, rows))  # fmt: skip
    rows = [[q.label(t.id), *(number(first_rate(done, t.id, s.pressure), q.shown.flow)
                              for s in lifts)] for t in capped(q)]  # fmt: skip
    title = f"Over the wing: lost at first through each {1e6 * GAP:g} mm2 of gap [{q.shown.flow}]"
    out += page.titled(title, page.table(["tank", *speeds], rows))
    return "\n".join(out + runs.ending(notes(done)))


def notes(done: Siphon) -> list[str]:
    """Return what the figures rest on."""
    unequal = [] if done.setup.all_contents_stated else [UNEQUAL]
    return [*unequal, CAP, "level attitude, engines standing"]


def case_lines(q: Asked, done: Siphon, one: Run) -> list[str]:
    """Return what one way of joining the tanks does."""
    events = items(runs.event_lines(q, one))
    if not one.moved():
        return items(["nothing runs"] if not one.trouble else []) + events
    end = met(done, one)
    level = [] if end is None else [f"as far as it goes in about {minutes(end)}"]
    return runs.tank_table(q, one, one.moved()) + events + items(level)


def as_object(q: Asked, done: Siphon) -> dict[str, Any]:
    """Return the page as plain data, SI with the unit in the key."""
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


def draw(q: Asked, done: Siphon) -> str:
    """Return contents against time of the cases in which fuel runs."""
    moving = [one for one in done.cases if one.moved()]
    told = [f"{one.name}: {_told(q, one)}" for one in done.cases]
    title = f"{q.places.layout.id}: siphon between tanks at rest"
    return runs.draw(q, title, moving or done.cases[:1], told)


def _told(q: Asked, one: Run) -> str:
    volume = q.shown.volume
    said = [f"{q.label(t)} from {show(one.start(t), volume)} to "
            f"{show(one.end(t), volume)}" for t in one.moved()]  # fmt: skip
    return ", ".join(said) or "nothing runs"
