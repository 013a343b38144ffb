"""Run states as people state them become cock positions, pumps, power and contents."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fuel.fuel_kit import GPH, joint, layout, part, psig, shipped, state_of, states_of, tank
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import units
from diagnose.fuel import Settings, build, from_state, readings, solve
from diagnose.fuel.properties import PSI
from diagnose.fuel.settings import cocks_off, selecting


def test_a_named_tank_sets_its_own_selector() -> None:
    """The tank of a run state becomes the position of the selector before it."""
    network = shipped()
    assert selecting(network, "port-middle-tank") == {"port-selector": "middle"}
    assert selecting(network, "starboard-inner-tank") == {"starboard-selector": "inner"}
    assert selecting(network, "port-outer-tank") == {}  # transfer only
    assert selecting(shipped("high-wing-single"), "left-tank") == {"selector": "left"}


def test_cross_feed_from_one_tank_turns_the_other_selector_off() -> None:
    """One tank feeds all four engines; its pump alone is worked."""
    network = shipped()
    state = state_of(network, "run-up-crossfeed-port-inner")
    assert state.positions["crossfeed-cock"] == "open"
    assert state.positions["starboard-selector"] == "off"
    assert state.boosters == {"port-inner-booster"}
    found = readings(network, solve(network, [state]))
    assert float(found.at("tank-rate", "port-inner-tank")[0]) * 3.6e6 < -1200.0
    assert float(found.at("burn-fraction", "no4-engine")[0]) == pytest.approx(1.0, abs=0.01)


def test_boosters_worked_are_those_of_the_tanks_selected() -> None:
    """In-tank pumps of tanks not selected stand; pumps on engines all run."""
    network = shipped()
    assert state_of(network, "run-up-booster-on").boosters == {
        "port-inner-booster", "starboard-inner-booster"
    }  # fmt: skip
    twin = shipped("low-wing-twin")
    assert state_of(twin, "run-up-booster-on").boosters == {"no1-booster", "no2-booster"}
    radial = shipped("radial-single-hand-pump")
    assert state_of(radial, "run-up-hand-pump-worked").boosters == {"hand-pump"}


def test_parked_means_cocks_off() -> None:
    """A parked aeroplane has its selectors and shut-off cocks shut and its engines still."""
    network = shipped()
    state = state_of(network, "parked-overnight")
    assert cocks_off(network).items() <= state.positions.items()
    assert set(state.power.values()) == {"none"}
    assert "crossfeed-cock" not in state.positions


def test_power_comes_from_the_stage_and_from_the_band() -> None:
    """A stage says more than a band; 'none' always stands."""
    network = shipped("low-wing-single")
    assert set(from_state(network, {"power": "high"}).power.values()) == {"run-up"}
    assert set(from_state(network, {}, "take-off").power.values()) == {"take-off"}
    assert set(from_state(network, {"power": "none"}, "static").power.values()) == {"none"}
    assert set(from_state(network, {"power": "mid"}).power.values()) == {"cruise"}


def test_heat_level_and_attitude_words_become_figures() -> None:
    """Hot fuel and bays, contents and tilt; figures given by name replace them."""
    network = shipped()
    hot = from_state(network, {"heat": "hot", "level": "low", "attitude": "disturbed"}, "idle")
    assert hot.temperature > 300.0
    assert hot.engine_heat > 0.0
    assert hot.levels["port-inner-tank"] == pytest.approx(0.12)
    assert hot.pitch != 0.0
    assert from_state(network, {}, "idle", height=3000.0).height == 3000.0


def test_settings_that_solve_alike_have_equal_keys() -> None:
    """The key is what batches are grouped by."""
    network = shipped()
    one, two = state_of(network, "idle-booster-off"), state_of(network, "idle-booster-off")
    assert one.key() == two.key()
    assert one.key() != replace(one, height=1000.0).key()
    assert len({s.key() for s in states_of(network)}) > 10


def test_height_lowers_all_pressures_but_not_the_gauge() -> None:
    """At 10 000 ft the pump inlet is lower, the gauge (relief against the air) the same."""
    network = shipped()
    low = state_of(network, "run-up-booster-off")
    high = replace(low, height=3048.0, temperature=288.15)
    found = readings(network, solve(network, [low, high]))
    inlet = found.at("pump-inlet-pressure", "no1-engine")
    assert psig(float(inlet[0] - inlet[1])) == pytest.approx(14.696 - 10.108, abs=0.1)
    gauge = found.at("metering-pressure", "no1-engine")
    assert float(gauge[1]) == pytest.approx(float(gauge[0]), abs=0.1 * PSI)


def test_a_tilt_uncovers_an_outlet_at_the_tanks_forward_end() -> None:
    """Nose up with the outlet forward: the head falls, and a low tank stops feeding."""
    engine = [
        part("carburettor", "float-carburettor", of="engine", numbers={
            "height": 0.0, "seat-bore": 0.006, "burn-cruise": 8 * GPH, "burn-idle": 2 * GPH,
            "burn-take-off": 12 * GPH}),
        part("engine", "engine"),
    ]  # fmt: skip
    figures = {"height": 1.0, "capacity": 0.08, "depth": 0.2, "unusable": 0.004,
               "outlet-aft": -0.6}  # fmt: skip
    parts = [part("tank", "tank", numbers=figures), *engine]
    network = build(layout(parts, [("line", "tank", "carburettor", 0.01, 1.5, 5.0)]))
    level = Settings(power={"engine": "cruise"}, levels={"tank": 0.2})
    solution = solve(network, [level, replace(level, pitch=0.14)])
    burn = readings(network, solution).at("burn-fraction", "engine")
    assert float(burn[0]) == pytest.approx(1.0, abs=0.02)
    assert float(burn[1]) < 0.2


def test_a_roll_lets_one_wing_tank_siphon_into_the_other() -> None:
    """Starboard wing down, tanks joined: fuel runs from port to starboard."""
    parts = [
        part("port-tank", "tank", numbers={
            "height": 1.0, "capacity": 0.1, "depth": 0.2, "lateral": -2.0}),
        part("starboard-tank", "tank", numbers={
            "height": 1.0, "capacity": 0.1, "depth": 0.2, "lateral": 2.0}),
        joint("middle", 0.9),
    ]  # fmt: skip
    lines = [
        ("a", "port-tank", "middle", 0.01, 2.0, 2.0),
        ("b", "middle", "starboard-tank", 0.01, 2.0, 2.0),
    ]
    network = build(layout(parts, lines))
    rates = readings(network, solve(network, [Settings(), Settings(roll=0.09)]))
    assert float(rates.at("tank-rate", "starboard-tank")[0]) == pytest.approx(0.0, abs=1e-9)
    assert float(rates.at("tank-rate", "starboard-tank")[1]) / GPH > 5.0


def test_a_vent_in_suction_lowers_the_head_and_one_in_ram_raises_it() -> None:
    """A quarter of a psi at the vents shows in full at the pump inlet."""
    network = shipped()
    still = state_of(network, "run-up-booster-off")
    states = [still, replace(still, vent_ram=0.25 * PSI), replace(still, vent_ram=-0.25 * PSI)]
    inlet = readings(network, solve(network, states)).at("pump-inlet-pressure", "no1-engine")
    assert psig(float(inlet[1] - inlet[0])) == pytest.approx(0.25, abs=0.01)
    assert psig(float(inlet[2] - inlet[0])) == pytest.approx(-0.25, abs=0.01)


@settings(max_examples=50)
@given(st.floats(0.05, 0.95), st.floats(4.0, 12.0))
def test_figures_typed_in_other_units_give_the_same_readings(level: float, bore: float) -> None:
    """A bore in inches and a capacity in imperial gallons solve as in mm and litres."""
    gallons = units.parse("18 imp gal", "volume").value_si
    litres = units.parse(f"{gallons * 1e3!r} l", "volume").value_si
    inches = units.parse(f"{bore / 25.4!r} in", "length").value_si
    millimetres = units.parse(f"{bore!r} mm", "length").value_si
    rates = []
    for capacity, width in ((gallons, inches), (litres, millimetres)):
        parts = [tank("high", 1.0, 0.3, capacity), tank("low", 0.0, 0.3, capacity)]
        network = build(layout(parts, [("pipe", "high", "low", width, 3.0, 4.0)]))
        solution = solve(network, [Settings(levels={"high": level, "low": 0.1})])
        rates.append(float(readings(network, solution).at("tank-rate", "low")[0]))
    assert rates[0] == pytest.approx(rates[1], rel=1e-9)


def test_a_line_to_a_part_that_is_not_there_is_refused() -> None:
    """Building names the part and the layout."""
    with pytest.raises(ValueError, match="no part of hand-built"):
        build(layout([tank("only", 0.0)], [("pipe", "only", "elsewhere", 0.01, 1.0, 1.0)]))
