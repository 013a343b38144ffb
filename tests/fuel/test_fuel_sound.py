"""A sound aeroplane reads normal, inside the limits that its layout states."""

from __future__ import annotations

import pytest
from fuel.fuel_kit import MAIN, shipped, state_of, states_of

from diagnose.fuel import (
    classify,
    from_state,
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


@pytest.mark.parametrize("name", PUMPED)
def test_running_pressure_lies_within_the_layouts_own_limits(name: str) -> None:
    """Run-up and idle pressures of a sound aeroplane are inside its fuel-pressure limits."""
    network = shipped(name)
    limit = network.layout.limits["fuel-pressure"]
    assert limit.low is not None
    assert limit.high is not None
    running = [r.id for r in network.layout.run_states if r.engine_running]
    solution = solve(network, [state_of(network, r) for r in running])
    pressure = readings(network, solution).values["metering-pressure"]
    assert (pressure >= limit.low).all()
    assert (pressure <= limit.high).all()


@pytest.mark.parametrize("name", PUMPED)
def test_booster_pressure_lies_within_the_layouts_own_limits(name: str) -> None:
    """With the engine stopped the electric or hand pump gives the pressure the layout states."""
    network = shipped(name)
    limits = network.layout.limits
    limit = limits.get("booster-pressure") or limits["hand-pump-pressure"]
    still = [r for r in network.layout.run_states
             if r.stage == "static" and r.settings.get("booster") == "on"]  # fmt: skip
    assert still
    solution = solve(network, [state_of(network, r.id) for r in still])
    pressure = readings(network, solution).values["metering-pressure"]
    assert limit.low is None or (pressure >= limit.low).all()
    assert limit.high is None or (pressure <= limit.high).all()


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


@pytest.mark.parametrize(("name", "limit"), [
    (MAIN, "delivery"), ("four-engine-float", "delivery"), ("low-wing-single", "delivery"),
    ("high-wing-single", "delivery"), ("header-biplane", "delivery"),
])  # fmt: skip
def test_delivery_into_a_can_is_what_the_layout_asks(name: str, limit: str) -> None:
    """A sound system delivers at least the stated flow at the open union (booster on if any)."""
    network = shipped(name)
    state = from_state(network, {"power": "can", "booster": "on", "level": "part"})
    solution = solve(network, [state])
    assert solution.converged.all()
    found = readings(network, solution)
    low = network.layout.limits[limit].low
    assert low is not None
    assert float(found.values["flow"].min()) >= low
    assert set(classify(network, solution, found, found)["delivery"].ravel()) == {"full"}
