"""The fuel model's batch beside EPANET in memory: ``python tests/benchmarks/bench_fuel.py``.

EPANET solves a pipes-only net of about the same size (it knows no displacement pumps, relief
valves or vapour pressure), through its toolkit in memory, one state after another.  Nothing here
is a test: it prints processor times side by side, the best of a few, so that other work on the
machine does not show.  One thread each: threads of the linear algebra that wait count as busy.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
import warnings
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when numpy comes in
sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from fuel.fuel_kit import MAIN, draw, joint, layout, shipped, state_of, tank  # noqa: E402 - after the path

from diagnose.fuel import build, solve  # noqa: E402 - after the path
from diagnose.fuel.settings import Settings  # noqa: E402 - after the path

TRIES = 5


def ring(count: int) -> list[tuple[str, str, str, float, float, float]]:
    """Return lines of a ring of joints with cross pipes and two tanks."""
    lines = [("in", "high", "j0", 0.019, 2.0, 2.0)]
    lines += [("out", f"j{count // 2}", "low", 0.019, 2.0, 2.0)]
    lines += [(f"r{i}", f"j{i}", f"j{(i + 1) % count}", 0.016, 3.0, 2.0) for i in range(count)]
    for i in range(0, count, 3):
        lines.append((f"x{i}", f"j{i}", f"j{(i + 5) % count}", 0.010, 4.0, 3.0))
    return lines


def ours_pipes(count: int, rows: int) -> float:
    """Return ms a solve for the same pipes-only net in our solver, in a batch."""
    parts = [tank("high", 6.0), tank("low", 0.0), *[joint(f"j{i}") for i in range(count)]]
    network = build(layout(parts, ring(count)))
    states = [Settings(levels={"high": 0.5 + 0.4 * i / rows}) for i in range(rows)]
    spent = float("inf")
    for _ in range(TRIES):
        start = time.process_time()
        solution = solve(network, states)
        spent = min(spent, time.process_time() - start)
    print(
        f"  pipes only: {len(network.nodes)} nodes, {len(network.runs)} runs, "
        f"{int(solution.converged.sum())}/{rows} converged"
    )
    return 1e3 * spent / rows


def epanet_pipes(count: int, rows: int) -> float | None:
    """Return ms a solve in EPANET, in memory, or None where wntr cannot be imported."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            import wntr
            from wntr.epanet.toolkit import ENepanet
    except ImportError as error:
        print(f"  EPANET left out: {error}")
        return None
    with warnings.catch_warnings(), tempfile.TemporaryDirectory() as folder:
        warnings.simplefilter("ignore")
        wn = wntr.network.WaterNetworkModel()
        wn.options.hydraulic.headloss = "D-W"
        wn.options.hydraulic.viscosity = 0.6 / 1.022
        wn.options.time.duration = 0
        wn.add_reservoir("high", base_head=7.0)
        wn.add_reservoir("low", base_head=1.0)
        for i in range(count):
            wn.add_junction(f"j{i}", elevation=0.0)
        for name, start, end, bore, length, loss in ring(count):
            wn.add_pipe(name, start, end, length, bore, 1.5e-6, loss)
        inp = str(Path(folder) / "net.inp")
        wntr.network.write_inpfile(wn, inp, units="LPS")
        toolkit = ENepanet()
        toolkit.ENopen(inp, str(Path(folder) / "net.rpt"), str(Path(folder) / "net.bin"))
        toolkit.ENopenH()
        spent = float("inf")
        for _ in range(TRIES):
            begin = time.process_time()
            for _ in range(rows):
                toolkit.ENinitH(10)  # 10 = start from scratch, save nothing
                toolkit.ENrunH()
            spent = min(spent, time.process_time() - begin)
        toolkit.ENcloseH()
        toolkit.ENclose()
    return 1e3 * spent / rows


def main() -> None:
    """Print all times."""
    network = shipped(MAIN)
    print(f"{MAIN}: {len(network.nodes)} nodes, {len(network.ends[0])} elements")
    states, faults = draw(network, 2000, seed=1)
    batch = float("inf")
    for _ in range(TRIES):
        start = time.process_time()
        solution = solve(network, states, faults)
        batch = min(batch, time.process_time() - start)
    print(
        f"  2,000 random one- and two-failure states: {batch:.2f} s, "
        f"{int(solution.converged.sum())} converged, "
        f"median {int(sorted(solution.iterations)[1000])} steps"
    )
    one = state_of(network, "run-up-booster-off")
    start = time.process_time()
    for _ in range(5):
        solve(network, [one], [faults[0]])
    single = (time.process_time() - start) / 5
    pipes = ours_pipes(36, 500)
    epanet = epanet_pipes(36, 500)
    print("\n  ms a solve")
    print(f"  whole aeroplane, in a batch of 2,000   {1e3 * batch / 2000:8.3f}")
    print(f"  whole aeroplane, alone                 {1e3 * single:8.3f}")
    print(f"  pipes only, in a batch of 500          {pipes:8.3f}")
    if epanet is not None:
        print(f"  pipes only, EPANET in memory           {epanet:8.3f}")
        print(f"\n  ours over EPANET on pipes: {pipes / epanet:.1f}")


if __name__ == "__main__":
    main()
