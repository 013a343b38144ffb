"""Contents over time: siphon, vapour return, transfer, leak, overflow, running dry, lamps."""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np
import pytest
from fuel.fuel_kit import GPH, layout, shipped, state_of, tank

from diagnose.fuel import Fault, Network, Settings, build, from_state, march, readings, solve
from diagnose.fuel.time import simulate

LITRE = 1e-3


def joined_tanks(bore: float) -> Network:
    """Return two tanks joined at the bottom by 6 m of pipe with K 8."""
    parts = [tank("high", 0.0), tank("low", 0.0)]
    return build(layout(parts, [("pipe", "high", "low", bore, 6.0, 8.0)]))


@pytest.mark.outside
@pytest.mark.parametrize(
    ("difference", "bore", "gallons"),
    [(0.1, 7.9, 10.0), (0.3, 7.9, 18.5), (0.3, 15.9, 103.0), (1.0, 15.9, 196.0)],
)
def test_siphon_between_tanks_agrees_with_worked_values(
    difference: float, bore: float, gallons: float
) -> None:
    """US gal/h through 6 m, K 8 for a level difference [m], worked with Colebrook by a script."""
    network = joined_tanks(bore * 1e-3)
    levels = {"high": (0.5 + difference) / 2.0, "low": 0.25}
    state = Settings(levels=levels, temperature=293.15)
    found = readings(network, solve(network, [state]))
    assert float(found.at("tank-rate", "low")[0]) / GPH == pytest.approx(gallons, rel=0.05)


@pytest.mark.outside
@pytest.mark.parametrize("difference", [0.1, 0.3])
def test_siphon_agrees_with_the_fluids_library(difference: float) -> None:
    """The head is used up by friction (Churchill) and K 8, as fluids works it out."""
    fluids = pytest.importorskip("fluids")
    network = joined_tanks(0.0079)
    levels = {"high": (0.5 + difference) / 2.0, "low": 0.25}
    solution = solve(network, [Settings(levels=levels, temperature=293.15)])
    q = float(readings(network, solution).at("tank-rate", "low")[0])
    rho, nu = solution.conditions.density[0, 0], solution.conditions.viscosity[0, 0]
    speed = q / (0.25 * np.pi * 0.0079**2)
    f = fluids.friction_factor(speed * 0.0079 / nu, 1.5e-6 / 0.0079, Method="Churchill_1977")
    drop = fluids.dP_from_K(f * 6.0 / 0.0079 + 8.0, rho, speed)
    assert drop == pytest.approx(rho * 9.80665 * difference, rel=0.01)


def test_two_joined_tanks_end_level_and_lose_nothing() -> None:
    """Over a night the levels meet and the sum stays."""
    network = joined_tanks(0.0159)
    state = Settings(levels={"high": 0.6, "low": 0.2})
    history = simulate(network, [(720.0, state)], step=5.0)
    assert history.contents[-1].sum() == pytest.approx(history.contents[0].sum(), rel=1e-6)
    high, low = history.contents[-1]
    assert high == pytest.approx(low, abs=0.02)


def test_joined_tanks_meet_without_swinging_whatever_the_longest_step() -> None:
    """Half-hour steps through a wide pipe: one falls, one rises, and neither turns back."""
    network = joined_tanks(0.0254)
    state = Settings(levels={"high": 0.6, "low": 0.2})
    history = simulate(network, [(120.0, state)], step=30.0)
    high, low = history.contents.T
    spoon = 0.002 * 2.0  # of their capacity
    assert (np.diff(high) < spoon).all()
    assert (np.diff(low) > -spoon).all()
    assert high[-1] == pytest.approx(low[-1], abs=spoon)


def test_a_full_header_tank_gives_its_fuel_when_nothing_comes_from_above() -> None:
    """Its vent lets air in as it falls; the engine runs on until it is dry."""
    network = shipped("header-biplane")
    off = {"upper-cock": "shut"}
    state = Settings(positions=off, power={"engine": "cruise"},
                     levels={"upper-tank": 0.5, "header-tank": 1.0})  # fmt: skip
    history = simulate(network, [(30.0, state)])
    assert history.change("header-tank") < -0.9 * float(history.burnt[-1, 0])
    assert float(history.burnt[-1, 0]) > 0.9 * 0.5 * network.meters[0].burn["cruise"] * 3600.0


def test_fuel_burnt_lost_and_left_adds_up() -> None:
    """Over a run with a leak: change of contents = burnt + lost, within a spoonful."""
    network = shipped()
    state = state_of(network, "run-up-booster-on")
    faults = [Fault("port-middle-drain", "leaks-out", 2.0)]
    history = simulate(network, [(10.0, state)], faults)
    gone = float((history.contents[0] - history.contents[-1]).sum())
    accounted = float(history.burnt[-1].sum() + history.overboard[-1].sum())
    assert history.overboard[-1].sum() > 1 * LITRE
    assert gone == pytest.approx(accounted, abs=0.02 * LITRE)


def test_a_transfer_valve_left_open_moves_a_night_of_fuel_downhill_and_a_shut_one_none() -> None:
    """Outer tanks drain into the middle ones only while the valve is open."""
    network = shipped()
    state = state_of(network, "parked-overnight")
    shut = simulate(network, [(720.0, state)], step=30.0)
    opened = Fault("port-outer-transfer-valve", "stuck-open", 1.0)
    left_open = simulate(network, [(720.0, state)], [opened], step=30.0)
    assert abs(shut.change("port-outer-tank")) < 0.1 * LITRE
    moved = left_open.change("port-middle-tank")
    assert moved > 50 * LITRE
    assert left_open.change("port-outer-tank") == pytest.approx(-moved, abs=0.1 * LITRE)


def test_a_tip_tank_moves_only_while_its_pump_runs_and_a_weak_pump_moves_it_slower() -> None:
    """The pump holds fuel back when it stands, and what leaves the tip arrives in the main tank."""
    network = shipped("low-wing-single-tip-tanks")
    state = state_of(network, "parked-overnight")
    on = replace(state, boosters=frozenset({"left-transfer-pump"}))
    weak = Fault("left-transfer-pump", "output", 0.6)
    rest, pumped, slower = (
        simulate(network, [(10.0, s)], faults, step=1.0)
        for s, faults in ((state, []), (on, []), (on, [weak]))
    )
    assert abs(rest.change("left-tip-tank")) < 0.1 * LITRE
    moved = -pumped.change("left-tip-tank")
    assert moved > 10 * LITRE
    assert pumped.change("left-main-tank") == pytest.approx(moved, abs=0.1 * LITRE)
    assert abs(pumped.change("right-tip-tank")) < 0.1 * LITRE
    assert 1 * LITRE < -slower.change("left-tip-tank") < 0.95 * moved


def test_a_tank_run_dry_lights_the_lamps_and_is_told() -> None:
    """The port inner tank runs out: tank-dry, then lamp-on at both its engines, none elsewhere."""
    network = shipped()
    state = state_of(network, "run-up-booster-off")
    state = replace(state, levels={**state.levels, "port-inner-tank": 0.04})
    history = simulate(network, [(20.0, state)])
    lit = {e.place for e in history.events if e.what == "lamp-on"}
    assert lit == {"no1-engine", "no2-engine"}
    at = history.engines.index("no1-engine")
    assert history.pressure[0, at] > history.pressure[-1, at] + 5e4
    assert history.lit[-1, at] == 1.0


def test_selecting_the_other_tank_puts_the_lamps_out_again() -> None:
    """After the change of tank the pressure comes back and passes the break point."""
    network = shipped()
    dry = state_of(network, "run-up-booster-off")
    dry = replace(dry, levels={**dry.levels, "port-inner-tank": 0.03})
    other = state_of(network, "run-up-port-middle")
    history = simulate(network, [(12.0, dry), (2.0, other)])
    assert history.first("lamp-on", "no1-engine") is not None
    out = history.first("lamp-out", "no1-engine")
    assert out is not None
    assert out >= 12.0


def test_a_header_tank_fills_from_the_upper_tank_and_then_stays_full() -> None:
    """The header tank breathes into the upper tank: it fills to the brim and spills nothing."""
    network = shipped("header-biplane")
    state = from_state(network, {}, "run-up", levels={"upper-tank": 0.5, "header-tank": 0.5})
    history = simulate(network, [(30.0, state)])
    assert history.first("tank-full", "header-tank") is not None
    assert history.first("overflow", "header-tank") is None
    assert history.overboard[-1].sum() == 0.0
    late = history.change("upper-tank")
    assert late < -20 * LITRE


def test_a_stated_contents_loss_is_what_a_night_costs() -> None:
    """5 l/h for ten hours is 50 l, and counts as lost overboard."""
    network = shipped("high-wing-single")
    state = from_state(network, {"power": "none", "level": "full"}, "parked")
    history = simulate(network, [(600.0, state)], [Fault("left-tank", "contents-loss", 5.0)], 30.0)
    assert history.change("left-tank") == pytest.approx(-50 * LITRE, rel=0.01)
    assert history.overboard[-1][0] == pytest.approx(50 * LITRE, rel=0.01)


def test_a_state_without_solution_ends_the_history(monkeypatch: pytest.MonkeyPatch) -> None:
    """No step is made up after a state that could not be solved."""
    solver = sys.modules["diagnose.fuel.solve"]
    monkeypatch.setattr(solver, "COLD", (march.Plan((30.0,), 20.0, 1),))
    monkeypatch.setattr(march, "NEWTON", 0)
    network = shipped()
    history = simulate(network, [(5.0, state_of(network, "run-up-booster-off"))])
    assert [e.what for e in history.events] == ["no-solution"]
    assert len(history.minutes) == 1
