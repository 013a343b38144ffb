"""One look taken at several like places at once: four lamps pressed while the battery is on.

The set-up is paid once, the answers are compared, and one line on the screen asks for them all.
"""

from __future__ import annotations

from diagnose.belief import Held, Posterior
from diagnose.planner.actions import Action, Reading, Situation, evidence_lost
from diagnose.planner.plan import Planner, running

GLANCE = 2.0
"""Minutes of a look that is taken at all of several like places rather than asked for again: the
next lamp on the panel, not the next tank to dip (this project's statement)."""


def with_like_places(
    planner: Planner, belief: Held, posterior: Posterior, situation: Situation, action: Action
) -> Action:
    """Return ``action`` with the same look at all like places, where they save more than they cost.

    Only a single glance with the engine at rest grows; its places stand in the order of the layout.
    A place is left out that would tell nothing, or where the look would destroy what still tells
    something.
    """
    if action.is_check or action.is_run or len(action.readings) != 1:
        return action
    (first,) = action.readings
    question = planner.catalogue.net.library.questions[first.question]
    if question.minutes > GLANCE or question.tools:
        return action
    outlook, told = planner.sift(belief, posterior, situation)
    like = {s.reading.key: s for s in told if _of(s.reading) == _of(first)}
    if first.key not in like or len(like) == 1:
        return action
    rest = [s.reading for s in told if not running(s.reading) and s.reading.key not in like]

    def harmless(reading: Reading) -> bool:
        lost = evidence_lost(question, reading.place)
        return not any(planner.catalogue.gone(r, lost) for r in rest)

    purse = planner.purse(outlook, situation)
    now = float(purse.value(outlook.weights[None, :])[0])
    order = {r.key: k for k, r in enumerate(planner.catalogue.readings)}
    all_of_it = [s for s in like.values() if s.reading.key == first.key or harmless(s.reading)]
    all_of_it.sort(key=lambda s: order[s.reading.key])
    one, every = (planner.weigh(outlook, purse, now, x) for x in ([like[first.key]], all_of_it))
    return every if every.saves > one.saves else action


def _of(reading: Reading) -> tuple[str, str]:
    return reading.question, reading.key[2]
