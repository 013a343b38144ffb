"""What each kind of measured test says of its figures."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from diagnose.errors import UsageError
from diagnose.fuel.properties import DENSITY_15C
from diagnose.job.measured.work import Found, Work, in_words, judged
from diagnose.knowledge_files.cutting import Chances, card_of, chances, ordered, tail
from diagnose.model import State
from diagnose.units import GRAVITY, show

SETTLE: Final = 15 * 60 / 0.3048
"""Seconds a metre of depth that water takes to fall through petrol: 15 min a foot (from memory,
no source to hand)."""
ALIKE: Final = (0.8, 1.25)
"""Currents of like pumps that count as the same, as ratios (common practice, no source)."""
GAS_FREE: Final = 0.0
"""Share of the lower explosive limit at which an insulation tester is let near: none measured."""


def _master_gauge(w: Work) -> str:
    states = {s.id: s for s in w.bench.layout.run_states}
    state = states.get(w.w["state"])
    if state is None:
        raise UsageError(
            f"'{w.w['state']}' is not a run state here; there are {', '.join(states)}."
        )
    reads, most = w.f["reads"], w.f["range"]
    if reads > most:
        raise UsageError(f"it reads {w.typed['reads']}, beyond its range of {w.typed['range']}.")
    head = DENSITY_15C * GRAVITY * w.f["height"]
    true, unit = reads + head, w.unit("reads")
    at_tap = show(true, unit)
    w.lines.append(
        f"{w.typed['reads']} read, {show(head, unit)} for {w.typed['height']} above the tapping: "
        f"{at_tap} at the tapping"
    )
    sigma = w.sigma("error")
    says = w.class_of("test-gauge-pressure", true, sigma, at_tap)
    q = w.bench.library.questions["test-gauge-pressure"]
    key = ("test-gauge-pressure", w.place, state.id)
    got = chances(q, w.bench.layout, true, sigma)
    shown = f"{w.typed['reads']} at {w.typed['height']}"
    w.found.append(Found(q.id, w.place, state.state, got, true, shown, reading=key))
    _cockpit(w, true, sigma)
    return says


def _cockpit(w: Work, true: float, sigma: float) -> None:
    """Hold the cockpit gauge against the master, where both its reading and its error are given."""
    gauges = w.bench.places.instrument_for("pressure-gauge", w.place)
    check = w.bench.library.checks.get("compare-master-gauge")
    if "cockpit" not in w.f or len(gauges) != 1 or check is None:
        return
    unit = w.unit("cockpit")
    # what its own card tells is known; only what is off beyond it speaks of a fault
    card = card_of(w.bench.library.questions["fuel-pressure"], w.bench.layout, w.place)
    off = (card.true(w.f["cockpit"]) if card else w.f["cockpit"]) - true
    side = "above" if off >= 0 else "below"
    by_card = ", corrected by its error card" if card else ""
    said = f"cockpit gauge{by_card} {show(abs(off), unit)} {side} the master gauge"
    if "cockpit-error" not in w.f:
        w.lines.append(f"{said}; no tolerance of the cockpit gauge entered: kept, not judged")
        return
    band = w.f["cockpit-error"]
    low = tail(-off - band, sigma)
    high = tail(off - band, sigma)
    shares = {"agrees": 1.0 - low - high, "reads-low": low, "reads-high": high}
    got = ordered(shares)
    w.lines.append(f"{said}: {in_words(check.results, got)}")
    typed = f"{w.typed['cockpit']} in the cockpit, {show(true, unit)} by {w.w['kit']}"
    w.found.append(Found(check.id, gauges[0], State(), got, None, typed, check=True))


def _timed_delivery(w: Work) -> str:
    volume, seconds = w.f["volume"], w.f["time"]
    if volume < 0 or seconds <= 0:
        raise UsageError("a delivery has a volume of nothing or more, in a time above nothing.")
    flow = volume / seconds
    relative = math.hypot(
        w.sigma("volume-error") / max(volume, 1e-9), w.sigma("time-error") / seconds
    )
    unit = w.unit("volume") + "/h"
    says = w.class_of("delivery-test", flow, flow * relative, show(flow, unit))
    q = w.bench.library.questions["delivery-test"]
    got = chances(q, w.bench.layout, flow, flow * relative)
    state = next((s for s in w.bench.layout.run_states if s.stage == "static"), None)
    at = State("static", state.settings if state else {})
    key = ("delivery-test", w.place, state.id) if state else None
    typed = f"{w.typed['volume']} in {w.typed['time']}"
    w.found.append(Found(q.id, w.place, at, got, flow, typed, reading=key))
    return says


def _jar(w: Work) -> str:
    needed = SETTLE * w.f["depth"]
    tank = w.bench.layout.parts[w.place].kind != "strainer"
    question = "tank-drain-sample" if tank else "strainer-drain-sample"
    q = w.bench.library.questions[question]
    solids, value = w.w["solids"], "clean"
    if w.w["colour"] == "wrong":
        value = "turbine-fuel"
    elif w.f["water"] > 0 or w.w["line-seen"] == "yes":
        value = "water"
    elif solids != "none":
        value = "dirt" if solids == "slime" else solids
    if value not in q.classes:
        raise UsageError(f"'{q.title}' has no class for that; say it with a note, not this form.")
    short = w.f["settled"] < needed
    if value == "clean" and (short or w.w["colour"] == "not-sure"):
        why = f"not settled: {w.typed['depth']} needs {show(needed, 'min')} (from memory)"
        says = why if short else "colour and smell not sure: not called clean"
        w.lines.append(f"{says}; kept, nothing concluded")
        return says
    w.lines.append(f"{w.typed['sample']}, {w.typed['water']} water, solids {solids}: {value}")
    state = next((s for s in w.bench.layout.run_states if s.stage in q.stages), None)
    at = state.state if state else State()
    key = (q.id, w.place, state.id) if state else None
    typed = f"{w.typed['water']} water in {w.typed['sample']}"
    w.found.append(Found(q.id, w.place, at, ((value, 1.0),), None, typed, reading=key))
    return q.classes[value]


def _leak_down(w: Work) -> str:
    start, end, most = w.f["start"], w.f["end"], w.f["most"]
    if start > most:
        raise UsageError(
            f"{w.typed['start']} is above the most the approved data allow ({w.typed['most']}, "
            f"{w.w['reference']}); bleed it down by the approved data and tell somebody."
        )
    drop, why = start - end, ""
    if w.w["medium"] == "air":
        missing = {"start-temperature", "end-temperature", "outside"} - set(w.f)
        if missing:
            raise UsageError(f"with air also give: {', '.join(sorted(missing))}.")
        # the same air at the temperature of the start: Gay-Lussac's law, on absolute pressures
        outside = w.f["outside"]
        ratio = w.f["start-temperature"] / w.f["end-temperature"]
        drop = start - ((end + outside) * ratio - outside)
        why = ", corrected to the temperature of the start"
    unit, sigma = w.unit("start"), math.sqrt(2.0) * w.sigma("error")
    said = f"drop of {show(drop, unit)} in {w.typed['time']}{why}"
    return judged(w, said, drop, sigma, w.f.get("allowed-drop"), "allowed-drop", most=True)


def _ammeter(w: Work) -> str:
    other = w.w["neighbour"]
    parts = w.bench.layout.parts
    if other not in parts or parts[other].kind != parts[w.place].kind or other == w.place:
        like = [p for p in w.bench.places.parts_of_kind(parts[w.place].kind) if p != w.place]
        there = ", ".join(like) or "none"
        raise UsageError(f"the neighbour is another pump of the same kind: {there}.")
    own, beside = w.f["amps"], w.f["neighbour-amps"]
    if own < 0 or beside <= 0:
        raise UsageError("the neighbour takes a current, or there is nothing to compare with.")
    q = w.bench.library.questions["booster-amps"]
    ratio = own / beside
    sigma = w.sigma("error") / beside * math.hypot(1.0, ratio)
    if own <= w.sigma("error") * 2.0:
        got: Chances = (("none", 1.0),)
    else:
        low, high = tail(ALIKE[0] - ratio, sigma), tail(ratio - ALIKE[1], sigma)
        shares = {"low": low, "normal": 1.0 - low - high, "high": high}
        got = ordered(shares)
    label = w.bench.places.label(other)
    said = f"{ratio:.2f} of the current of {label}: {in_words(q.classes, got)}"
    w.lines.append(f"{said} (the same from {ALIKE[0]:g} to {ALIKE[1]:g}: common practice)")
    state = next((s for s in w.bench.layout.run_states if s.settings.get("booster") == "on"
                  and s.stage == "static"), None)  # fmt: skip
    at = state.state if state else State("static")
    typed = f"{w.typed['amps']} beside {w.typed['neighbour-amps']}"
    # the reading asked of this pump, in whichever static state it stands in the catalogue
    readings = w.bench.planner.catalogue.readings
    key = next((r.key for r in readings if r.question == q.id and r.place == w.place), None)
    w.found.append(Found(q.id, w.place, at, got, own, typed, reading=key))
    return said


def _bonding(w: Work) -> str:
    said = f"{w.typed['reads']} {w.w['between']}"
    return judged(w, said, w.f["reads"], w.sigma("error"), w.f.get("most"), "most", most=True)


def _insulation(w: Work) -> str:
    if w.f["lower-limit"] > GAS_FREE:
        raise UsageError(
            f"NOT GAS-FREE: {w.typed['lower-limit']} of the lower explosive limit was measured; "
            "no insulation tester is used there. Ventilate, measure again, by the approved data."
        )
    said = f"{w.typed['reads']} at {w.typed['test-voltage']}, {w.w['between']}"
    w.lines.append(f"measured gas-free by {w.w['gas-free-by']} on {w.w['gas-free-on']}")
    return judged(w, said, w.f["reads"], w.sigma("error"), w.f.get("least"), "least", most=False)


WORK: Mapping[str, Callable[[Work], str]] = {
    "master-gauge": _master_gauge,
    "timed-delivery": _timed_delivery,
    "jar-and-settle": _jar,
    "leak-down": _leak_down,
    "ammeter": _ammeter,
    "bonding": _bonding,
    "insulation": _insulation,
}
"""Kind of test -> what works it out: adds lines and findings, returns the result in a line."""
