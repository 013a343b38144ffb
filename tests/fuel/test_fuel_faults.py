"""Physical changes: each lands where it should, nothing is silently without effect."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest
from fuel.fuel_kit import GRADES, LAYOUTS, MAIN, possible, shipped, state_of

from diagnose.fuel import (
    FITS,
    Fault,
    FaultError,
    Readings,
    Settings,
    fault_of,
    readings,
    solve,
)
from diagnose.fuel.conditions import prepare
from diagnose.fuel.faults import apply
from diagnose.fuel.properties import PSI
from diagnose.knowledge_files import load_library
from diagnose.model import Physical

ENGINE = "no1-engine"


def run_up(*faults: Fault, booster: bool = False, state: str = "") -> Readings:
    """Return the readings of the main layout at run-up."""
    network = shipped()
    name = state or ("run-up-booster-on" if booster else "run-up-booster-off")
    solution = solve(network, [state_of(network, name)], [faults])
    assert solution.converged.all(), solution.trouble(0)
    return readings(network, solution)


def at(found: Readings, name: str, place: str = ENGINE) -> float:
    """Return one figure."""
    return float(found.at(name, place)[0])


def test_every_word_of_the_vocabulary_is_known() -> None:
    """The model knows all physical changes that knowledge files may name."""
    vocabulary = pytest.importorskip("diagnose.knowledge_files.vocabulary")
    assert set(FITS) == set(vocabulary.PHYSICAL_CHANGES)
    assert set(GRADES) == set(FITS)


@pytest.mark.parametrize("name", [MAIN, "four-engine-float", "high-wing-single"])
def test_every_change_that_fits_a_part_can_be_applied(name: str) -> None:
    """All kinds of part take all their changes at their worst, one by one, and are solved."""
    network = shipped(name)
    state = state_of(network, network.layout.run_states[-3].id)
    faults = [[Fault(where, c, GRADES[c][-1], "mm2")] for where, c in possible(network)]
    assert len(faults) > 100
    solution = solve(network, [state], faults)
    assert int(solution.converged.sum()) >= len(faults) - 1


def test_every_physical_form_in_the_knowledge_is_one_its_parts_can_have() -> None:
    """Each cause with a physical form fits all its kinds of part; no fewer than 80 causes do."""
    library = load_library(LAYOUTS.parent)
    formed = [c for c in library.causes.values() if c.physical is not None]
    assert len(formed) >= 80
    misfits = [
        f"{c.id}: {c.physical.change} at {kind}"
        for c in formed
        if c.physical is not None
        for kind in c.part_kinds
        if kind not in FITS[c.physical.change]
    ]
    assert misfits == []


def test_a_change_that_does_not_fit_is_refused_by_name() -> None:
    """Unknown part, unknown change and a change without form there each say so."""
    network = shipped()
    state = [state_of(network, "static")]
    with pytest.raises(FaultError, match="no part of"):
        solve(network, state, [[Fault("no9-strainer", "blocked", 0.5)]])
    with pytest.raises(FaultError, match="no physical change"):
        solve(network, state, [[Fault("no1-strainer", "bent", 0.5)]])
    with pytest.raises(FaultError, match="no physical form at no1-strainer"):
        solve(network, state, [[Fault("no1-strainer", "relief-set", 0.5)]])
    float_network = shipped("four-engine-float")
    idle = [state_of(float_network, "idle-booster-off")]
    with pytest.raises(FaultError, match="return-open"):
        solve(float_network, idle, [[Fault("no1-carburettor", "return-open", 3.0)]])


def test_a_grade_of_a_physical_form_becomes_a_fault() -> None:
    """The severity grade picks the value."""
    physical = Physical("blocked", {"slight": 0.4, "half": 0.8, "severe": 0.97})
    assert fault_of(physical, "no1-strainer", "half") == Fault("no1-strainer", "blocked", 0.8)


def test_a_blocked_strainer_shows_late_and_suddenly() -> None:
    """Half blocked moves nothing; nearly shut starves its own engine and no other."""
    sound, half = run_up(), run_up(Fault("no1-strainer", "blocked", 0.5))
    shut = run_up(Fault("no1-strainer", "blocked", 0.98))
    pressure = "metering-pressure"
    assert at(half, pressure) == pytest.approx(at(sound, pressure), abs=0.1 * PSI)
    assert at(shut, pressure) < 2 * PSI
    assert at(shut, "burn-fraction") < 0.7
    other = at(sound, pressure, "no2-engine")
    assert at(shut, pressure, "no2-engine") == pytest.approx(other, rel=1e-3)


def test_an_outlet_fault_starves_both_engines_that_the_tank_feeds() -> None:
    """A blocked outlet screen of the port inner tank fails no. 1 and no. 2, not no. 3."""
    found = run_up(Fault("port-inner-screen", "blocked", 1.0))
    assert at(found, "burn-fraction", "no1-engine") < 0.1
    assert at(found, "burn-fraction", "no2-engine") < 0.1
    assert at(found, "burn-fraction", "no3-engine") == pytest.approx(1.0, abs=0.01)


def test_a_suction_leak_draws_air_until_the_booster_makes_it_a_fuel_leak() -> None:
    """Booster off: air in the pump and no fuel lost; booster on: no air and fuel overboard."""
    fault = Fault("no1-supply", "air-in", 3.0, "mm2")
    off, on = run_up(fault), run_up(fault, booster=True)
    assert at(off, "air-share") > 0.05
    assert at(off, "leak-flow") * 3.6e6 < 3.0  # the low end of the line stands under some head
    assert at(on, "air-share") == pytest.approx(0.0, abs=1e-6)
    assert at(on, "leak-flow") * 3.6e6 > 20.0


def test_a_share_of_suction_lost_can_be_stated_as_a_fraction() -> None:
    """A fraction acts only while the pump inlet is below the air pressure."""
    fault = Fault("no1-supply", "air-in", 0.5, "fraction")
    assert at(run_up(fault), "air-share") > 0.01
    assert at(run_up(fault, booster=True), "air-share") == pytest.approx(0.0, abs=1e-6)


def test_heat_in_the_engine_bay_takes_margin_and_the_booster_gives_it_back() -> None:
    """A hot hose lowers the vapour margin at its own engine; the booster restores it."""
    fault = Fault("no1-hose", "heat", 45.0)
    sound, hot, on = run_up(), run_up(fault), run_up(fault, booster=True)
    assert at(hot, "vapour-margin") < at(sound, "vapour-margin") - 8 * PSI
    assert at(on, "vapour-margin") > at(hot, "vapour-margin") + 8 * PSI
    untouched = at(hot, "vapour-margin", "no2-engine")
    assert untouched == pytest.approx(at(sound, "vapour-margin", "no2-engine"), abs=0.1 * PSI)


def test_volatile_fuel_follows_the_selected_tank() -> None:
    """Winter fuel in the port inner tank takes margin on the engines it feeds and no others."""
    found = run_up(Fault("port-inner-fuel", "vapour-pressure", 40.0))
    sound = run_up()
    margin = "vapour-margin"
    assert at(found, margin) < at(sound, margin) - 2 * PSI
    assert at(found, margin, "no3-engine") == pytest.approx(at(sound, margin, "no3-engine"))


def test_a_blocked_vent_pulls_a_vacuum_and_starves_its_engines() -> None:
    """A vent quite shut: air pressure in the tank falls until the pumps starve."""
    found = run_up(Fault("port-inner-vent", "vent-blocked", 1.0))
    assert at(found, "tank-air-pressure", "port-inner-tank") < -5 * PSI
    assert at(found, "burn-fraction") < 0.1


def test_a_vented_cap_is_a_second_way_for_air_and_a_plain_one_has_nothing_to_block() -> None:
    """With its vent shut a vented tank still feeds through the cap; both shut, it starves."""
    network = shipped("high-wing-single")
    state = state_of(network, "run-up-left")
    vent, cap = (Fault(f"left-{what}", "vent-blocked", 1.0) for what in ("vent", "cap"))
    cross = Fault("right-vent", "vent-blocked", 1.0)
    solution = solve(network, [state], [[vent], [vent, cap, cross]])
    burn = readings(network, solution).at("burn-fraction", "engine")
    assert float(burn[0]) > 0.97
    assert float(burn[1]) < 0.2
    with pytest.raises(FaultError, match="port-inner-cap"):
        run_up(Fault("port-inner-cap", "vent-blocked", 1.0))


def test_a_cock_stopped_half_way_joins_both_its_tanks() -> None:
    """Half way from inner to middle the selector draws from both."""
    found = run_up(Fault("port-selector", "stuck-at", 0.5))
    for tank in ("port-inner-tank", "port-middle-tank"):
        assert at(found, "tank-rate", tank) * 3.6e6 < -30.0


def test_a_linkage_acts_on_its_cock_and_a_circuit_on_its_pump() -> None:
    """Faults of what hangs on a part are faults of the part."""
    by_linkage = run_up(Fault("no1-shut-off-linkage", "stuck-shut", 0.97))
    by_cock = run_up(Fault("no1-shut-off-cock", "stuck-shut", 0.97))
    pressure = "pump-inlet-pressure"
    assert at(by_linkage, pressure) == pytest.approx(at(by_cock, pressure), rel=1e-6)
    dead = run_up(Fault("port-inner-booster-circuit", "dead", 1), booster=True)
    assert at(dead, "pump-inlet-pressure") < 15 * PSI


def test_a_dead_bus_stops_all_its_pumps_and_no_other() -> None:
    """The port bus takes the port boosters along and leaves the starboard ones running."""
    found = run_up(Fault("port-bus", "dead", 1), booster=True)
    assert at(found, "booster-duty", "port-inner-booster") == 0.0
    assert at(found, "booster-duty", "starboard-inner-booster") == pytest.approx(1.0)


def test_a_dead_bus_takes_its_contents_gauges_along_and_no_other() -> None:
    """Gauges of the port tanks fall to nothing together; the stick and the others do not."""
    found = run_up(Fault("port-bus", "dead", 1))
    assert at(found, "contents-gauge", "port-inner-tank") == 0.0
    assert at(found, "dip-stick", "port-inner-tank") > 0.0
    assert at(found, "contents-gauge", "starboard-inner-tank") > 0.0


def test_a_leaking_cross_feed_passes_fuel_from_the_side_with_the_booster_on() -> None:
    """A leak past the shut cross-feed cock moves contents, not pressure."""
    network = shipped()
    state = state_of(network, "run-up-booster-off", boosters={"port-inner-booster"})
    solution = solve(network, [state], [[], [Fault("crossfeed-cock", "leaks-through", 15.0)]])
    found = readings(network, solution)
    rate = found.at("tank-rate", "starboard-inner-tank") * 3.6e6
    assert rate[1] > rate[0] + 50.0
    pressure = found.at("metering-pressure", "no3-engine")
    assert pressure[1] == pytest.approx(pressure[0], abs=0.5 * PSI)


def test_contents_loss_only_empties_the_tank() -> None:
    """A stated loss shows in the contents rate and nowhere else."""
    sound, found = run_up(), run_up(Fault("port-outer-tank", "contents-loss", 12.0))
    rate = at(found, "tank-rate", "port-outer-tank") * 3.6e6
    assert rate == pytest.approx(-12.0, abs=0.01)
    assert at(found, "metering-pressure") == pytest.approx(at(sound, "metering-pressure"))


LANDS_ON = {
    ("stuck-open", "non-return-valve"): {"reverse"},
    ("stuck-open", "engine-pump"): {"reverse"},
    ("stuck-open", "pump-relief"): {"relief"},
    ("stuck-open", "reducing-valve"): {"least"},
    ("stuck-open", "float-carburettor"): {"flood"},
    ("stuck-open", "injection-carburettor"): {"flood"},
    ("stuck-open", "mixture-control"): {"demand"},
    ("stuck-open", "tank-drain"): {"leak"},
    ("stuck-open", "filler-cap"): {"vent"},
    ("stuck-open", "transfer-pump"): {"on"},
    ("stuck-open", "transfer-valve"): {"gate"},
    ("stuck-open", "tank-vent"): {"loss_rate", "spill"},
    ("stuck-shut", "non-return-valve"): {"lost"},
    ("stuck-shut", "pump-relief"): {"gain"},
    ("stuck-shut", "reducing-valve"): {"most"},
    ("stuck-shut", "float-carburettor"): {"capacity"},
    ("stuck-shut", "shut-off-cock"): {"gate"},
    ("stuck-shut", "tank-vent"): {"vent"},
    ("leaks-through", "non-return-valve"): {"hole"},
    ("leaks-through", "pump-relief"): {"relief_hole"},
    ("leaks-through", "reducing-valve"): {"least"},
    ("leaks-through", "injection-carburettor"): {"flood"},
    ("leaks-through", "primer"): {"primed", "primed_at", "primed_lift"},
}
"""(change, kind of part) -> what of the model it moves, with tanks full and engines running."""


@pytest.mark.parametrize(("change", "kind"), LANDS_ON)
def test_a_valve_that_fails_moves_what_it_works_on_and_nothing_else(change: str, kind: str) -> None:
    """Of all figures of the model only those of its own mechanism change, on every layout."""
    moved: set[str] = set()
    for network in map(shipped, (path.stem for path in LAYOUTS.glob("*.yaml"))):
        state = Settings(
            levels={t.id: 0.95 for t in network.tanks},
            power={e.id: "run-up" for e in network.engines},
        )
        sound = prepare(network, [state])
        for place, what in possible(network):
            if (what, network.layout.parts[place].kind) == (change, kind):
                broken = prepare(network, [state])
                apply(network, broken, 0, state, Fault(place, change, GRADES[change][-1], "mm2"))
                moved |= {f.name for f in fields(sound) if not np.array_equal(
                    getattr(sound, f.name), getattr(broken, f.name))}  # fmt: skip
    assert moved == LANDS_ON[change, kind]
