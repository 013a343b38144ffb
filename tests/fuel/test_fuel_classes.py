"""What gauges, lamps and people read, in numbers and in the words of the knowledge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fuel.fuel_kit import LAYOUTS, MAIN, shipped, state_of, states_of

from diagnose.fuel import (
    CLASSED,
    Fault,
    Network,
    Settings,
    build,
    classify,
    from_state,
    places_of,
    readings,
    solve,
)
from diagnose.fuel.properties import PSI
from diagnose.knowledge_files import load_library

ENGINE = "no1-engine"
PUMPED = (
    MAIN, "four-engine-float", "low-wing-twin", "low-wing-single", "low-wing-single-injected",
    "radial-single-hand-pump",
)  # fmt: skip


def word(
    name: str, place: str, *faults: Fault, run_state: str = "run-up-booster-off",
    network: Network | None = None, state: Settings | None = None,
) -> str:  # fmt: skip
    """Return the class of one reading with these faults."""
    network = network or shipped()
    state = state or state_of(network, run_state)
    sound = readings(network, solve(network, [state]))
    solution = solve(network, [state], [faults])
    found = readings(network, solution)
    words = classify(network, solution, found, sound)
    return str(words[name][0, places_of(found, name).index(place)])


def figure(name: str, place: str, *faults: Fault, run_state: str = "run-up-booster-off") -> float:
    """Return one reading of the main layout."""
    network = shipped()
    solution = solve(network, [state_of(network, run_state)], [faults])
    return float(readings(network, solution).at(name, place)[0])


def test_pressure_words_follow_the_limits() -> None:
    """Relief set low reads low and lights the lamp; set high reads high and does not."""
    low = Fault("no1-pump-relief", "relief-set", 0.4)
    high = Fault("no1-pump-relief", "relief-set", 1.6)
    assert word("metering-pressure", ENGINE, low) == "low"
    assert word("pressure-lamp", ENGINE, low) == "lit"
    assert word("metering-pressure", ENGINE, high) == "high"
    assert word("pressure-lamp", ENGINE, high) == "out"
    assert word("metering-pressure", "no2-engine", low) == "normal"


def test_vapour_and_air_hunt_while_blockage_stays_low_and_steady() -> None:
    """Boiling with little suction and air in the pump hunt; starving by blockage is low."""
    assert word("metering-pressure", ENGINE, Fault("no1-hose", "heat", 60.0)) == "hunting"
    assert word("metering-pressure", ENGINE, Fault("no1-supply", "air-in", 3.0)) == "hunting"
    assert word("metering-pressure", ENGINE, Fault("no1-strainer", "blocked", 0.98)) == "low"
    assert word("engine-running", ENGINE, Fault("no1-hose", "heat", 45.0)) == "surges"


def test_a_float_chamber_lets_a_little_air_out_before_the_engine_feels_it() -> None:
    """The same small leak swings both needles; only the engine without a float chamber surges."""
    leak = Fault("no1-supply", "air-in", 1.5)
    for layout, felt in (("four-engine-float", "normal"), (MAIN, "surges")):
        assert word("metering-pressure", ENGINE, leak, network=shipped(layout)) == "hunting"
        assert word("engine-running", ENGINE, leak, network=shipped(layout)) == felt
    large = Fault("no1-supply", "air-in", 15.0)
    assert word("engine-running", ENGINE, large, network=shipped("four-engine-float")) == "surges"


def test_a_pump_that_states_the_margin_it_needs_hunts_below_it() -> None:
    """With 12 psi needed, a sound run-up on cold fuel is already too near boiling."""
    sound = shipped()
    pump = sound.layout.parts["no1-engine-pump"]
    fussy = replace(pump, numbers={**pump.numbers, "needed-margin": 12 * PSI})
    network = build(replace(sound.layout, parts={**sound.layout.parts, pump.id: fussy}))
    assert word("metering-pressure", ENGINE, network=network) == "hunting"
    assert word("metering-pressure", "no2-engine", network=network) == "normal"


def test_engine_words_follow_the_fuel_it_gets() -> None:
    """A little short fades, nothing at all stops, too much is rough and rich."""
    assert word("engine-running", ENGINE, Fault("no1-strainer", "blocked", 0.95)) == "fades"
    assert word("engine-running", ENGINE, Fault("no1-shut-off-cock", "stuck-shut", 1.0)) == "stops"
    rich = Fault("no1-mixture-control", "metering", 1.4)
    assert word("engine-running", ENGINE, rich) == "rough"
    assert word("mixture-strength", ENGINE, rich) == "rich"
    assert word("mixture-strength", ENGINE, Fault("no1-carburettor", "metering", 0.8)) == "lean"


def test_return_words_follow_the_limit() -> None:
    """Eight times the return is large, a shut one none."""
    assert word("return-flow", ENGINE, Fault("no1-vapour-return", "return-open", 8.0)) == "large"
    assert word("return-flow", ENGINE, Fault("no1-vapour-return", "blocked", 1.0)) == "none"


def test_an_instrument_fault_moves_the_instrument_and_not_the_pressure() -> None:
    """A gauge reading low, a stuck one and a dead one leave the pressure itself alone."""
    sound = figure("pressure-gauge", ENGINE)
    off = Fault("no1-pressure-gauge", "reads", -0.2)
    assert figure("pressure-gauge", ENGINE, off) == pytest.approx(sound - 5 * PSI, rel=1e-6)
    assert figure("metering-pressure", ENGINE, off) == figure("metering-pressure", ENGINE)
    assert word("pressure-gauge", ENGINE, off) == "low"
    assert word("metering-pressure", ENGINE, off) == "normal"
    assert figure("pressure-gauge", ENGINE, Fault("no1-pressure-gauge", "dead", 1)) == 0.0
    stuck = Fault("no1-pressure-gauge", "stuck-at", 0.5)
    assert figure("pressure-gauge", ENGINE, stuck) == pytest.approx(12.5 * PSI)


def test_a_gauge_higher_than_its_carburettor_reads_the_head_less() -> None:
    """0.52 m up at 720 kg/m3: 0.53 psi less on the gauge."""
    less = figure("metering-pressure", ENGINE) - figure("pressure-gauge", ENGINE)
    assert less / PSI == pytest.approx(0.52 * 720 * 9.80665 / PSI, rel=0.01)


def test_a_lamp_has_its_make_and_break_points() -> None:
    """Between the points it stays as it was: out on the way down, lit on the way up."""
    network = shipped()
    relief = Fault("no1-pump-relief", "relief-set", 0.66)  # 10.5 psi, between 10 and 11
    down = state_of(network, "idle-booster-off")
    up = state_of(network, "idle-booster-off", rising=True)
    pressure = readings(network, solve(network, [down], [[relief]])).at("metering-pressure", ENGINE)
    assert 10 * PSI < float(pressure[0]) < 11 * PSI
    assert word("pressure-lamp", ENGINE, relief, state=down) == "out"
    assert word("pressure-lamp", ENGINE, relief, state=up) == "lit"


def test_switch_lamp_and_wiring_faults_show_on_the_lamp_alone() -> None:
    """Set point drifted up lights it, dead lamp or bus keeps it out, an earthed wire lights it."""
    starved = Fault("no1-shut-off-cock", "stuck-shut", 1.0)
    lamp = "pressure-lamp"
    assert word(lamp, ENGINE, Fault("no1-pressure-switch", "switch-set", 2.0)) == "lit"
    assert word(lamp, ENGINE, starved) == "lit"
    assert word(lamp, ENGINE, starved, Fault("no1-pressure-switch", "stuck-open", 1)) == "out"
    assert word(lamp, ENGINE, starved, Fault("no1-warning-lamp", "dead", 1)) == "out"
    assert word(lamp, ENGINE, starved, Fault("port-bus", "dead", 1)) == "out"
    assert word(lamp, ENGINE, Fault("no1-warning-circuit", "stuck-shut", 1)) == "lit"


def test_contents_gauge_against_stick() -> None:
    """Zero error, scale error, dead sender and folded bladder in the words of the knowledge."""
    tank = "port-inner-tank"
    name = "gauge-against-stick"
    assert word(name, tank, Fault("port-inner-gauge", "reads", 0.1)) == "reads-high"
    assert word(name, tank, Fault("port-inner-sender", "scale", 0.7)) == "reads-low"
    assert word(name, tank, Fault("port-inner-wiring", "dead", 1)) == "pegged-empty"
    assert word(name, tank, Fault("port-inner-gauge", "reads", 1.0)) == "pegged-full"
    assert word(name, tank, Fault("port-inner-dip-stick", "reads", 0.1)) == "reads-low"
    # a folded bladder fools both
    assert word(name, tank, Fault(tank, "reads", 0.1)) == "agree"
    network = shipped()
    solution = solve(network, [state_of(network, "static")], [[Fault(tank, "reads", 0.1)]])
    shown = readings(network, solution).at("dip-stick", tank)[0]
    assert shown == pytest.approx(0.6 * network.tanks[network.tank_index[tank]].capacity)


def test_contents_trends() -> None:
    """Excess return raises a tank not selected; a drain leak makes one fall at night."""
    returned = Fault("no1-vapour-return", "return-open", 8.0)
    state = "run-up-port-middle"
    assert word("trend-running", "port-inner-tank", returned, run_state=state) == "rises"
    screen = Fault("port-inner-screen", "blocked", 1.0)
    assert word("trend-running", "port-inner-tank", screen) == "stays"
    leak = Fault("port-inner-drain", "leaks-out", 2.0)
    parked = "parked-overnight"
    assert word("trend-parked", "port-inner-tank", leak, run_state=parked) == "falls"
    passing = Fault("port-outer-transfer-valve", "leaks-through", 5.0)
    assert word("trend-parked", "port-middle-tank", passing, run_state=parked) == "rises"
    assert word("trend-parked", "starboard-middle-tank", passing, run_state=parked) == "steady"


def test_tank_air_and_pump_current_words() -> None:
    """A blocked vent sucks; a dead pump draws no current, a bound one little."""
    vent = Fault("port-inner-vent", "vent-blocked", 1.0)
    assert word("vent-suction", "port-inner-tank", vent) == "suction"
    on = "run-up-booster-on"
    pump = "port-inner-booster"
    assert word("booster-current", pump, Fault(pump, "dead", 1), run_state=on) == "none"
    assert word("booster-current", pump, Fault(pump, "output", 0.3), run_state=on) == "low"


def test_booster_only_pressure_words() -> None:
    """Engine stopped, booster on: dead is none, weak is low, too strong is high."""
    static, pump = "static-booster-on", "port-inner-booster"
    name = "booster-only-pressure"
    assert word(name, ENGINE, run_state=static) == "normal"
    assert word(name, ENGINE, Fault(pump, "dead", 1), run_state=static) == "none"
    assert word(name, ENGINE, Fault(pump, "output", 0.5), run_state=static) == "low"
    assert word(name, ENGINE, Fault(pump, "output", 1.7), run_state=static) == "high"
    assert word(name, ENGINE) == ""
    gauge = "pressure-gauge"
    assert word(gauge, ENGINE, Fault(pump, "dead", 1), run_state=static) == "none"
    assert word(gauge, ENGINE, Fault(pump, "output", 0.5), run_state=static) == "low"


def test_delivery_by_gravity_is_held_against_the_engine_beside_it() -> None:
    """Past a pump at rest no sound engine makes the figure: a fifth less is full, half is weak."""
    network = shipped()
    can = from_state(network, {"power": "can", "booster": "off", "level": "part"})
    sound = float(readings(network, solve(network, [can])).at("flow", ENGINE)[0])
    least = network.layout.limits["delivery"].low
    assert least is not None
    assert sound < least
    said = {}
    for blocked in (0.3, 0.5, 0.7, 0.8, 0.9):
        fault = Fault("no1-strainer", "blocked", blocked)
        left = float(readings(network, solve(network, [can], [[fault]])).at("flow", ENGINE)[0])
        said[left / sound] = word("delivery", ENGINE, fault, network=network, state=can)
    assert {w for share, w in said.items() if share > 0.7} == {"full"}
    assert {w for share, w in said.items() if share < 0.7} == {"weak"}


def test_delivery_words() -> None:
    """Into a can: full, weak through a blocked strainer, none past a shut cock."""
    network = shipped("high-wing-single")
    can = from_state(network, {"power": "can", "level": "part"})

    def say(*faults: Fault) -> str:
        return word("delivery", "engine", *faults, network=network, state=can)

    assert say() == "full"
    assert say(Fault("strainer", "blocked", 0.9)) == "weak"
    assert say(Fault("selector", "stuck-shut", 1.0)) == "none"


def test_effects_name_readings_that_the_model_gives() -> None:
    """Every reading named in the knowledge has classes, and they are values of that effect."""
    library = load_library(LAYOUTS.parent)
    named = {e.reading for e in library.effects.values() if e.reading}
    assert named
    assert named <= set(CLASSED)


def test_a_network_has_its_readings_at_all_its_engines_and_tanks() -> None:
    """Readings come as (rows, places) with the places named."""
    network = shipped()
    solution = solve(network, states_of(network)[:3])
    found = readings(network, solution)
    for name, values in found.values.items():
        assert values.shape == (3, len(found.places[name])), name
    assert np.isfinite(found.values["metering-pressure"]).all()


def test_a_relief_far_too_high_lifts_a_float_needle_and_enriches() -> None:
    """Twice the setting is rich on a float carburettor at power, on a regulator at idle first."""
    network = shipped("low-wing-single")
    run_up = Settings(power={"engine": "run-up"}, levels={"left-tank": 0.5, "right-tank": 0.5})
    twice = Fault("pump-relief", "relief-set", 2.0)
    assert word("mixture-strength", "engine", twice, network=network, state=run_up) == "rich"
    injected = Fault("no1-pump-relief", "relief-set", 1.3)
    assert word("mixture-strength", ENGINE, injected) == "normal"
    idle = Settings(power={ENGINE: "idle"})
    assert word("mixture-strength", ENGINE, injected, state=idle) == "rich"


def test_a_primer_that_passes_enriches_its_engine_at_idle() -> None:
    """Half a square millimetre is much against what an idling engine burns."""
    network = shipped("low-wing-single")
    idle = Settings(power={"engine": "idle"}, levels={"left-tank": 0.5, "right-tank": 0.5})
    passes = Fault("primer", "leaks-through", 0.5)
    assert word("mixture-strength", "engine", passes, network=network, state=idle) == "rich"


def test_a_vent_that_loses_fuel_streams() -> None:
    """What is lost at the vent itself is seen there; what is lost at the cap is not."""
    part = next(p.id for p in shipped().layout.parts.values() if p.kind == "tank-vent")
    tank = shipped().layout.parts[part].of
    assert word("vent-outflow", tank, Fault(part, "contents-loss", 20.0)) == "streams"
    cap = next(p.id for p in shipped().layout.parts.values()
               if p.kind == "filler-cap" and p.of == tank)  # fmt: skip
    assert word("vent-outflow", tank, Fault(cap, "contents-loss", 20.0)) == "none"


def test_the_air_stream_draws_fuel_only_while_there_is_one() -> None:
    """An open filler loses fuel at power; parked or idling nothing is drawn over the wing."""
    network = shipped("low-wing-single")
    off = Fault("left-cap", "drawn-off", 40.0)
    levels = {"left-tank": 0.5, "right-tank": 0.5}
    flying = Settings(power={"engine": "cruise"}, levels=levels)
    assert word("trend-running", "left-tank", off, network=network, state=flying) == "falls-fast"
    still = Settings(levels=levels)
    assert word("trend-parked", "left-tank", off, network=network, state=still) == "steady"


def test_how_contents_move_running_is_not_told_of_an_engine_that_stopped() -> None:
    """A single that starves burns nothing; that its tank stays is no reading of a running one."""
    network = shipped("low-wing-single")
    running = Settings(power={"engine": "cruise"}, levels={"left-tank": 0.5, "right-tank": 0.5})
    shut = Fault("selector", "stuck-shut", 1.0)
    assert word("engine-running", "engine", shut, network=network, state=running) == "stops"
    assert word("trend-running", "left-tank", shut, network=network, state=running) == ""


def test_what_is_behind_the_open_union_does_not_hold_back_the_can() -> None:
    """The can is filled before the carburettor, so that its screen and jets do not matter."""
    network = shipped()
    can = from_state(network, {"power": "can", "level": "part"})
    choked = Fault("no1-carburettor", "metering", 0.3)
    assert word("delivery", ENGINE, choked, network=network, state=can) == "full"
    plugged = Fault("no1-strainer", "blocked", 0.99)
    assert word("delivery", ENGINE, plugged, network=network, state=can) != "full"
