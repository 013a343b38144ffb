"""The solver: balance, floors, monotony, symmetry, speed, and never an unconverged reading."""

from __future__ import annotations

import sys
import time
import tracemalloc
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from fuel.fuel_kit import MAIN, draw, shipped, state_of
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from diagnose.fuel import Fault, Settings, Solution, classify, march, readings, solve
from diagnose.fuel.conditions import finish, prepare
from diagnose.fuel.elements import FILL_WIDTH
from diagnose.fuel.hydraulics import Hydraulics
from diagnose.fuel.properties import PSI, vapour_pressure

LAYOUTS = (
    MAIN, "four-engine-float", "low-wing-twin", "low-wing-single", "low-wing-single-injected",
    "high-wing-single", "header-biplane", "radial-single-hand-pump",
)  # fmt: skip
solver = sys.modules["diagnose.fuel.solve"]


@cache
def batch() -> tuple[Solution, float]:
    """Return 2,000 random one- and two-failure solves of the main layout, and the seconds."""
    network = shipped()
    states, faults = draw(network, 2000, seed=1)
    start = time.perf_counter()
    solution = solve(network, states, faults)
    return solution, time.perf_counter() - start


def test_two_thousand_random_failures_converge() -> None:
    """At least 1,999 of 2,000 random one- and two-failure states find their steady state."""
    solution, _ = batch()
    assert int(solution.converged.sum()) >= 1999


@pytest.mark.parametrize("name", LAYOUTS)
def test_random_failures_of_every_layout_converge(name: str) -> None:
    """At least 299 of 300 on every shipped layout."""
    network = shipped(name)
    states, faults = draw(network, 300, seed=2)
    solution = solve(network, states, faults)
    assert int(solution.converged.sum()) >= 299
    for row in np.flatnonzero(~solution.converged):
        assert "left over at" in solution.trouble(int(row))


def test_the_batch_is_quick() -> None:
    """2,000 solves in 6 s (about 1 s on an unloaded machine)."""
    _, seconds = batch()
    assert seconds < 6.0


def test_the_batch_is_small() -> None:
    """2,000 solves allocate less than 500 MB at their peak."""
    network = shipped()
    states, faults = draw(network, 2000, seed=1)
    tracemalloc.start()
    solve(network, states, faults)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 500e6


def test_one_state_is_quick() -> None:
    """One state with a failure takes under 50 ms of processor time (best of three)."""
    network = shipped()
    state = state_of(network, "run-up-booster-off")
    best = 1.0
    for _ in range(3):
        start = time.process_time()
        solve(network, [state], [[Fault("no1-strainer", "blocked", 0.8)]])
        best = min(best, time.process_time() - start)
    assert best < 0.05


def test_every_node_balances_and_the_whole_system_too() -> None:
    """No node is left with more than 4e-6 l/h; what leaves the tanks is burnt or lost."""
    solution, _ = batch()
    network = solution.network
    ok = solution.converged
    net = solution.flow[ok] @ network.incidence
    assert np.abs(net).max() * 3.6e6 < 4e-6
    into_air = solution.flow[ok]
    first, second = network.ends
    air = len(network.nodes)
    total = into_air[:, second == air].sum(axis=1) - into_air[:, first == air].sum(axis=1)
    assert np.abs(total).max() * 3.6e6 < 1e-3


def test_no_pump_sucks_below_the_vapour_floor() -> None:
    """No pressure lies below vapour pressure less two fill widths, anywhere, in any failure."""
    solution, _ = batch()
    ok = solution.converged
    c = solution.conditions
    floor = vapour_pressure(c.temperature[ok], c.rvp[ok]) - 2.0 * FILL_WIDTH
    assert (solution.pressure[ok] >= np.minimum(floor, c.ambient[ok] - 2.0 * FILL_WIDTH)).all()
    assert solution.pressure[ok].min() > 0.0


def test_an_unconverged_row_is_never_a_reading(monkeypatch: pytest.MonkeyPatch) -> None:
    """A solver stopped short says so, names the node and gives no number and no word."""
    network = shipped()
    monkeypatch.setattr(solver, "COLD", (march.Plan((30.0,), 20.0, 2),))
    monkeypatch.setattr(march, "NEWTON", 0)
    state = state_of(network, "run-up-booster-off")
    solution = solve(network, [state])
    assert not solution.converged[0]
    assert network.nodes[int(solution.worst[0])] in solution.trouble(0)
    found = readings(network, solution)
    assert all(np.isnan(values).all() for values in found.values.values())
    words = classify(network, solution, found, found)
    assert all((w == "").all() for w in words.values())


@example("port-inner-screen", 0.0, 0.9984681407455462, "idle-booster-off")  # near choking
@settings(max_examples=40)
@given(
    st.sampled_from([
        "no1-strainer", "no1-hose", "no2-supply", "port-inner-screen", "no1-shut-off-cock",
        "port-manifold", "port-inner-booster", "no1-carburettor", "crossfeed-cock",
    ]),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
    st.sampled_from([
        "run-up-booster-off", "run-up-booster-on", "idle-booster-off",
        "run-up-crossfeed-port-inner",
    ]),
)  # fmt: skip
def test_more_blockage_never_gives_more_delivery(
    where: str, one: float, two: float, run_state: str
) -> None:
    """The total burnt does not rise as any one part is blocked further."""
    network = shipped()
    state = state_of(network, run_state)
    less, more = sorted((one, two))
    faults = [[Fault(where, "blocked", b)] for b in (less, more)]
    solution = solve(network, [state], faults)
    assert solution.converged.all()
    burnt = np.maximum(solution.part("meters"), 0.0).sum(axis=1)
    assert burnt[1] <= burnt[0] * (1.0 + 1e-6) + 1e-9


def mirrored(name: str) -> str:
    """Return the id of a part on the other side of the main layout."""
    swaps = {"port": "starboard", "starboard": "port", "no1": "no4", "no4": "no1",
             "no2": "no3", "no3": "no2"}  # fmt: skip
    return "-".join(swaps.get(word, word) for word in name.split("-"))


@settings(max_examples=25)
@given(st.integers(0, 10_000))
def test_a_mirrored_failure_gives_mirrored_readings(seed: int) -> None:
    """The main layout is symmetric: the same failure on the other side reads the same there."""
    network = shipped()
    states, faults = draw(network, 1, seed)
    parts = network.layout.parts
    other = [replace(f, part=mirrored(f.part)) for f in faults[0]]
    assume(all(f.part in parts and not f.part.startswith("crossfeed") for f in other))
    state = states[0]
    turned = replace(
        state,
        positions={mirrored(c): p for c, p in state.positions.items()},
        boosters=frozenset(mirrored(b) for b in state.boosters),
        levels={mirrored(t): v for t, v in state.levels.items()},
    )
    solution = solve(network, [state, turned], [faults[0], other])
    assert solution.converged.all()
    found = readings(network, solution)
    for name in ("metering-pressure", "flow", "return-flow", "pump-inlet-pressure"):
        for engine in found.places[name]:
            here, there = found.at(name, engine)[0], found.at(name, mirrored(engine))[1]
            assert here == pytest.approx(there, rel=1e-4, abs=1e-8 if "flow" in name else 5.0)


def test_starting_from_rest_and_from_the_sound_state_agree() -> None:
    """Solved alone (from rest) or in a batch (from the sound state), a failure reads the same."""
    network = shipped()
    states, faults = draw(network, 40, seed=5)
    together = solve(network, states, faults)
    for i in range(0, 40, 4):
        alone = solve(network, [states[i]], [faults[i]])
        here = [p.a for p in network.pumps] + [m.node for m in network.meters]
        running = "none" not in states[i].power.values()
        if running:
            got = alone.pressure[0, here]
            assert got == pytest.approx(together.pressure[i, here], abs=0.02 * PSI)


@pytest.mark.parametrize("name", ["four-engine-float", MAIN, "low-wing-single"])
def test_slopes_of_all_laws_are_their_derivatives(name: str) -> None:
    """Every element's slopes agree with small differences at random pressures."""
    network = shipped(name)
    states, _ = draw(network, 12, seed=3)
    c = finish(network, prepare(network, states))
    system = Hydraulics(network, c)
    rng = np.random.default_rng(4)
    pressure = c.ambient + rng.normal(size=(len(states), len(network.nodes))) * 3 * PSI
    _, da, db = system.flows(pressure)
    step = 1.0
    for end, slopes in zip(network.ends, (da, db), strict=True):
        for node in range(len(network.nodes)):
            here = np.flatnonzero((end == node) & (network.ends[0] != network.ends[1]))
            up, down = pressure.copy(), pressure.copy()
            up[:, node] += step
            down[:, node] -= step
            change = (system.flows(up)[0] - system.flows(down)[0])[:, here] / (2.0 * step)
            assert slopes[:, here] == pytest.approx(change, rel=5e-3, abs=1e-12)


def test_states_and_faults_that_do_not_match_are_refused() -> None:
    """Three states and two rows of faults are an error, one of either serves all."""
    network = shipped("high-wing-single")
    state = Settings()
    with pytest.raises(ValueError, match="do not match"):
        solve(network, [state] * 3, [[], []])
    assert len(solve(network, [state] * 3).converged) == 3
    assert len(solve(network, [state], [[], [], []]).converged) == 3
