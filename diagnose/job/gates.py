"""What must be known safe before fuel is put under pressure or a propeller turns.

A gate is a question with a safe class: no fuel in the engine bay, no smell.  It is open until the
safe class is known, and it opens again whenever the system was disturbed: what was dry before a
strainer was opened says nothing of its seal now.  What was smelt of the wiring holds, whatever was
opened since.  Assumed is not known.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Literal as Choice

from diagnose.job.diagnosis import Bench, open_gates
from diagnose.job.keeping.disturbed import has_power
from diagnose.job.keeping.events import MENDING, disturbs, live
from diagnose.job.keeping.log import Event
from diagnose.model import Check, Finding, Question, RunState
from diagnose.planner import Action, Reading, Situation

Need = Choice["", "power", "run"]
"""What an action asks for: nothing, fuel pumped or power on its system, a turning propeller."""

NEEDS: Mapping[str, Need] = {"nothing": "", "power": "power", "run": "run"}
"""What proving puts at risk, as a cause says it -> as the gates are asked."""

WET = "fuel-wet-power-off"
"""The hazard of a look that is made while fuel is wet, and at no other time."""

_POWERED = re.compile(r"\bon\b|booster|electric pump|battery|ground run")
_TAXIED = re.compile(r"\btaxi")
"""What is watched as the aeroplane moves by its own engine, though no run state is set up."""
_BY_HAND = re.compile(r"\bstrokes?\b|\bopen the throttle\b")
"""What pumps fuel without power: primer, hand pump, the accelerator pump behind the throttle."""


def need_of_state(state: RunState | None) -> Need:
    """Return what setting up a run state puts at risk.

    A booster or hand pump puts fuel under pressure, whether or not its run state says under
    ``needs`` what must be known before.
    """
    if state is None:
        return ""
    if state.engine_running or state.stage == "cranking":
        return "run"
    return "power" if state.needs or pumps(state) else ""


def pumps(state: RunState | None) -> bool:
    """Return whether a pump runs, or is worked by hand, while something is read in a run state."""
    return state is not None and state.settings.get("booster") == "on"


def pumped_by_hand(what: Question | Check) -> bool:
    """Return whether fuel is pumped by hand for it: no power is used, and a leak leaks as much."""
    told = (
        (what.aim, *what.steps, what.aeroplane.get("line-pressure", ""))
        if isinstance(what, Check)
        else (what.ask, what.how)
    )
    return any(_BY_HAND.search(text) for text in told)


def need_of_reading(bench: Bench, reading: Reading) -> Need:
    """Return what taking a reading puts at risk: its run state, or what its question asks for.

    A lamp is tested with the battery on, whatever the run state says, where there is one; a gate
    itself asks for nothing, or it could never be looked at.
    """
    need = need_of_state(reading.run_state)
    question = bench.library.questions[reading.question]
    if reading.run_state is None and _TAXIED.search(question.how):
        return "run"
    powered = any(bench.library.hazards[h].gates for h in question.hazards)
    powered &= has_power(bench.layout) and not question.pump_only
    at_risk = powered or pumped_by_hand(question)
    return "power" if not need and at_risk and not question.gate else need


def need_of_check(check: Check) -> Need:
    """Return what a check puts at risk, by the state of the aeroplane it asks for."""
    if check.aeroplane.get("engine", "").startswith("run"):
        return "run"
    # a check that says 'off while open, then on' counts as on: the doubt closes the gate
    powered = _POWERED.search(check.aeroplane.get("power", ""))
    return "power" if powered or pumped_by_hand(check) else ""


def need_of(bench: Bench, action: Action) -> Need:
    """Return the most that any part of an action puts at risk."""
    if action.is_check:
        return need_of_check(bench.library.checks[action.check])
    needs = {need_of_reading(bench, r) for r in action.readings}
    return "run" if "run" in needs else "power" if "power" in needs else ""


def disturbed_at(events: Iterable[Event]) -> int:
    """Return the number of the last event that opened, moved or filled something; 0 for none."""
    return max((e["n"] for e in live(events) if disturbs(e)), default=0)


def still_open(
    bench: Bench, findings: Mapping[int, Finding], events: Iterable[Event]
) -> tuple[Reading, ...]:
    """Return the gates not known safe since the system was last disturbed.

    ``findings``: by the number of the event that gave them.
    """
    since = disturbed_at(events)
    questions = bench.library.questions
    known = [
        f
        for n, f in sorted(findings.items())
        if not f.check
        and (n > since or questions[f.question].gate_holds)
        and not (f.known_by == "assumed" and f.value == questions[f.question].gate)
    ]
    return open_gates(bench, known)


def refused(
    bench: Bench, findings: Mapping[int, Finding], events: Iterable[Event]
) -> tuple[Reading, ...]:
    """Return the open gates that were asked since then, or found unsafe since anything was mended.

    A leak is no less there because a sample was drawn after it; only what was known safe lapses
    by that.  Asking them again and again would only teach people to say 'dry'; but what was passed
    over on the first page, where nobody was told what hangs on it, is asked once more before power.
    """
    listed = live(events)
    since = disturbed_at(listed)
    paged = max((e["n"] for e in listed if e["event"] == "first-page"), default=0)
    asked = {
        (e["reading"][0], e["reading"][1])
        for e in listed
        if e["n"] > (max(since, paged) if e["event"] == "not-checked" else since)
        and e.get("reading")
    }

    def unsafe(f: Finding) -> bool:
        known = bench.library.questions.get(f.question)
        return known is not None and bool(known.gate) and not f.surely(known.gate)

    mended = max((e["n"] for e in listed if e["event"] in MENDING), default=0)
    last = {(f.question, at): (n, f) for n, f in sorted(findings.items()) for at in f.places}
    asked |= {key for key, (n, f) in last.items() if n > since or (n > mended and unsafe(f))}
    return tuple(g for g in still_open(bench, findings, listed) if (g.question, g.place) in asked)


def shut_in(
    bench: Bench, situation: Situation, findings: Mapping[int, Finding], events: Iterable[Event]
) -> Situation:
    """Return ``situation`` without what its gates shut.

    A gate known unsafe shuts pumps and engines alike; no run wanted shuts only engines.  Where it
    begins to be wet is looked for once something is known to be wet or smelt.
    """
    if not _wet(bench, findings):
        where = {r.key for r in bench.planner.catalogue.readings if _of_wet(bench, r.question)}
        situation = replace(situation, asked=situation.asked | where)
    if unsafe := refused(bench, findings, events):
        # whoever told of the leak is not asked whether there is one
        situation = replace(situation, asked=situation.asked | {g.key for g in unsafe})
        return closed_off(bench, situation, "power")
    return situation if situation.may_run else closed_off(bench, situation, "run")


def _of_wet(bench: Bench, question: str) -> bool:
    return WET in bench.library.questions[question].hazards


def _wet(bench: Bench, findings: Mapping[int, Finding]) -> bool:
    """Return whether anything found tells of fuel that is wet or smelt, where it can be seen."""
    questions = bench.library.questions
    told = [f for f in findings.values() if not f.check and f.value]
    leaks = [f for f in told if questions[f.question].gate and not questions[f.question].gate_holds]
    return any(_of_wet(bench, f.question) for f in told) or any(
        not f.surely(questions[f.question].gate) for f in leaks
    )


def closed_off(bench: Bench, situation: Situation, need: Need) -> Situation:
    """Return ``situation`` with everything left out that puts at risk as much as ``need``.

    'power' closes off runs as well; 'run' leaves what needs power alone.
    """
    shut = ("run",) if need == "run" else ("power", "run")
    catalogue = bench.planner.catalogue
    readings = {r.key for r in catalogue.readings if need_of_reading(bench, r) in shut}
    checks = {
        (c, at) for c, at in catalogue.checks if need_of_check(bench.library.checks[c]) in shut
    }
    return replace(
        situation,
        asked=situation.asked | readings,
        done=situation.done | checks,
        may_run=False,
    )
