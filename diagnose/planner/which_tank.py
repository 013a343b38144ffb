"""Which of several tanks that would tell as much is looked into first.

What came with the last uplift is in the tanks that took it, and what the engines drew is in the
tank they were fed from; the first tank of the file may be a tip tank that was neither.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from diagnose.belief import Held, Posterior
from diagnose.model import TANKS
from diagnose.planner.actions import Action, Situation
from diagnose.planner.outlook import Outlook, check_table
from diagnose.planner.plan import Planner
from diagnose.planner.worth import entropy_gain

AS_MUCH = 0.97
"""A tank that tells this share of what the best one does tells as much."""


def at_the_tank_meant(
    planner: Planner,
    belief: Held,
    posterior: Posterior,
    situation: Situation,
    action: Action,
    well: Collection[tuple[str, str]] = (),
) -> Action:
    """Return ``action``, of one look at a tank, at the tank that was filled last or that fed.

    ``well``: question and place of what was read to be as it should.
    """
    if action.is_check:
        return _check_at(planner, Outlook(belief, posterior), situation, action, well)
    if action.is_run or len(action.readings) != 1:
        return action
    (first,) = action.readings
    if not _is_tank(planner, first.place):
        return action
    outlook, told = planner.sift(belief, posterior, situation)
    like = [s for s in told if s.reading.look == first.look]
    bits = next((s.bits for s in like if s.reading.key == first.key), 0.0)
    near = [s for s in like if s.bits >= AS_MUCH * bits > 0.0]
    best = min(near, key=lambda s: _turn(planner, s.reading.place), default=None)
    if best is None or _turn(planner, best.reading.place) >= _turn(planner, first.place):
        return action
    purse = planner.purse(outlook, situation)
    now = float(purse.value(outlook.weights[None, :])[0])
    return planner.weigh(outlook, purse, now, [best])


def _check_at(
    planner: Planner,
    outlook: Outlook,
    situation: Situation,
    action: Action,
    well: Collection[tuple[str, str]],
) -> Action:
    """Return a check at the tank meant; one whose very act found nothing as a reading is last."""
    if not _is_tank(planner, action.at):
        return action
    catalogue = planner.catalogue
    same = catalogue.net.library.checks[action.check].same_as
    gains = {
        at: entropy_gain(
            outlook.weights, outlook.given(check_table(outlook.belief, action.check, at))
        )
        for at in catalogue.net.places.tanks
        if (action.check, at) in catalogue.offers
        and (action.check, at) not in situation.done
        and not catalogue.check_gone(action.check, at, situation.lost)
    }
    enough = AS_MUCH * gains.get(action.at, float("inf"))
    near = [at for at, gain in gains.items() if gain >= enough]
    best = min(near, key=lambda at: ((same, at) in well, *_turn(planner, at)), default=action.at)
    return replace(action, at=best)


def _is_tank(planner: Planner, place: str) -> bool:
    part = planner.catalogue.net.layout.parts.get(place)
    return part is not None and part.kind in TANKS


def _turn(planner: Planner, tank: str) -> tuple[bool, bool, bool]:
    """Return what puts a tank behind another: not filled last, not for take-off, feeding none."""
    layout = planner.catalogue.net.layout
    uplifts = layout.aeroplane.uplifts if layout.aeroplane else ()
    filled = max(uplifts, key=lambda u: u.on).tanks if uplifts else ()
    traits = layout.parts[tank].traits
    return tank not in filled, traits.get("take-off") == "no", traits.get("role") == "transfer"
