"""What is asked away from the aeroplane, of people and papers: at one time, before the work begins.

Whoever has a spanner in his hand does not go in for one docket; where he must, all that is worth
asking there is asked on the same walk.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from diagnose.belief import Held, Posterior
from diagnose.planner.actions import Action, Reading, Situation
from diagnose.planner.joining import joined
from diagnose.planner.plan import Plan, Planner

GOING_IN = 5.0
"""Minutes from the work to the papers and back, gloves off (this project's statement)."""


def asked_at_one_time(
    planner: Planner,
    belief: Held,
    posterior: Posterior,
    situation: Situation,
    plan: Plan,
    deadline: float,
) -> Plan:
    """Return ``plan`` with all that is worth asking of people and papers asked on one walk.

    That is asked only where it is worth the way to the papers, or nothing else is worth doing;
    what else there is, is planned within ``deadline`` seconds.
    """
    best = plan.action
    if best is None or not is_off_the_aeroplane(planner, best):
        return plan
    first = [r.key for r in best.readings]
    together = worth_asking(planner, belief, posterior, situation, first)
    if together is None:
        return plan
    if together.saves <= GOING_IN:
        left_out = {r.key for r in planner.catalogue.readings if _off(planner, r)}
        here = replace(situation, asked=situation.asked | left_out)
        without = planner.next(belief, posterior, here, deadline)
        if without.action is not None and without.worth_it:
            return without
    return replace(plan, action=together, worth_it=True)


def worth_asking(
    planner: Planner,
    belief: Held,
    posterior: Posterior,
    situation: Situation,
    first: Collection[tuple[str, str, str]] = (),
) -> Action | None:
    """Return the readings ``first`` and what is worth asking beside them, None where nothing is."""
    outlook, told = planner.sift(belief, posterior, situation)
    purse = planner.purse(outlook, situation)
    pool = [s for s in told if _off(planner, s.reading)]
    chosen = [s for s in pool if s.reading.key in first]
    rest = [s for s in pool if s.reading.key not in first]
    return joined(planner, outlook, purse, chosen, rest)


def is_off_the_aeroplane(planner: Planner, action: Action) -> bool:
    """Return whether an action asks nothing of the aeroplane itself."""
    return bool(action.readings) and all(_off(planner, r) for r in action.readings)


def _off(planner: Planner, reading: Reading) -> bool:
    return planner.catalogue.net.library.questions[reading.question].off_the_aeroplane
