"""A sound aeroplane reads normal, inside the limits that its layout states."""

from __future__ import annotations

import pytest
from fuel.fuel_kit import MAIN, shipped, state_of, states_of

from diagnose.fuel import (
    classify,
    readings,
    solve,
)
from diagnose.fuel.properties import PSI
from diagnose.predict.severity import SCATTER

PUMPED = (
    MAIN, "four-engine-float", "low-wing-twin", "low-wing-single", "low-wing-single-injected",
    "radial-single-hand-pump",
)  # fmt: skip


@pytest.mark.parametrize("name", [*PUMPED, "high-wing-single", "header-biplane"])
def test_a_sound_aeroplane_reads_normal_everywhere(name: str) -> None:
    """In every run state of every shipped layout all classes are the first, faultless ones."""
    network = shipped(name)
    states = states_of(network)
    solution = solve(network, states)
    assert solution.converged.all()
    found = readings(network, solution)
    faultless = {"normal", "out", "lit", "trickle", "full", "steady", "as-burned", "none",
                 "agree", ""}  # fmt: skip
    for reading, words in classify(network, solution, found, found).items():
        if reading == "booster-only-pressure":
            assert "none" not in set(words.ravel()), name
        assert set(words.ravel()) <= faultless, reading


@pytest.mark.parametrize("name", [*PUMPED, "low-wing-single-electric", "low-wing-single-tip-tanks"])
def test_sound_pressures_stand_well_inside_the_limits(name: str) -> None:
    """At least 2.5 scatters, so that a sound aeroplane hardly reads low or high by chance."""
    network = shipped(name)
    limits = network.layout.limits
    still = limits.get("booster-pressure") or limits["hand-pump-pressure"]
    for r in network.layout.run_states:
        if not r.engine_running and (r.stage, r.settings.get("booster")) != ("static", "on"):
            continue
        limit = limits["fuel-pressure"] if r.engine_running else still
        assert limit.low is not None
        assert limit.high is not None
        found = readings(network, solve(network, [state_of(network, r.id)])).values
        for reading in ("metering-pressure", "pressure-gauge"):
            value, room = found[reading], 2.5 * SCATTER[reading] * found[reading]
            assert (value - room >= limit.low).all(), (r.id, reading, value / PSI)
            assert (value + room <= limit.high).all(), (r.id, reading, value / PSI)
