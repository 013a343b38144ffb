"""What is still possible, as checks in order: the plan that stands if nothing more is asked."""

from __future__ import annotations

from diagnose.belief import UNKNOWN
from diagnose.chart.tree import Suspect
from diagnose.job.diagnosis import Diagnosis, Step
from diagnose.model import CauseAt
from diagnose.planner import Situation
from diagnose.planner.worth import check_minutes

LEAST = 0.01
"""A cause with less belief than this is not printed as a suspect of one branch."""


def suspects(
    diagnosis: Diagnosis, step: Step, situation: Situation, most: int, least: float = LEAST
) -> tuple[Suspect, ...]:
    """Return the ``most`` checks that can find most, in the order of the planner's plain plan.

    Each comes with the causes it can find.
    """
    bench = diagnosis.bench
    planner = bench.planner
    by: dict[tuple[str, str], list[tuple[CauseAt, float]]] = {}
    for cause, p in step.posterior.ranking():
        if p < least:
            break
        settled = None if cause == UNKNOWN else planner.settles(cause, situation)
        if settled is not None:
            by.setdefault(settled, []).append((cause, p))
    order = planner.in_order(diagnosis.belief, step.posterior, situation)
    worth = sorted(by, key=lambda key: -sum(p for _, p in by[key]))[:most]
    listed = [key for key in order if key in worth]
    return tuple(
        Suspect(c, at, check_minutes(bench.net, c, situation.opened), tuple(by[c, at]))
        for c, at in listed
    )
