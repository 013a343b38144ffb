"""What the planner must know of an exercise: what was done, what is refused, what is at hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diagnose.job.at_hand import dead
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import Need, closed_off, need_of_check, refused, still_open
from diagnose.job.keeping.log import Event
from diagnose.planner import Situation
from diagnose.training.progress import Progress


def situation_of(bench: Bench, state: Progress, events: Iterable[Event]) -> Situation:
    """Return what the planner must know in ``state``, after ``events``."""
    listed = list(events)
    checks = bench.library.checks
    tools = state.opened["tools"]
    situation = Situation(
        asked=state.asked,
        done=state.done,
        opened=bench.library.opened_by((c for c, _ in state.done), (q for q, *_ in state.asked)),
        tools=None if tools is None else frozenset(tools),
        hands=state.opened["hands"],
        may_run=state.opened["may_run"],
        lost=state.lost,
        open_gates=still_open(bench, state.findings, listed),
    )
    catalogue = bench.planner.catalogue
    idle = {
        r.key
        for r in catalogue.readings
        if r.run_state and r.run_state.engine_running and dead(bench, state.findings, 0, r.place)
    }
    barred = {
        (c, at)
        for c, at in catalogue.checks
        if need_of_check(checks[c]) == "run" and dead(bench, state.findings, 0, at)
    }
    situation = replace(situation, asked=situation.asked | idle, done=situation.done | barred)
    shut: Need = "" if state.opened["may_run"] else "run"
    if unsafe := refused(bench, state.findings, listed):
        shut = "power"
        situation = replace(situation, asked=situation.asked | {g.key for g in unsafe})
    return closed_off(bench, situation, shut)
