"""What an act costs in an exercise: minutes and starts, each paid for once while it lasts."""

from __future__ import annotations

from diagnose.job.diagnosis import Bench
from diagnose.job.gates import need_of_check
from diagnose.planner import Action, Reading
from diagnose.planner.worth import check_minutes, joint_minutes
from diagnose.training.progress import Progress


def price_of(bench: Bench, now: Progress, action: Action) -> tuple[float, int]:
    """Return (minutes, starts) of ``action``, one reading or a check, where an exercise stands."""
    opened = bench.library.opened_by((c for c, _ in now.done), (q for q, *_ in now.asked))
    if action.is_check:
        starts = int(need_of_check(bench.library.checks[action.check]) == "run")
        return check_minutes(bench.net, action.check, opened), starts
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
