"""Whether a layout works while nothing is wrong with it: the model's word on the file itself.

A slip in a height or a bore makes a sound aeroplane starve, and then every failure looks normal.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from diagnose.fuel.build import build
from diagnose.fuel.readings import readings
from diagnose.fuel.settings import from_state
from diagnose.fuel.solve import solve
from diagnose.model import Layout

ENOUGH = 0.97
"""A sound engine gets at least this share of the fuel it wants."""


def within(layout: Layout, limit: str, figures: np.ndarray) -> bool:
    """Return whether all ``figures`` [SI] are within a limit; True where the layout has none."""
    if limit not in layout.limits:
        return True
    low, high = layout.limits[limit].low, layout.limits[limit].high
    above = low is None or bool((figures >= low).all())
    return above and (high is None or bool((figures <= high).all()))


def unsound(layout: Layout) -> Iterator[str]:
    """Yield in which run states with engines running the model does not find ``layout`` sound."""
    network = build(layout)
    running = [s for s in layout.run_states if s.engine_running]
    if not running:
        return
    names = [f"'{engine.id}'" for engine in network.engines]
    states = [from_state(network, s.state.known(), s.stage) for s in running]
    solution = solve(network, states)
    found = readings(network, solution).values
    for k, state in enumerate(running):
        if not solution.converged[k]:
            yield f"{state.title}: the model finds no steady state"
            continue
        shares = dict(zip(names, map(float, found["burn-fraction"][k]), strict=True))
        share = min(shares.values())
        if share < ENOUGH:
            which = " and ".join(name for name, got in shares.items() if got < ENOUGH)
            yield f"{state.title}: with nothing wrong {which} gets {share:.0%} of what it wants"
        if not within(layout, "fuel-pressure", found["metering-pressure"][k]):
            yield f"{state.title}: with nothing wrong the pressure is outside its limit"
