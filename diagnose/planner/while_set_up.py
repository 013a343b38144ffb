"""What else is read while a pump is on for one reading: lamp, gauge and pointer in one go.

Every gate is answered and the fire guard stands there; the same set-up is not made again for the
next reading of it.
"""

from __future__ import annotations

from diagnose.belief import Held, Posterior
from diagnose.planner.actions import Action, Situation
from diagnose.planner.joining import joined
from diagnose.planner.plan import BUNDLE, Planner

AT_ONCE = 3.0
"""Most minutes of a reading that is taken along while something is set up (no source)."""


def with_what_is_set_up(
    planner: Planner, belief: Held, posterior: Posterior, situation: Situation, action: Action
) -> Action:
    """Return ``action`` with the other readings worth taking in its run state, a pump being on."""
    states = {r.key[2] for r in action.readings}
    state = action.readings[0].run_state if action.readings else None
    if len(states) != 1 or state is None or state.engine_running or not state.needs:
        return action
    outlook, told = planner.sift(belief, posterior, situation)
    questions = planner.catalogue.net.library.questions
    purse = planner.purse(outlook, situation)
    taken = {r.key for r in action.readings}
    first = [s for s in told if s.reading.key in taken]
    pool = [
        s
        for s in told
        if s.reading.key[2] == state.id
        and s.reading.key not in taken
        and questions[s.reading.question].minutes <= AT_ONCE
        and not questions[s.reading.question].tools
        and not questions[s.reading.question].destroys
    ]
    if len(first) != len(taken) or not pool:
        return action
    return joined(planner, outlook, purse, first, pool[: 3 * BUNDLE], BUNDLE) or action
