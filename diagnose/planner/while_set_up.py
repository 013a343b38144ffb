"""What else is read in the same go: lamp and gauge while a pump is on, drains with a jar in hand.

With a pump on every gate is answered and the fire guard stands there; the same set-up is not made
again for the next reading of it.  Who has drawn a sample at one drain walks on to the next with the
same jar, whatever is asked there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from diagnose.belief import Held, Posterior
from diagnose.model import Question
from diagnose.planner.actions import Action, Situation
from diagnose.planner.joining import joined
from diagnose.planner.plan import BUNDLE, Planner

AT_ONCE = 3.0
"""Most minutes of a reading that is taken along while something is set up (no source)."""


def with_what_is_set_up(
    planner: Planner, belief: Held, posterior: Posterior, situation: Situation, action: Action
) -> Action:
    """Return ``action`` with the other readings worth taking in its run state in the same go."""
    states = {r.state_id for r in action.readings}
    state = action.readings[0].run_state if action.readings else None
    if len(states) != 1 or state is None or state.engine_running:
        return action
    questions = planner.catalogue.net.library.questions
    first_asked = questions[action.readings[0].question]
    goes_along = _while_it_is_on if state.needs else with_the_same_in_hand(first_asked)
    outlook, told = planner.sift(belief, posterior, situation)
    purse = planner.purse(outlook, situation)
    taken = {r.key for r in action.readings}
    first = [s for s in told if s.reading.key in taken]
    pool = [
        s
        for s in told
        if s.reading.state_id == state.id
        and s.reading.key not in taken
        and goes_along(questions[s.reading.question])
    ]
    if len(first) != len(taken) or not pool:
        return action
    wider = joined(planner, outlook, purse, first, pool[: 3 * BUNDLE], BUNDLE) or action
    if state.needs:
        return wider
    order = {r.key: k for k, r in enumerate(planner.catalogue.readings)}
    walk = sorted(wider.readings, key=lambda r: (r.question != first_asked.id, order[r.key]))
    return replace(wider, readings=tuple(walk))


def with_the_same_in_hand(first: Question) -> Callable[[Question], bool]:
    """Return what says of a question whether it is the same act elsewhere: tools and cautions.

    What one place takes after another (``next_minutes``) is carried; nothing is where the act
    destroys evidence, which has its own order.
    """

    def goes_along(question: Question) -> bool:
        alike = (question.tools, question.hazards) == (first.tools, first.hazards)
        carried = bool(first.tools and first.next_minutes and question.next_minutes)
        return alike and carried and not (question.destroys or first.destroys)

    return goes_along


def _while_it_is_on(question: Question) -> bool:
    return question.minutes <= AT_ONCE and not question.tools and not question.destroys
