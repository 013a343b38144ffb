"""One look taken at several like places at once: four lamps pressed while the battery is on.

The set-up is paid once, the answers are compared, and one line on the screen asks for them all.
"""

from __future__ import annotations

from dataclasses import replace

from diagnose.belief import Held, Posterior
from diagnose.planner.actions import Action, Reading, Situation, evidence_lost
from diagnose.planner.plan import Planner, running

GLANCE = 2.0
"""Minutes of a look that is taken at all of several like places rather than asked for again: the
next lamp on the panel, not the next tank to dip (this project's statement)."""


def with_like_places(
    planner: Planner, belief: Held, posterior: Posterior, situation: Situation, action: Action
) -> Action:
    """Return ``action`` with the same look at the like places where each saves more than it costs.

    Only a single glance with the engine at rest grows; its places stand in the order of the layout.
    A place is left out where the look would destroy what still tells something.
    """
    if action.is_check or action.is_run or len(action.readings) != 1:
        return action
    (first,) = action.readings
    question = planner.catalogue.net.library.questions[first.question]
    if question.minutes > GLANCE or question.tools:
        return action
    outlook, told = planner.sift(belief, posterior, situation)
    like = {s.reading.key: s for s in told if (s.reading.question, s.reading.key[2]) == _of(first)}
    if first.key not in like:
        return action
    purse = planner.purse(outlook, situation)
    now = float(purse.value(outlook.weights[None, :])[0])
    chosen = [like.pop(first.key)]
    best = planner.weigh(outlook, purse, now, chosen)
    still = [s.reading for s in told if not running(s.reading) and s.reading.key not in like]
    for s in like.values():
        lost = evidence_lost(question, s.reading.place)
        if any(planner.catalogue.gone(r, lost) for r in still):
            continue
        wider = planner.weigh(outlook, purse, now, [*chosen, s])
        if wider.saves > best.saves:
            chosen, best = [*chosen, s], wider
    if len(chosen) == 1:
        return action
    order = {r.key: k for k, r in enumerate(planner.catalogue.readings)}
    readings = tuple(sorted((s.reading for s in chosen), key=lambda r: order[r.key]))
    return replace(best, readings=readings)


def _of(reading: Reading) -> tuple[str, str]:
    return reading.question, reading.key[2]
