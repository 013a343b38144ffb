"""A short look that may well settle the job goes before a long engine run."""

from __future__ import annotations

import math

import numpy as np
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State
from diagnose.planner import Situation
from diagnose.planner.outlook import Outlook

RADIAL = "radial-single-hand-pump"


def rich_at_idle() -> list[Finding]:
    """Return black smoke at idle that goes with power, told of an engine with a primer."""
    return [
        Finding("mixture-signs", "engine", "rich", State("idle"), "seen"),
        Finding("engine-behaviour", "engine", "rough", State("idle"), "told"),
        Finding("engine-behaviour", "engine", "normal", State("cruise"), "told"),
    ]


def test_no_run_is_planned_before_a_check_that_would_likely_save_it() -> None:
    """A check of few minutes at the likeliest cause comes first; a run of three quarters of an hour
    is planned only where no check's chance to settle it pays for its own minutes."""
    diagnosis = Diagnosis(bench(RADIAL), engine=False)
    step = diagnosis.see(rich_at_idle())
    planner = bench(RADIAL).planner
    asked: set[tuple[str, str, str]] = set()
    for _ in range(30):
        situation = Situation(asked=frozenset(asked))
        action = diagnosis.plan(step, situation, deadline=math.inf).action
        assert action is not None
        if action.is_check:
            break
        if action.is_run:
            outlook = Outlook(diagnosis.belief, step.posterior)
            purse = planner.purse(outlook, situation)
            mass = np.bincount(
                purse.check_of, weights=outlook.weights, minlength=len(purse.minutes)
            )
            assert (mass[:-1] * action.minutes <= purse.minutes[:-1]).all()
        asked |= {r.key for r in action.readings}
    else:
        raise AssertionError("no check in thirty actions")
