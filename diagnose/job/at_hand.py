"""What can be done here and now: people, tools, power, place, wind, and what stands open.

What cannot be done is not forgotten: ``not_possible`` lists it with what it would tell, so that
somebody can fetch the tool, the second man or the trolley.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from diagnose.belief import Held
from diagnose.job.diagnosis import Bench, Step
from diagnose.job.explain import LIKELY
from diagnose.job.gates import Need, need_of_check, need_of_reading, pumped_by_hand, pumps
from diagnose.job.keeping.events import JobState
from diagnose.job.starting import dead
from diagnose.job.wording import cause_words
from diagnose.model import Check, Question
from diagnose.planner import Key, Reading, Situation
from diagnose.planner.occasion import would_tell

NO_POWER = "no ground power; a sagging battery misleads and may not start the engine"
INDOORS = "in the hangar"
WET = "no pump and no run: fuel is wet or smelt, or that is not known"
WINDY = "wind too strong for a run-up"
NO_START = "the engine does not start; once it does: add how the engine starts"
WITH_A_GUARD = 2
"""People for a pump, power or a run: who works it, and the fire guard in view of the cockpit."""
MOST_NOT_HERE = 8
"""Things told of that cannot be done here, the most telling."""


@dataclass(frozen=True)
class Barred:
    """What cannot be done now, each with the reason."""

    readings: Mapping[Key, str]
    checks: Mapping[tuple[str, str], str]


def barred(bench: Bench, state: JobState, *, unsafe: bool = False) -> Barred:
    """Return every reading and check of the layout that what is at hand does not allow.

    ``unsafe``: a gate is not known safe, which shuts out all pumps and runs.  Tools and people are
    the planner's own to weigh; they are named here for the list.
    """
    catalogue = bench.planner.catalogue
    readings, checks = {}, {}
    for r in catalogue.readings:
        q = bench.library.questions[r.question]
        why = WET if unsafe and need_of_reading(bench, r) else ""
        why = why or _no_reading(bench, r, state) or lacks(q, state.hands, state.tools)
        if why:
            readings[r.key] = why
    for name, at in catalogue.checks:
        c = bench.library.checks[name]
        why = WET if unsafe and need_of_check(c) else ""
        why = why or _no_check(bench, c, at, state) or lacks(c, state.hands, state.tools)
        if why:
            checks[(name, at)] = why
    return Barred(readings, checks)


def allowed(bench: Bench, state: JobState, situation: Situation) -> Situation:
    """Return ``situation`` without what is barred."""
    found = barred(bench, state)
    return replace(
        situation,
        asked=situation.asked | found.readings.keys(),
        done=situation.done | found.checks.keys(),
    )


def as_kept(state: JobState, **otherwise: Any) -> dict[str, Any]:
    """Return what is at hand as the log keeps it, with what is ``otherwise`` now."""
    tools = None if state.tools is None else sorted(state.tools)
    return {
        "tools": tools,
        "hands": state.hands,
        "may_run": state.may_run,
        "ground_power": "not said" if state.ground_power else "no",
        "indoors": state.indoors,
        "wind": state.wind,
        "wind_too_strong": state.wind_too_strong,
        **otherwise,
    }


def lacks(what: Question | Check, hands: int, tools: Collection[str] | None) -> str:
    """Return what of people and tools ``what`` lacks here, '' for nothing; None: all tools."""
    if what.hands > hands:
        return f"takes {what.hands} people"
    missing = [t for t in what.tools if tools is not None and t not in tools]
    return f"not at hand: {', '.join(missing)}" if missing else ""


def _barred_by_the_job(need: Need, state: JobState) -> str:
    """Return why nothing of this ``need`` is done now, whatever it would tell; '' where it may."""
    if need and state.joints_open():
        return "a feed or control joint is open"
    if need == "run" and not state.may_run:
        return "no engine may be run here"
    if need and state.hands < WITH_A_GUARD:
        return f"takes {WITH_A_GUARD} people, one of them the fire guard"
    return "the handover is not confirmed" if need == "run" and state.handover else ""


def _no_reading(bench: Bench, reading: Reading, state: JobState) -> str:
    need, run = need_of_reading(bench, reading), reading.run_state
    if not need:
        return ""
    if run and run.engine_running and dead(bench, state.findings, state.epoch, reading.place):
        return NO_START
    if state.indoors and (need == "run" or pumps(run)):
        return INDOORS
    if why := _barred_by_the_job(need, state):
        return why
    if need == "power":
        by_hand = pumped_by_hand(bench.library.questions[reading.question])
        return "" if state.ground_power or by_hand else NO_POWER
    if run and state.wind_too_strong and run.stage in ("run-up", "take-off"):
        return WINDY
    return "" if state.ground_power or (run and run.engine_running) else NO_POWER


def _no_check(bench: Bench, check: Check, at: str, state: JobState) -> str:
    need = need_of_check(check)
    if need == "run" and dead(bench, state.findings, state.epoch, at):
        return NO_START
    air = check.aeroplane.get("ventilation", "")
    if state.indoors and (need == "run" or (air.startswith("open air") and "vented" not in air)):
        return INDOORS
    if why := _barred_by_the_job(need, state):
        return why
    if need == "run" and state.wind_too_strong:
        return WINDY
    lacks_power = need == "power" and not state.ground_power and not pumped_by_hand(check)
    return NO_POWER if lacks_power else ""


# ------------------------------------------------------------------ what it would tell


@dataclass(frozen=True)
class NotHere:
    """One thing that cannot be done here: what, where, why not, and what it would tell."""

    what: str
    place: str
    state: str
    why_not: str
    tells: str


def not_possible(
    bench: Bench,
    belief: Held,
    step: Step,
    state: JobState,
    *,
    unsafe: bool = False,
) -> tuple[NotHere, ...]:
    """Return what is barred and would tell something now, most telling first.

    ``belief`` and ``step``: what the findings say, by which it would tell.  ``unsafe``: a gate is
    not known safe.
    """
    found = barred(bench, state, unsafe=unsafe)
    telling = would_tell(bench.planner, belief, step.posterior, list(found.readings))
    rows: list[tuple[float, NotHere]] = []
    seen: set[tuple[str, str]] = set()
    for reading, bits, apart in telling:
        if reading.look in seen:
            continue  # the same reading at another engine
        seen.add(reading.look)
        tells = " from ".join(cause_words(bench, c) for c in apart)
        row = NotHere(
            bench.library.questions[reading.question].title,
            bench.places.label(reading.place),
            reading.run_state.title if reading.run_state else "",
            found.readings[reading.key],
            f"would tell {tells}" if tells else "",
        )
        rows.append((bits, row))
    likely = dict(step.posterior.ranking())
    for (name, at), why in found.checks.items():
        settles = [
            c
            for c in likely
            if likely[c] > 0.02
            and any((k.check, part) == (name, at) for k, part in bench.settling(c))
        ]
        if settles:
            check = bench.library.checks[name]
            tells = "; ".join(cause_words(bench, c) for c in settles[:2])
            row = NotHere(
                check.title, bench.places.label(at), "", why, f"confirms or clears {tells}"
            )
            rows.append((sum(likely[c] for c in settles), row))
    rows.sort(key=lambda r: -r[0])
    return tuple(row for _, row in rows[:MOST_NOT_HERE])


def waits_on(bench: Bench, step: Step, state: JobState, *, unsafe: bool) -> list[str]:
    """Return the checks that would settle the likeliest cause, where none of them can be made here.

    Where one can be made, or no cause is likely yet, nobody waits for anything.  The same failure
    at two like parts, not told apart yet, is as likely as both together.
    """
    ranking = step.posterior.ranking()
    first, top = ranking[0]
    alike = {c: p for c, p in ranking if c.cause == first.cause and p >= top / 2}
    if sum(alike.values()) < LIKELY or first.cause not in bench.library.causes:
        return []
    shut = barred(bench, state, unsafe=unsafe).checks
    rows = []
    for k, cause in product(bench.library.causes[first.cause].checks, alike):
        for at in bench.places.related(cause.at, k.at, {}):
            if (k.check, at) in state.done or (k.check, at) not in bench.planner.catalogue.offers:
                continue
            if (k.check, at) not in shut:
                return []
            title = bench.library.checks[k.check].title
            rows.append(f"{title}, {bench.places.label(at)}: {shut[k.check, at]}")
    return list(dict.fromkeys(rows))
