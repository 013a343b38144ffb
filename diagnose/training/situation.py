"""Where an exercise stands for the planner: what was done, what is at hand, what an act costs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.gates import need_of_check, shut_in, still_open
from diagnose.job.keeping.log import Event
from diagnose.job.refining import nothing_to_refine
from diagnose.job.starting import dead
from diagnose.planner import Action, Reading, Situation
from diagnose.planner.worth import check_minutes, joint_minutes
from diagnose.training.as_set import read_alike
from diagnose.training.progress import Progress


def situation_of(bench: Bench, state: Progress, events: Iterable[Event]) -> Situation:
    """Return what the planner must know in ``state``, after ``events``."""
    listed = list(events)
    checks = bench.library.checks
    tools = state.opened["tools"]
    situation = Situation(
        asked=read_alike(bench, state.asked) | nothing_to_refine(bench, state.findings.values()),
        done=state.done,
        opened=_opened(bench, state),
        tools=None if tools is None else frozenset(tools),
        hands=state.opened["hands"],
        may_run=state.opened["may_run"],
        lost=state.lost,
        open_gates=still_open(bench, state.findings, listed),
    )
    catalogue = bench.planner.catalogue
    idle = {
        r.key for r in catalogue.readings if r.is_run and dead(bench, state.findings, 0, r.place)
    }
    barred = {
        (c, at)
        for c, at in catalogue.checks
        if need_of_check(checks[c]) == "run" and dead(bench, state.findings, 0, at)
    }
    situation = replace(situation, asked=situation.asked | idle, done=situation.done | barred)
    return shut_in(bench, situation, state.findings, listed)


def _opened(bench: Bench, now: Progress) -> frozenset[str]:
    return bench.library.opened_by(bench.layout, now.done, (q for q, *_ in now.asked))


def price_of(bench: Bench, now: Progress, action: Action) -> tuple[float, int]:
    """Return (minutes, starts) of ``action``, one reading or a check, where an exercise stands."""
    opened = _opened(bench, now)
    if action.is_check:
        starts = int(need_of_check(bench.library.checks[action.check]) == "run")
        return check_minutes(bench.net, action.check, action.at, opened), starts
    minutes, starts = _price_of_reading(bench, now, action.readings[0])
    question = bench.library.questions[action.readings[0].question]
    return minutes + joint_minutes(question, opened), starts


def _price_of_reading(bench: Bench, now: Progress, reading: Reading) -> tuple[float, int]:
    q, run = bench.library.questions[reading.question], reading.run_state
    minutes = q.minutes * (1.0 + 0.5 * (q.hands - 1))
    if run is None:
        return minutes, 0
    starts = int(run.engine_running and not now.runs_in(run.id))
    held = run.minutes if run.id != now.state else 0.0
    return minutes + held + starts * run.start_minutes, starts
