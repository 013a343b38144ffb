"""What is still possible, as checks in order: the plan that stands if nothing more is asked."""

from __future__ import annotations

from diagnose.belief import UNKNOWN
from diagnose.by_key import by_key
from diagnose.chart.spoken import Spoken
from diagnose.chart.tree import Suspect
from diagnose.job.diagnosis import Diagnosis, Step
from diagnose.model import CauseAt
from diagnose.planner import Situation
from diagnose.planner.worth import check_minutes

LEAST = 0.01
"""A cause with less belief than this is not printed as a suspect of one branch."""


def suspects(
    diagnosis: Diagnosis,
    spoken: Spoken,
    step: Step,
    situation: Situation,
    most: int,
    least: float = LEAST,
) -> tuple[Suspect, ...]:
    """Return the ``most`` checks that can find most, in the order of the planner's plain plan.

    Checks for causes that the findings speak for come first, however quick another would be: who
    smells fuel looks at a hose before he looks at the selector.  Each check comes with the causes
    it can find.
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
    # a check is one line for all its places, the best first
    places = by_key((check, at) for check, at in order if (check, at) in by)

    def finds(check: str) -> list[tuple[CauseAt, float]]:
        return sorted((c for at in places[check] for c in by[check, at]), key=lambda c: -c[1])

    unspoken = {c for c in places if not any(spoken.for_(*found) for found in finds(c))}
    worth = sorted(places, key=lambda c: (c in unspoken, -sum(p for _, p in finds(c))))[:most]
    return tuple(
        Suspect(
            check,
            tuple(places[check]),
            check_minutes(bench.net, check, places[check][0], situation.opened),
            tuple(finds(check)),
        )
        for check in sorted(places, key=lambda c: c in unspoken)  # else as planned
        if check in worth
    )
