"""What is left before fuel boils, at every combination of height, fuel and temperature."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from diagnose.fuel import properties as fp
from diagnose.fuel.asked.setup import Setup
from diagnose.fuel.asked.steady import STILL, node_label
from diagnose.fuel.classes import SURGE_MARGIN
from diagnose.fuel.readings import readings
from diagnose.fuel.solve import Solution, solve
from diagnose.units import Quantity

MOST = 400  # conditions of one question; more is a table nobody reads


@dataclass(frozen=True)
class Inlet:
    """A pump's inlet, or the carburettor's where there is no pump."""

    part: str
    label: str
    node: int
    needs: float  # margin it is said to need [Pa]
    stated: bool  # whether the layout states that need


@dataclass(frozen=True)
class Grid:
    """Every combination of height, Reid vapour pressure and temperature, solved.

    Row (h, r, t) of the solution is index (h * len(rvps) + r) * len(temperatures) + t.
    ``margin`` is (rows, inlets) [Pa]; ``first`` the place with the least margin and that margin.
    """

    setup: Setup
    heights: tuple[Quantity, ...]
    rvps: tuple[Quantity, ...]
    temperatures: tuple[Quantity, ...]
    inlets: tuple[Inlet, ...]
    solution: Solution
    margin: Any
    first: tuple[tuple[str, float], ...]

    def row(self, h: int, r: int, t: int) -> int:
        """Return the index of one condition."""
        return (h * len(self.rvps) + r) * len(self.temperatures) + t

    def conditions(self) -> list[tuple[int, int, int]]:
        """Return every (h, r, t) in the order of the rows."""
        return [(h, r, t) for h in range(len(self.heights)) for r in range(len(self.rvps))
                for t in range(len(self.temperatures))]  # fmt: skip

    def words(self, row: int) -> str:
        """Return one condition in words."""
        h, r, t = self.conditions()[row]
        return (f"{self.heights[h].typed}, {self.temperatures[t].typed}, "
                f"RVP {self.rvps[r].typed}")  # fmt: skip


def inlets(setup: Setup) -> tuple[Inlet, ...]:
    """Return the inlet of every pump of the layout, or of every carburettor without a pump."""
    network = setup.network
    found = [(p.part, p.a) for p in network.pumps] + [(p.part, p.a) for p in network.boosters]
    if not found:
        found = [(m.part, m.node) for m in network.meters]
    out = []
    for part, node in found:
        need = network.layout.parts[part].numbers.get("needed-margin")
        out.append(Inlet(part, f"inlet of {setup.label(part)}", node,
                         SURGE_MARGIN if need is None else need, need is not None))  # fmt: skip
    return tuple(out)


def grid(
    setup: Setup,
    heights: Sequence[Quantity],
    rvps: Sequence[Quantity],
    temperatures: Sequence[Quantity],
) -> Grid:
    """Solve a setup at every combination, its cause put in."""
    states = [
        replace(setup.settings, height=h.value_si, rvp=r.value_si, temperature=t.value_si)
        for h in heights for r in rvps for t in temperatures
    ]  # fmt: skip
    solution = solve(setup.network, states, [setup.faults])
    there = inlets(setup)
    c = solution.conditions
    at_node = fp.vapour_margin(solution.pressure, c.temperature, c.rvp)
    return Grid(
        setup, tuple(heights), tuple(rvps), tuple(temperatures), there, solution,
        at_node[:, [i.node for i in there]], tuple(_first(setup, solution, at_node)),
    )  # fmt: skip


def _first(setup: Setup, solution: Solution, margin: Any) -> list[tuple[str, float]]:
    """Return for every row where fuel in use boils first, and the margin there."""
    network, c = setup.network, solution.conditions
    ends = np.stack(network.ends)
    moving = slice(0, network.spans["vents"].start)
    air = readings(network, solution).values["tank-air-pressure"] + c.ambient
    out = []
    for row in range(len(solution.converged)):
        if not solution.converged[row]:
            out.append(("", float("nan")))
            continue
        flows = np.abs(solution.flow[row, moving]) > STILL
        used = set(ends[:, moving][:, flows].ravel().tolist()) - {len(network.nodes)}
        nodes = sorted(used) or list(range(len(network.nodes)))
        places = [(float(margin[row, n]), node_label(setup, n)) for n in nodes]
        for k, tank in enumerate(network.tanks):
            if tank.node in nodes:  # the free surface lies under less fuel than the outlet
                surface = fp.vapour_margin(air[row, k], c.temperature[row, tank.node],
                                           c.rvp[row, tank.node])  # fmt: skip
                places.append((float(surface), f"surface of {setup.label(tank.id)}"))
        least, place = min(places)
        out.append((place, least))
    return out
