"""Readings asked for together because they cost less so: one way, one set-up."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.planner.actions import Action
from diagnose.planner.outlook import Outlook
from diagnose.planner.plan import ATTENTION, RETURN, SHORT_LIST, Planner, Scored
from diagnose.planner.worth import Purse


def joined(
    planner: Planner,
    outlook: Outlook,
    purse: Purse,
    chosen: Sequence[Scored],
    pool: Sequence[Scored],
    most: int = SHORT_LIST,
) -> Action | None:
    """Return ``chosen`` and what of ``pool`` is worth asking beside it, one after another.

    None where nothing was chosen and nothing is worth it.
    """
    now = float(purse.value(outlook.weights[None, :])[0])
    got = [*chosen]
    together = planner.weigh(outlook, purse, now, got) if got else None
    while len(got) < most and (rest := [s for s in pool if s not in got]):
        wider = [planner.weigh(outlook, purse, now, [*got, s]) for s in rest]
        k = max(range(len(rest)), key=lambda j: round(wider[j].saves, 9))
        saves, minutes = (together.saves, together.minutes) if together else (0.0, 0.0)
        if wider[k].saves - saves <= max(ATTENTION, RETURN * (wider[k].minutes - minutes)):
            break
        got, together = [*got, rest[k]], wider[k]
    return together
