"""Steady state of a network for a batch of states and faults.

Pseudo-transient continuation (each node a little tank that fills until it balances) on laws that
start blunt and are sharpened in stages, then Newton from where that ends.  Rows leave the batch as
they converge.  A row that does not converge says so and at which node; its pressures are NaN, so
that it can never be taken for a reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.fuel.conditions import Conditions, finish, prepare
from diagnose.fuel.faults import Fault, apply
from diagnose.fuel.hydraulics import Hydraulics
from diagnose.fuel.march import COLD, TOLERANCE, WARM, march, newton, unbalanced
from diagnose.fuel.network import Network
from diagnose.fuel.properties import GRAVITY, Array
from diagnose.fuel.settings import Settings


@dataclass(frozen=True)
class Solution:
    """Pressures and flows of B rows; NaN in a row that did not converge.

    Attributes:
        pressure: (B, N) absolute pressure at each node [Pa].
        flow: (B, E) flow of each element in the order of ``Network.spans`` [m3/s].
        converged: (B,) whether the row balances to ``march.TOLERANCE``.
        worst: (B,) index of the node with the largest imbalance.
        residual: (B,) that imbalance [m3/s].
        iterations: (B,) steps taken.
    """

    network: Network
    conditions: Conditions
    pressure: Array
    flow: Array
    converged: np.ndarray
    worst: np.ndarray
    residual: Array
    iterations: np.ndarray
    states: tuple[Settings, ...]
    faults: tuple[tuple[Fault, ...], ...]

    def part(self, kind: str) -> Array:
        """Return the flows of one kind of element (B, count)."""
        return np.asarray(self.flow[:, self.network.spans[kind]])

    def trouble(self, row: int) -> str:
        """Say in words why a row has no reading; '' if it has one."""
        if self.converged[row]:
            return ""
        node = self.network.nodes[int(self.worst[row])]
        return f"no steady state found: {self.residual[row] * 3.6e6:.3g} l/h left over at {node}"


def solve(
    network: Network,
    states: Sequence[Settings],
    faults: Sequence[Sequence[Fault]] = ((),),
) -> Solution:
    """Solve a batch: row i is state i with the faults of row i; a single one serves all rows.

    Raises:
        ValueError: the two sequences cannot be matched.
        diagnose.fuel.faults.FaultError: a fault has no physical form at its part.
    """
    count = max(len(states), len(faults))
    if {len(states), len(faults)} - {1, count}:
        raise ValueError(f"{len(states)} states do not match {len(faults)} rows of faults")
    rows = [states[i if len(states) > 1 else 0] for i in range(count)]
    broken = [tuple(faults[i if len(faults) > 1 else 0]) for i in range(count)]
    conditions = prepare(network, rows)
    for i, each in enumerate(broken):
        for fault in each:
            apply(network, conditions, i, rows[i], fault)
    finish(network, conditions)
    start = _sound_pressures(network, rows) if count > 1 and any(broken) else None
    return solve_conditions(network, conditions, tuple(rows), tuple(broken), start)


def _sound_pressures(network: Network, rows: Sequence[Settings]) -> Array:
    """Return the pressures of each row's state with nothing broken; most faults are not far off."""
    keys = [row.key() for row in rows]
    first = {key: i for i, key in reversed(list(enumerate(keys)))}
    unique = sorted(set(first.values()))
    at = {keys[i]: number for number, i in enumerate(unique)}
    conditions = finish(network, prepare(network, [rows[i] for i in unique]))
    sound = solve_conditions(network, conditions)
    found = np.where(sound.converged[:, None], sound.pressure, _cold(network, conditions))
    return np.asarray(found[[at[key] for key in keys]])


def solve_conditions(
    network: Network,
    conditions: Conditions,
    states: tuple[Settings, ...] = (),
    faults: tuple[tuple[Fault, ...], ...] = (),
    start: Array | None = None,
) -> Solution:
    """Solve finished conditions, from the pressures ``start`` (B, N) where they are near."""
    system = Hydraulics(network, conditions)
    pressure = _cold(network, conditions)
    steps = np.zeros(len(conditions), dtype=np.intp)
    if start is not None:
        pressure, steps = march(system, start.copy(), WARM)
    else:  # where no pump turns the fuel only settles: the sharp laws do from the start
        still = np.flatnonzero(~(conditions.rate.any(axis=1) | conditions.on.any(axis=1)))
        if still.size:
            pressure[still], steps[still] = march(system.take(still), pressure[still], WARM)
    flow = system.flows(pressure)[0]
    residual = system.balance(flow)
    for plan in COLD:  # from rest, blunt laws first, then the same more slowly
        left = unbalanced(residual)
        if left.size:
            part = system.take(left)
            pressure[left], more = march(part, _cold(network, part.c), plan)
            steps[left] += more
            flow[left] = part.flows(pressure[left])[0]
            residual[left] = part.balance(flow[left])
    for halvings in (12, 0):  # with back-tracking; then at full steps, out of a shallow valley
        left = unbalanced(residual)
        if left.size:
            part = system.take(left)
            pressure[left], more = newton(part, pressure[left], halvings)
            steps[left] += more
            flow[left] = part.flows(pressure[left])[0]
            residual[left] = part.balance(flow[left])
    size = np.abs(residual)
    worst = size.argmax(axis=1)
    largest = size.max(axis=1, initial=0.0)
    converged = largest <= TOLERANCE
    pressure[~converged] = np.nan
    flow[~converged] = np.nan
    return Solution(
        network, conditions, pressure, flow, converged, worst, largest, steps, states, faults
    )


def _cold(network: Network, c: Conditions) -> Array:
    """Return the starting pressures: fuel standing still at the air pressure."""
    start = np.repeat(c.ambient, len(network.nodes), axis=1)
    for i, tank in enumerate(network.tanks):
        start[:, tank.node] += c.density[:, 0] * GRAVITY * c.level[:, i]
    return start
