"""One look taken at several like places at once: four lamps pressed while the battery is on.

The set-up is paid once, the answers are compared, and one line on the screen asks for them all.  A
question or check with ``next_minutes`` is of this kind whatever it takes: who has the stick in his
hand dips the next tank too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.belief import Held, Posterior
from diagnose.model import Question
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
    something.  A check made at all places in one go is, and what it would destroy is looked at
    before it, at each of them.
    """
    if action.is_check:
        if not planner.catalogue.net.library.checks[action.check].next_minutes:
            return action
        every = _everywhere(planner, situation, action)
        first_look = planner.before_it(every, belief, posterior, situation)
        if first_look is every:
            return every
        return with_like_places(planner, belief, posterior, situation, first_look)
    if action.is_run or len(action.readings) != 1:
        return action
    (first,) = action.readings
    question = planner.catalogue.net.library.questions[first.question]
    if not question.next_minutes and (question.minutes > GLANCE or question.tools):
        return action
    outlook, told = planner.sift(belief, posterior, situation)
    like = {s.reading.key: s for s in told if _of(s.reading) == _of(first)}
    if first.key not in like or len(like) == 1:
        return action
    rest = [s.reading for s in told if not running(s.reading) and s.reading.key not in like]
    purse = planner.purse(outlook, situation)
    now = float(purse.value(outlook.weights[None, :])[0])
    order = {r.key: k for k, r in enumerate(planner.catalogue.readings)}
    all_of_it = [
        s
        for s in like.values()
        if s.reading.key == first.key or _harmless(planner, question, s.reading.place, rest)
    ]
    all_of_it.sort(key=lambda s: order[s.reading.key])
    one, every = (planner.weigh(outlook, purse, now, x) for x in ([like[first.key]], all_of_it))
    return every if every.saves > one.saves else action


def _everywhere(planner: Planner, situation: Situation, action: Action) -> Action:
    """Return a check with every other place at which it is made in the same go, and its minutes."""
    net = planner.catalogue.net
    check = net.library.checks[action.check]
    first, *also = (
        at
        for at in net.layout.parts
        if at == action.at
        or ((check.id, at) in planner.catalogue.offers and (check.id, at) not in situation.done)
    )
    more = len(also) * check.next_minutes * (1.0 + 0.5 * (check.hands - 1))
    return replace(action, at=first, also=tuple(also), minutes=action.minutes + more)


def _harmless(planner: Planner, act: Question, at: str, telling: Sequence[Reading]) -> bool:
    """Return whether ``act`` done ``at`` a part leaves all that could be read of ``telling``."""
    lost = evidence_lost(act, at)
    return not any(planner.catalogue.gone(r, lost) for r in telling)


def _of(reading: Reading) -> tuple[str, str]:
    return reading.question, reading.key[2]
