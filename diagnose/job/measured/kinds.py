"""What each kind of measured test says of its figures."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from diagnose.errors import UsageError
from diagnose.fuel.properties import DENSITY_15C
from diagnose.job.measured.trial import Found, Trial, in_words
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


def _master_gauge(t: Trial) -> str:
    states = {s.id: s for s in t.bench.layout.run_states}
    state = states.get(t.words["state"])
    if state is None:
        raise UsageError(
            f"'{t.words['state']}' is not a run state here; there are {', '.join(states)}."
        )
    reads, most = t.figures["reads"], t.figures["range"]
    if reads > most:
        raise UsageError(f"it reads {t.typed['reads']}, beyond its range of {t.typed['range']}.")
    head = DENSITY_15C * GRAVITY * t.figures["height"]
    true, unit = reads + head, t.unit("reads")
    at_tap = show(true, unit)
    t.lines.append(
        f"{t.typed['reads']} read, {show(head, unit)} for {t.typed['height']} above the tapping: "
        f"{at_tap} at the tapping"
    )
    sigma = t.sigma("error")
    says = t.class_of("test-gauge-pressure", true, sigma, at_tap)
    q = t.bench.library.questions["test-gauge-pressure"]
    got = chances(q, t.bench.layout, true, sigma)
    shown = f"{t.typed['reads']} at {t.typed['height']}"
    t.find(q.id, state, got, true, shown)
    _cockpit(t, true, sigma)
    return says


def _cockpit(t: Trial, true: float, sigma: float) -> None:
    """Hold the cockpit gauge against the master, where both its reading and its error are given."""
    gauges = t.bench.places.instrument_for("pressure-gauge", t.place)
    check = t.bench.library.checks.get("compare-master-gauge")
    if "cockpit" not in t.figures or len(gauges) != 1 or check is None:
        return
    unit = t.unit("cockpit")
    # what its own card tells is known; only what is off beyond it speaks of a fault
    card = card_of(t.bench.library.questions["fuel-pressure"], t.bench.layout, t.place)
    off = (card.true(t.figures["cockpit"]) if card else t.figures["cockpit"]) - true
    side = "above" if off >= 0 else "below"
    by_card = ", corrected by its error card" if card else ""
    said = f"cockpit gauge{by_card} {show(abs(off), unit)} {side} the master gauge"
    if "cockpit-error" not in t.figures:
        t.lines.append(f"{said}; no tolerance of the cockpit gauge entered: kept, not judged")
        return
    band = t.figures["cockpit-error"]
    low = tail(-off - band, sigma)
    high = tail(off - band, sigma)
    shares = {"agrees": 1.0 - low - high, "reads-low": low, "reads-high": high}
    got = ordered(shares)
    t.lines.append(f"{said}: {in_words(check.results, got)}")
    typed = f"{t.typed['cockpit']} in the cockpit, {show(true, unit)} by {t.words['kit']}"
    t.found.append(Found(check.id, gauges[0], State(), got, None, typed, check=True))


def _timed_delivery(t: Trial) -> str:
    volume, seconds = t.figures["volume"], t.figures["time"]
    if volume < 0 or seconds <= 0:
        raise UsageError("a delivery has a volume of nothing or more, in a time above nothing.")
    flow = volume / seconds
    relative = math.hypot(
        t.sigma("volume-error") / max(volume, 1e-9), t.sigma("time-error") / seconds
    )
    unit = t.unit("volume") + "/h"
    says = t.class_of("delivery-test", flow, flow * relative, show(flow, unit))
    q = t.bench.library.questions["delivery-test"]
    got = chances(q, t.bench.layout, flow, flow * relative)
    state = next((s for s in t.bench.layout.run_states if s.stage == "static"), None)
    typed = f"{t.typed['volume']} in {t.typed['time']}"
    t.find(q.id, state, got, flow, typed, "static")
    return says


def _jar(t: Trial) -> str:
    needed = SETTLE * t.figures["depth"]
    tank = t.bench.layout.parts[t.place].kind != "strainer"
    question = "tank-drain-sample" if tank else "strainer-drain-sample"
    q = t.bench.library.questions[question]
    solids, value = t.words["solids"], "clean"
    if t.words["colour"] == "wrong":
        value = "turbine-fuel"
    elif t.figures["water"] > 0 or t.words["line-seen"] == "yes":
        value = "water"
    elif solids != "none":
        value = "dirt" if solids == "slime" else solids
    if value not in q.classes:
        raise UsageError(f"'{q.title}' has no class for that; say it with a note, not this form.")
    short = t.figures["settled"] < needed
    if value == "clean" and (short or t.words["colour"] == "not-sure"):
        why = f"not settled: {t.typed['depth']} needs {show(needed, 'min')} (from memory)"
        says = why if short else "colour and smell not sure: not called clean"
        t.lines.append(f"{says}; kept, nothing concluded")
        return says
    t.lines.append(f"{t.typed['sample']}, {t.typed['water']} water, solids {solids}: {value}")
    state = next((s for s in t.bench.layout.run_states if s.stage in q.stages), None)
    typed = f"{t.typed['water']} water in {t.typed['sample']}"
    t.find(q.id, state, ((value, 1.0),), None, typed)
    return q.classes[value]


def _leak_down(t: Trial) -> str:
    start, end, most = t.figures["start"], t.figures["end"], t.figures["most"]
    if start > most:
        raise UsageError(
            f"{t.typed['start']} is above the most the approved data allow ({t.typed['most']}, "
            f"{t.words['reference']}); bleed it down by the approved data and tell somebody."
        )
    drop, why = start - end, ""
    if t.words["medium"] == "air":
        missing = {"start-temperature", "end-temperature", "outside"} - set(t.figures)
        if missing:
            raise UsageError(f"with air also give: {', '.join(sorted(missing))}.")
        # the same air at the temperature of the start: Gay-Lussac's law, on absolute pressures
        outside = t.figures["outside"]
        ratio = t.figures["start-temperature"] / t.figures["end-temperature"]
        drop = start - ((end + outside) * ratio - outside)
        why = ", corrected to the temperature of the start"
    unit, sigma = t.unit("start"), math.sqrt(2.0) * t.sigma("error")
    said = f"drop of {show(drop, unit)} in {t.typed['time']}{why}"
    return t.judged(said, drop, sigma, "allowed-drop", most=True)


def _ammeter(t: Trial) -> str:
    other = t.words["neighbour"]
    parts = t.bench.layout.parts
    if other not in parts or parts[other].kind != parts[t.place].kind or other == t.place:
        like = [p for p in t.bench.places.parts_of_kind(parts[t.place].kind) if p != t.place]
        there = ", ".join(like) or "none"
        raise UsageError(f"the neighbour is another pump of the same kind: {there}.")
    own, beside = t.figures["amps"], t.figures["neighbour-amps"]
    if own < 0 or beside <= 0:
        raise UsageError("the neighbour takes a current, or there is nothing to compare with.")
    q = t.bench.library.questions["booster-amps"]
    ratio = own / beside
    sigma = t.sigma("error") / beside * math.hypot(1.0, ratio)
    if own <= t.sigma("error") * 2.0:
        got: Chances = (("none", 1.0),)
    else:
        low, high = tail(ALIKE[0] - ratio, sigma), tail(ratio - ALIKE[1], sigma)
        shares = {"low": low, "normal": 1.0 - low - high, "high": high}
        got = ordered(shares)
    label = t.bench.places.label(other)
    said = f"{ratio:.2f} of the current of {label}: {in_words(q.classes, got)}"
    t.lines.append(f"{said} (the same from {ALIKE[0]:g} to {ALIKE[1]:g}: common practice)")
    state = next((s for s in t.bench.layout.run_states if s.settings.get("booster") == "on"
                  and s.stage == "static"), None)  # fmt: skip
    at = state.state if state else State("static")
    typed = f"{t.typed['amps']} beside {t.typed['neighbour-amps']}"
    # the reading asked of this pump, in whichever static state it stands in the catalogue
    readings = t.bench.planner.catalogue.readings
    key = next((r.key for r in readings if r.question == q.id and r.place == t.place), None)
    t.found.append(Found(q.id, t.place, at, got, own, typed, reading=key))
    return said


def _bonding(t: Trial) -> str:
    said = f"{t.typed['reads']} {t.words['between']}"
    return t.judged(said, t.figures["reads"], t.sigma("error"), "most", most=True)


def _insulation(t: Trial) -> str:
    if t.figures["lower-limit"] > GAS_FREE:
        raise UsageError(
            f"NOT GAS-FREE: {t.typed['lower-limit']} of the lower explosive limit was measured; "
            "no insulation tester is used there. Ventilate, measure again, by the approved data."
        )
    said = f"{t.typed['reads']} at {t.typed['test-voltage']}, {t.words['between']}"
    t.lines.append(f"measured gas-free by {t.words['gas-free-by']} on {t.words['gas-free-on']}")
    return t.judged(said, t.figures["reads"], t.sigma("error"), "least", most=False)


WORK: Mapping[str, Callable[[Trial], str]] = {
    "master-gauge": _master_gauge,
    "timed-delivery": _timed_delivery,
    "jar-and-settle": _jar,
    "leak-down": _leak_down,
    "ammeter": _ammeter,
    "bonding": _bonding,
    "insulation": _insulation,
}
"""Kind of test -> what works it out: adds lines and findings, returns the result in a line."""
