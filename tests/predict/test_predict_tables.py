"""Tables of predictions: what they promise on any layout, and what they say of known causes."""

from __future__ import annotations

import numpy as np
import pytest
from diagnosis.shipped import KNOWLEDGE, LAYOUTS, library
from hypothesis import given, settings
from hypothesis import strategies as st
from predict.predict_kit import FEW, few, places, tables

from diagnose.belief.net import Table, value_given_cause
from diagnose.fuel import Fault, build, solve
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.model import CauseAt, State
from diagnose.places import Places
from diagnose.predict import compile_tables, solvable
from diagnose.predict.gather import net_rates
from diagnose.predict.groups import ALONE, needs_tank, packed, system_of, systems, turned_to
from diagnose.predict.severity import WEIGHTS, points_of
from diagnose.predict.states import cells_of, draws_of, fitting, settings_of
from diagnose.predict.tables import Said

OFF = {"power": "high", "booster": "off"}
ON = {"power": "high", "booster": "on"}


def said(effect: str, place: str, known: dict[str, str]) -> Said:
    """Return what the few causes' tables say; they must say something."""
    found = tables().say(effect, place, known, places().unstated)
    assert found is not None
    return found


def net_of(found: Said, cause: str, at: str) -> np.ndarray:
    """Return the net rates of one cause, zero where it does nothing."""
    i = tables().index[CauseAt(cause, at)]
    row = np.flatnonzero(found.active == i)
    return found.net[row[0]] if row.size else np.zeros(found.net.shape[1:])


def test_every_cause_asked_for_is_in_the_tables() -> None:
    """No cause with a physical form that fits is lost on the way."""
    assert {c.cause for c in few()} == set(FEW)
    left_out = set(few()) - set(tables().causes)
    # a filler cap without an air hole, or the like, has nothing to block
    assert {c.cause for c in left_out} <= {"vent-nest"}


def test_rates_are_probabilities() -> None:
    """No rate is negative and those of one grade never add up to more than one."""
    for block in tables().blocks.values():
        there = np.nan_to_num(block.net)
        assert there.min(initial=0.0) >= 0.0
        assert there.sum(axis=-1).max(initial=0.0) <= 1.0 + 1e-6


def test_hardly_anything_is_left_without_a_steady_state() -> None:
    """Faults without a steady state are counted; fewer than one in a thousand are left out."""
    assert tables().solved > 1000
    assert tables().unsolved < tables().solved / 1000


def test_a_gauge_fault_moves_no_pressure_at_all() -> None:
    """The same scatter serves sound and faulty aeroplane: no effect comes out as exactly none."""
    assert not net_of(said("metering-pressure", "engine", OFF), "pressure-gauge-reads-low",
                      "pressure-gauge").any()  # fmt: skip


def test_a_sunk_float_reads_low_against_the_stick_and_moves_nothing_else() -> None:
    """What only shows something acts on its own reading only."""
    i = tables().index[CauseAt("sender-float-sunk", "left-sender")]
    acting = {key for key, block in tables().blocks.items() if i in block.active}
    assert acting == {("gauge-against-stick", "left-tank")}


@pytest.mark.parametrize("cause", ["strainer-plugged", "engine-pump-worn"])
def test_worse_damage_is_never_seen_less_often(cause: str) -> None:
    """Low pressure at run-up, booster off, comes oftener with every grade, and surely at last."""
    at = {"strainer-plugged": "strainer", "engine-pump-worn": "engine-pump"}[cause]
    low = net_of(said("metering-pressure", "engine", OFF), cause, at)[:, 0]
    assert low[0] <= low[1] <= low[2]
    assert low[2] > 0.9


def test_a_fault_of_the_other_tank_is_felt_while_that_tank_feeds() -> None:
    """The right outlet screen is looked at while the right tank feeds, not on the left tank.

    Of the left one, which normally feeds, the model then has no say.
    """
    right, left = (CauseAt("outlet-screen-blocked", f"{s}-screen") for s in ("right", "left"))
    on_right = said("metering-pressure", "engine", OFF | {"tank": "right-tank", "heat": "hot"})
    assert net_of(on_right, right.cause, right.at)[2].sum() > 0.5
    assert on_right.says[tables().index[right]]
    assert not on_right.says[tables().index[left]]


def test_what_is_not_stated_is_the_weighted_mean_of_what_could_be() -> None:
    """Booster unknown at run-up: off and on, weighed as the knowledge weighs them."""
    weights = places().unstated["booster"]
    parts = []
    for booster in ("off", "on"):
        known = {"power": "high", "heat": "cool", "booster": booster}
        parts.append(net_of(said("metering-pressure", "engine", known), "strainer-plugged",
                            "strainer"))  # fmt: skip
    mixed = net_of(said("metering-pressure", "engine", {"power": "high", "heat": "cool"}),
                   "strainer-plugged", "strainer")  # fmt: skip
    share = weights["off"] / (weights["off"] + weights["on"])
    assert mixed == pytest.approx(share * parts[0] + (1 - share) * parts[1], abs=1e-6)


def test_the_same_inputs_give_the_same_tables() -> None:
    """Draws are seeded by the run state: solving fewer causes changes nothing for the others."""
    pump = tuple(c for c in few() if c.cause == "engine-pump-worn")
    again = compile_tables(solvable(library(), places().layout, pump))
    found = again.say("metering-pressure", "engine", OFF, places().unstated)
    assert found is not None
    whole = net_of(said("metering-pressure", "engine", OFF), "engine-pump-worn", "engine-pump")
    assert found.net[0] == pytest.approx(whole, abs=1e-6)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_run_state_of_a_layout_is_covered(layout: str) -> None:
    """Each shipped run state finds a solved state that agrees with all it says of the settings."""
    here = load_layout(list_layouts(KNOWLEDGE)[layout])
    cells = cells_of(here)
    unstated = Places(here, library().words.unstated).unstated
    for state in here.run_states:
        at, weight = fitting(cells, State(state.stage, state.settings).known(), unstated)
        assert at.size, state.id
        assert (weight > 0.0).all()


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_sound_aeroplane_has_a_steady_state_everywhere(layout: str) -> None:
    """Every draw of every standard state converges on every layout with nothing broken."""
    network = build(load_layout(list_layouts(KNOWLEDGE)[layout]))
    rng = np.random.default_rng(1)
    states = [
        settings_of(network, cell, draw)
        for cell in cells_of(network.layout)
        for draw in draws_of(cell, rng)
    ]
    assert solve(network, states).converged.all()


@settings(max_examples=12)
@given(st.data())
def test_faults_in_separate_systems_do_not_disturb_each_other(data: st.DataObject) -> None:
    """A row with a fault on each side gives the pressures of two rows with one fault each."""
    network = build(load_layout(list_layouts(KNOWLEDGE)["low-wing-twin"]))
    cell = next(c for c in cells_of(network.layout) if c.power == "high" and c.booster == "off")
    state = settings_of(network, cell, draws_of(cell, np.random.default_rng(2))[0])
    made = st.sampled_from(["blocked", "output", "leaks-out"])
    faults = []
    for side in ("no1", "no2"):
        change = data.draw(made)
        part = f"{side}-engine-pump" if change == "output" else f"{side}-strainer"
        value = data.draw(st.floats(0.1, 0.97)) * (20.0 if change == "leaks-out" else 1.0)
        faults.append(Fault(part, change, value))
    rows = packed(network, state, faults)
    assert [len(r) for r in rows] == [2]
    together = solve(network, [state], [tuple(faults)])
    alone = solve(network, [state], [(f,) for f in faults])
    found = systems(network, state)
    for i, fault in enumerate(faults):
        mine = [n for n, g in enumerate(found.of_node)
                if g == system_of(network, found, fault.part)]  # fmt: skip
        gap = np.abs(together.pressure[0, mine] - alone.pressure[i, mine]).max()
        assert gap < 7.0  # [Pa], a thousandth of 1 psi


def test_a_fault_that_joins_systems_stands_alone() -> None:
    """A cross-feed cock, a selector or a bus is never solved together with other faults."""
    network = build(load_layout(list_layouts(KNOWLEDGE)["four-engine-injection"]))
    cell = cells_of(network.layout)[0]
    state = settings_of(network, cell, draws_of(cell, np.random.default_rng(3))[0])
    found = systems(network, state)
    for part in network.layout.parts.values():
        if part.kind in ("cross-feed-cock", "selector-cock", "bus"):
            assert system_of(network, found, part.id) == ALONE


def test_parts_before_the_selector_need_their_tank() -> None:
    """A tank's vent and screen need it to feed; what lies behind the selector needs no tank."""
    network = build(places().layout)
    assert needs_tank(network, "right-vent") == needs_tank(network, "right-screen") == "right-tank"
    assert needs_tank(network, "strainer") == needs_tank(network, "engine-pump") == ""
    assert turned_to(network, "right-screen") == "right-tank"
    assert turned_to(network, "left-screen") == ""  # it feeds in normal running


def test_a_tank_that_takes_the_vapour_return_is_felt_only_while_it_feeds() -> None:
    """What comes back to it does not make it feed: on the middle tank its screen is not in use."""
    network = build(load_layout(list_layouts(KNOWLEDGE)["four-engine-injection"]))
    for part in ("port-inner-screen", "port-inner-booster", "port-inner-booster-circuit"):
        assert needs_tank(network, part) == "port-inner-tank"


@given(
    st.lists(st.floats(0.01, 1.0), min_size=3, max_size=3),
    st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3),
)
def test_net_rates_and_background_give_back_what_was_solved(
    sound: list[float], more: list[float]
) -> None:
    """The belief's own mixing of background and cause returns the rates of the faulty aeroplane.

    It holds where the sound aeroplane is always normal; else leaving normal still agrees.
    """
    base = np.array([10.0, *sound[:2]])
    base /= base.sum()
    bad = base + np.array([0.0, *more[:2]])
    bad /= bad.sum()
    points = len(WEIGHTS[0])
    has = np.ones((1, points), dtype=bool)
    faulty, plain = (np.tile(x, (1, points, 1)) for x in (bad, base))
    net = net_rates(faulty, plain, has)
    table = Table(("normal", "a", "b"), base[1:], np.array([0]), net)
    assert value_given_cause(table, net)[0, :, 0] == pytest.approx(bad[0], abs=1e-9)
    pure = np.tile(np.array([1.0, 0.0, 0.0]), (1, points, 1))
    clean = net_rates(faulty, pure, has)
    none = Table(("normal", "a", "b"), np.zeros(2), np.array([0]), clean)
    assert value_given_cause(none, clean)[0, 0] == pytest.approx(bad, abs=1e-9)


def test_points_without_a_reading_say_nothing() -> None:
    """Rows that did not converge drop out; a grade that has none left has no say."""
    points = len(WEIGHTS[0])
    sound = np.tile(np.array([1.0, 0.0]), (1, points, 1))
    faulty = np.tile(np.array([0.0, 1.0]), (1, points, 1))
    faulty[0, :2] = 0.0  # no class at the two mildest severities
    net = net_rates(faulty, sound, np.ones((1, points), dtype=bool))
    assert np.isnan(net[0, 0]).all()
    assert net[0, 1:] == pytest.approx(1.0)


def test_severities_lie_in_order_between_the_grades() -> None:
    """Between two figures lies their geometric middle, in what is left open for a blockage."""
    plugged = library().causes["strainer-plugged"].physical
    worn = library().causes["engine-pump-worn"].physical
    assert plugged is not None
    assert worn is not None
    blocked = [v for v in points_of(plugged) if v is not None]
    slip = [v for v in points_of(worn) if v is not None]
    assert blocked == sorted(blocked)
    assert slip == sorted(slip)
    assert len(blocked) == len(slip) == 5
    assert np.diff(np.log1p(-np.array(blocked[:3]))) == pytest.approx(
        np.diff(np.log1p(-np.array(blocked[:3])))[0]
    )


@pytest.mark.parametrize(("normal", "says"), [(0.6, True), (0.4, False)])
def test_a_state_in_which_most_sound_aeroplanes_are_not_normal_says_nothing(
    normal: float, says: bool
) -> None:
    """Where a sound aeroplane mostly reads low, a low reading is laid to no cause."""
    points = WEIGHTS.shape[1]
    sound = np.tile([normal, 1.0 - normal], (1, points, 1))
    faulty = np.tile([0.0, 1.0], (1, points, 1))
    net = net_rates(faulty, sound, np.ones((1, points), dtype=bool))
    assert np.isfinite(net).all() == says
