"""One look taken at several like places at once: four lamps pressed while the battery is on.

The set-up is paid once, the answers are compared, and one line on the screen asks for them all.  A
question or check with ``next_minutes`` is of this kind whatever it takes: who has the stick in his
hand dips the next tank too, and who stands on the wing looks at the next cap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.belief import Held, Posterior
from diagnose.model import Question
from diagnose.planner.actions import GLANCE, Action, Reading, Situation, evidence_lost, taken_along
from diagnose.planner.joining import joined
from diagnose.planner.outlook import Outlook
from diagnose.planner.plan import Planner
from diagnose.planner.worth import hardly_worth


def with_like_places(
    planner: Planner, belief: Held, posterior: Posterior, situation: Situation, action: Action
) -> Action:
    """Return ``action`` with the same look at all like places, where they save more than they cost.

    Only a single look with the engine at rest grows; its places stand in the order of the layout.
    A place is left out that would tell nothing, or where the look would destroy what still tells
    something.  A check made in the same go is made wherever it is worth the minutes it takes
    there, and what it would destroy is looked at before it, at each of these places.
    """
    if action.is_check:
        if not planner.catalogue.net.library.checks[action.check].next_minutes:
            return action
        every = _in_the_same_go(planner, Outlook(belief, posterior), situation, action)
        first_look = planner.before_it(every, belief, posterior, situation)
        if first_look is every:
            return every
        return with_like_places(planner, belief, posterior, situation, first_look)
    if action.is_run or len(action.readings) != 1:
        return action
    (first,) = action.readings
    question = planner.catalogue.net.library.questions[first.question]
    if not taken_along(question):
        return action
    outlook, told = planner.sift(belief, posterior, situation)
    like = {s.reading.key: s for s in told if s.reading.look == first.look}
    if first.key not in like or len(like) == 1:
        return action
    rest = [s.reading for s in told if not s.reading.is_run and s.reading.key not in like]
    others = [
        s
        for s in like.values()
        if s.reading.key != first.key and _harmless(planner, question, s.reading.place, rest)
    ]
    purse = planner.purse(outlook, situation)
    wider = joined(planner, outlook, purse, [like[first.key]], others)
    if wider is None or len(wider.readings) == 1:
        return action
    order = {r.key: k for k, r in enumerate(planner.catalogue.readings)}
    return replace(wider, readings=tuple(sorted(wider.readings, key=lambda r: order[r.key])))


def _in_the_same_go(
    planner: Planner, outlook: Outlook, situation: Situation, action: Action
) -> Action:
    """Return a check with every other place at which it is made in the same go, and its minutes.

    The next one is left out where it would hardly be worth its minutes, but for a glance.  Access
    of its own is paid for with it.
    """
    catalogue = planner.catalogue
    layout, check = catalogue.net.layout, catalogue.net.library.checks[action.check]
    people = 1.0 + 0.5 * (check.hands - 1)
    way_in = {at: check.access_of(layout.owner_of(at)) for at in layout.parts}
    open_by_then = {*situation.opened, way_in[action.at]}

    def more(*at: str) -> float:
        shut = {way_in[x] for x in at} - open_by_then
        return (len(at) * check.next_minutes + len(shut) * check.access_minutes) * people

    chances = planner.chances_of(check.id, outlook)
    every = [
        at
        for at in layout.parts
        if at == action.at
        or (
            (check.id, at) in catalogue.offers
            and (check.id, at) not in situation.done
            and not catalogue.check_gone(check.id, at, situation.lost)
            and (more(at) <= GLANCE or not hardly_worth(more(at), chances.get(at, 0.0)))
        )
    ]
    minutes = action.minutes + more(*(at for at in every if at != action.at))
    chance = sum(chances.get(at, 0.0) for at in every) if len(every) > 1 else action.chance
    return replace(action, at=every[0], also=tuple(every[1:]), minutes=minutes, chance=chance)


def _harmless(planner: Planner, act: Question, at: str, telling: Sequence[Reading]) -> bool:
    """Return whether ``act`` done ``at`` a part leaves all that could be read of ``telling``."""
    lost = evidence_lost(act, at)
    return not any(planner.catalogue.gone(r, lost) for r in telling)
