"""What is worth reading on the occasion of one engine run, and what readings out of reach tell."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np

from diagnose.belief import Held, Posterior
from diagnose.model import CauseAt
from diagnose.planner.actions import Reading, Situation
from diagnose.planner.joint import joint_gain, split
from diagnose.planner.plan import LEAST_BITS, Planner, Scored

AROUND = 10.0
"""Minutes a state may take to be set up and still belong to the occasion of a run."""


def worth_in_one_run(
    planner: Planner, belief: Held, posterior: Posterior, situation: Situation, most: int
) -> tuple[Reading, ...]:
    """Return what is worth reading on the occasion of ONE engine run, most telling first.

    Readings with the engine stopped, before the start or just after shut-down, count as well
    where they take a few minutes; the choice goes by bits per minute on top of what is read
    already, a state set up once.  Empty when no reading of a running engine tells anything.
    """
    outlook, told = planner.sift(belief, posterior, situation)
    pool = [s for s in told if _on_occasion(planner, s.reading)]
    if not any(s.reading.is_run for s in pool):
        return ()
    first = next(s for s in pool if s.reading.is_run)
    chosen = [first]
    pool = [s for s in pool if s is not first][: 3 * most]
    joint = split(outlook.weights[None, :], first.given)
    # what a reading adds falls as others are taken: an old figure is an upper bound, and only
    # the reading that leads by it is weighed anew
    gains = np.array([s.bits for s in pool])
    fresh = np.zeros(len(pool), dtype=bool)
    while len(chosen) < most and gains.max(initial=0.0) > 3 * LEAST_BITS:
        adds = [_adds(planner, s.reading, chosen) for s in pool]
        k = int(np.argmax(np.where(gains > 3 * LEAST_BITS, gains, 0.0) / adds))
        if not fresh[k]:
            gains[k], fresh[k] = joint_gain(joint, pool[k].given), True
            continue
        chosen.append(pool[k])
        joint = split(joint, pool[k].given)
        gains[k], fresh[:] = 0.0, False
    return tuple(s.reading for s in chosen)


def _on_occasion(planner: Planner, reading: Reading) -> bool:
    """Return whether a reading can be taken around an engine run in a few minutes."""
    state, q = reading.run_state, planner.catalogue.net.library.questions[reading.question]
    return (
        state is not None
        and state.minutes <= AROUND
        and (q.minutes <= AROUND / 2)
        # what can be read at any time needs no occasion
        and (state.engine_running or state.stage == "after-shut-down" or bool(state.needs))
        and (state.engine_running or not q.tools)
    )


def _adds(planner: Planner, reading: Reading, chosen: Sequence[Scored]) -> float:
    """Return the minutes a reading adds to the run of the ``chosen``."""
    state = reading.run_state
    there = {c.reading.state_id for c in chosen}
    held = state.minutes if state is not None and state.id not in there else 0.0
    return planner.catalogue.net.library.questions[reading.question].minutes + held


def would_tell(
    planner: Planner, belief: Held, posterior: Posterior, keys: Collection[tuple[str, str, str]]
) -> tuple[tuple[Reading, float, tuple[CauseAt, ...]], ...]:
    """Return (reading, bits, the two likeliest causes it tells apart) of the readings ``keys``.

    Whatever is at hand; most telling first, those that tell nothing left out.
    """
    wanted = set(keys)
    asked = frozenset(r.key for r in planner.catalogue.readings if r.key not in wanted)
    outlook, found = planner.sift(belief, posterior, Situation(asked=asked, hands=99))
    return tuple((s.reading, s.bits, outlook.parted(s.given)) for s in found)
