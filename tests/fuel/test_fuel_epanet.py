"""Pipe networks, pump curves and check valves against EPANET 2.2 through wntr.

EPANET knows no vapour pressure, relief valve or displacement pump: it can only judge pipes, loss
coefficients, check valves, centrifugal pumps and tanks.  It works in single precision, so 0.1 %
of the head spread is what can be asked.
"""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from fuel.fuel_kit import joint, layout, part, tank

from diagnose.fuel import Network, Settings, Solution, build, solve
from diagnose.fuel.friction import ROUGHNESS
from diagnose.fuel.properties import GRAVITY
from diagnose.model import Layout

LEVEL = 1.0  # m of fuel in every tank of these nets
RHO = 720.0
NU = 0.6e-6

pytestmark = pytest.mark.outside


@pytest.fixture(scope="module")
def wntr() -> Any:
    """Return wntr, or skip by name where it cannot be imported."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return pytest.importorskip("wntr", reason="wntr (EPANET) cannot be imported")


def ours(net: Layout, boosters: frozenset[str] = frozenset()) -> tuple[Network, Solution]:
    """Solve a net of tanks and pipes at the temperature where nu = 0.6 mm2/s, rho = 720 kg/m3."""
    network = build(net)
    levels = {t.id: LEVEL / t.depth for t in network.tanks}
    # 20 C gives the viscosity; the density at 15 C is set so that it is 720 at 20 C
    state = Settings(levels=levels, temperature=293.15, boosters=boosters, density_15c=RHO / 0.995)
    solution = solve(network, [state])
    assert solution.converged.all(), solution.trouble(0)
    return network, solution


def heads(network: Network, solution: Solution) -> dict[str, float]:
    """Return head at every node [m], as EPANET states it: over the ambient pressure."""
    over = solution.pressure[0] - solution.conditions.ambient[0, 0]
    values = over / (RHO * GRAVITY) + network.height
    return dict(zip(network.nodes, values.tolist(), strict=True))


def theirs(
    wntr: Any, net: Layout, tmp_path: Path, pumps: dict[str, tuple[float, float]] | None = None
) -> dict[str, float]:
    """Solve the same net with EPANET; pumps are (shut-off head m, curve m s2/m6)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the package warns of its own defaults
        return _theirs(wntr, net, tmp_path, pumps or {})


def _theirs(
    wntr: Any, net: Layout, tmp_path: Path, pumps: dict[str, tuple[float, float]]
) -> dict[str, float]:
    wn = wntr.network.WaterNetworkModel()
    wn.options.hydraulic.headloss = "D-W"
    wn.options.hydraulic.viscosity = NU / 1.022e-6
    wn.options.hydraulic.accuracy = 1e-6
    wn.options.hydraulic.trials = 400
    wn.options.time.duration = 0

    def end(name: str, start: bool) -> str:
        kind = net.parts[name].kind
        return f"{name}.{'out' if start else 'in'}" if kind == "booster-pump" else name

    for p in net.parts.values():
        if p.kind == "tank":
            wn.add_reservoir(p.id, base_head=p.numbers["height"] + LEVEL)
        elif p.kind == "booster-pump":
            for side in ("in", "out"):
                wn.add_junction(f"{p.id}.{side}", elevation=p.numbers["height"])
            shutoff, curve = pumps[p.id]
            # EPANET's one-point curve is h = 4/3 h0 - h0/3 (q/q0)^2
            point = np.sqrt(0.25 * shutoff / curve)
            wn.add_curve(p.id, "HEAD", [(point, 0.75 * shutoff)])
            wn.add_pump(f"{p.id}.pump", f"{p.id}.in", f"{p.id}.out", "HEAD", p.id)
        else:
            wn.add_junction(p.id, elevation=p.numbers.get("height", 0.0))
    for line in net.lines:
        start, stop = end(line.start, True), end(line.end, False)
        check = net.parts[line.end].kind == "non-return-valve"
        wn.add_pipe(
            line.id, start, stop, length=line.length, diameter=line.bore, roughness=ROUGHNESS,
            minor_loss=line.loss, check_valve=check,
        )  # fmt: skip
    results = wntr.sim.EpanetSimulator(wn).run_sim(file_prefix=str(tmp_path / "net"))
    return {name: float(h) for name, h in results.node["head"].iloc[0].items()}


def hold(mine: dict[str, float], epanet: dict[str, float], names: list[str]) -> None:
    """Compare heads to 0.1 % of the head spread."""
    spread = max(epanet.values()) - min(epanet.values())
    assert len(names) >= 2
    for name in names:
        assert mine[name] == pytest.approx(epanet[name], abs=1e-3 * spread), name


def test_a_small_loop_agrees_with_epanet(wntr: Any, tmp_path: Path) -> None:
    """Two tanks and four joints in a loop: heads within 0.1 % of the spread."""
    parts = [tank("high", 6.0), tank("low", 0.0)] + [joint(f"j{i}") for i in range(4)]
    lines = [
        ("l0", "high", "j0", 0.016, 4.0, 2.0), ("l1", "j0", "j1", 0.011, 6.0, 5.0),
        ("l2", "j0", "j2", 0.009, 5.0, 1.0), ("l3", "j1", "j3", 0.010, 3.0, 4.0),
        ("l4", "j2", "j3", 0.012, 7.0, 3.0), ("l5", "j1", "j2", 0.008, 2.0, 1.0),
        ("l6", "j3", "low", 0.016, 5.0, 2.0),
    ]  # fmt: skip
    net = layout(parts, lines)
    network, solution = ours(net)
    names = ["j0", "j1", "j2", "j3"]
    hold(heads(network, solution), theirs(wntr, net, tmp_path), names)


def test_a_pump_lifting_between_tanks_agrees_with_epanet(wntr: Any, tmp_path: Path) -> None:
    """A centrifugal pump against a hill, with a branch back: heads within 0.1 % of the spread."""
    shutoff, curve = 12.0 * RHO * GRAVITY, 12.0 * RHO * GRAVITY / (8e-4) ** 2
    pump = part("pump", "booster-pump", numbers={
        "height": 0.0, "shutoff": shutoff, "rated-pressure": 0.75 * shutoff,
        "rated-flow": float(np.sqrt(0.25 * shutoff / curve)),
    })  # fmt: skip
    parts = [tank("sump", 0.0), tank("roof", 5.0), tank("side", 2.0), pump, joint("fork")]
    lines = [
        ("suction", "sump", "pump", 0.020, 2.0, 1.0), ("rise", "pump", "fork", 0.014, 6.0, 3.0),
        ("up", "fork", "roof", 0.012, 8.0, 2.0), ("across", "fork", "side", 0.010, 9.0, 4.0),
    ]  # fmt: skip
    net = layout(parts, lines)
    network, solution = ours(net, frozenset({"pump"}))
    weight = RHO * GRAVITY
    epanet = theirs(wntr, net, tmp_path, {"pump": (shutoff / weight, curve / weight)})
    hold(heads(network, solution), epanet, ["pump.in", "pump.out", "fork"])


def grid(seed: int, wide: int = 6) -> Layout:
    """Return a grid of wide x wide joints, three tanks at its corners, random pipes."""
    rng = np.random.default_rng(seed)
    parts = [tank("t0", 9.0), tank("t1", 5.0), tank("t2", 0.0)]
    parts += [joint(f"n{i}-{j}") for i in range(wide) for j in range(wide)]
    lines: list[tuple[str, str, str, float, float, float]] = []

    def pipe(a: str, b: str) -> None:
        bore, length, loss = rng.uniform(0.012, 0.02), rng.uniform(2, 6), rng.uniform(0, 5)
        lines.append((f"p{len(lines)}", a, b, float(bore), float(length), float(loss)))

    for i in range(wide):
        for j in range(wide):
            if i + 1 < wide:
                pipe(f"n{i}-{j}", f"n{i + 1}-{j}")
            if j + 1 < wide:
                pipe(f"n{i}-{j}", f"n{i}-{j + 1}")
    last = wide - 1
    pipe("t0", "n0-0")
    pipe("t1", f"n0-{last}")
    pipe(f"n{last}-{last}", "t2")
    return layout(parts, lines)


def test_a_grid_of_36_joints_agrees_with_epanet(wntr: Any, tmp_path: Path) -> None:
    """60 random pipes between three tanks: heads within 0.1 % of the spread."""
    net = grid(3)
    network, solution = ours(net)
    mine, epanet = heads(network, solution), theirs(wntr, net, tmp_path)
    names = [n for n in network.nodes if n in epanet and n.startswith("n")]
    assert len(names) > 25
    hold(mine, epanet, names)


@pytest.mark.parametrize(("height", "passes"), [(4.5, True), (0.5, False)])
def test_a_check_valve_passes_or_stops_as_in_epanet(
    wntr: Any, tmp_path: Path, height: float, passes: bool
) -> None:
    """Two tanks join; a non-return valve keeps the higher from filling the lower one."""
    valve = part("valve", "non-return-valve", numbers={"height": 0.0, "bore": 0.012, "loss": 0.0})
    parts = [tank("high", 6.0), tank("middle", height), tank("low", 0.0), valve]
    parts += [joint("meet"), joint("out")]
    lines = [
        ("a", "high", "meet", 0.010, 5.0, 2.0), ("b", "middle", "valve", 0.012, 4.0, 2.0),
        ("c", "valve", "meet", 0.012, 0.5, 0.5), ("d", "meet", "out", 0.012, 5.0, 2.0),
        ("e", "out", "low", 0.012, 3.0, 2.0),
    ]  # fmt: skip
    net = layout(parts, lines)
    network, solution = ours(net)
    hold(heads(network, solution), theirs(wntr, net, tmp_path), ["meet", "high"])
    runs = solution.part("runs")[0]
    middle = network.nodes.index("middle")
    checked = [q for q, run in zip(runs, network.runs, strict=True) if run.a == middle]
    assert (checked[0] > 1e-5) == passes
    assert passes or abs(checked[0]) < 1e-9  # m3/s: 4e-3 l/h
