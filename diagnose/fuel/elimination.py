"""Gauss elimination of one sparse pattern for a whole batch of rows at once.

The equations of a network stay the same in pattern from step to step and from row to row; most
nodes touch two or three others.  The order of elimination is worked out once; then each round
clears several nodes that do not touch, in all rows together.  No pivoting: every column of the
equations is dominated by its diagonal (what leaves one node arrives at another or is lost), for
which elimination in any order is stable (Golub and Van Loan, Matrix Computations, on diagonally
dominant systems).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from diagnose.fuel.properties import Array

Ints = np.ndarray


@dataclass(frozen=True)
class Round:
    """Nodes (m,) cleared together, their neighbours (m, d) and where their coefficients stand.

    low: slots of (neighbour, node), up: of (node, neighbour), both (m, d); target: of (neighbour,
    neighbour), (m, d, d).
    """

    nodes: Ints
    beside: Ints
    low: Ints
    up: Ints
    target: Ints


class Elimination:
    """The order of elimination for one pattern of ``count`` unknowns."""

    def __init__(self, count: int, pairs: Iterable[tuple[int, int]]) -> None:
        """Plan for coefficients at ``pairs`` (row, column), taken as symmetric; diagonal added."""
        self.count = count
        self._slot: dict[tuple[int, int], int] = {}
        for i in range(count):  # diagonal first: slot = node
            self._at(i, i)
        beside: dict[int, set[int]] = {i: set() for i in range(count)}
        for i, j in pairs:
            if i != j:
                beside[i].add(j)
                beside[j].add(i)
        self.rounds: list[Round] = []
        while beside:
            self.rounds.append(self._clear(beside))

    def _at(self, i: int, j: int) -> int:
        return self._slot.setdefault((i, j), len(self._slot))

    def slots(self, rows: Ints, columns: Ints) -> Ints:
        """Return where the coefficients at (row, column) stand in what ``solve`` is given."""
        return np.asarray(
            [self._slot[i, j] for i, j in zip(rows.tolist(), columns.tolist(), strict=True)],
            dtype=np.intp,
        )

    def _clear(self, beside: dict[int, set[int]]) -> Round:
        """Take out nodes of the least degree that neither touch nor share a neighbour."""
        degree = min(map(len, beside.values()))
        taken: set[int] = set()
        nodes = []
        for node, by in beside.items():
            if len(by) == degree and taken.isdisjoint(by | {node}):
                taken |= by | {node}
                nodes.append(node)
        near_by = [sorted(beside.pop(node)) for node in nodes]
        for node, near in zip(nodes, near_by, strict=True):
            for i in near:
                beside[i] |= set(near)
                beside[i] -= {i, node}
        shape = (len(nodes), degree)
        each = list(zip(nodes, near_by, strict=True))
        return Round(
            np.asarray(nodes, dtype=np.intp),
            np.asarray(near_by, dtype=np.intp).reshape(shape),
            self._slots([(i, k) for k, near in each for i in near], shape),
            self._slots([(k, i) for k, near in each for i in near], shape),
            self._slots([(i, j) for _, near in each for i in near for j in near], (*shape, degree)),
        )

    def _slots(self, places: list[tuple[int, int]], shape: tuple[int, ...]) -> Ints:
        return np.asarray([self._at(i, j) for i, j in places], dtype=np.intp).reshape(shape)

    def solve(self, places: Ints, values: Array, tie: Array | float, right: Array) -> Array:
        """Return the solution (B, N) for coefficients ``values`` (B, n) at slots ``places`` (n,).

        ``tie`` (B, 1) is added to every diagonal coefficient; ``right`` is (B, N).
        """
        full = np.zeros((len(self._slot), values.shape[0]))
        full[places] = values.T
        full[: self.count] += np.transpose(tie)
        x = right.T.copy()
        inverse = []
        for each in self.rounds:
            over = 1.0 / full[each.nodes]
            inverse.append(over)
            if not each.beside.shape[1]:
                continue
            share = full[each.low] * over[:, None]
            full[each.target] -= share[:, :, None] * full[each.up][:, None]
            x[each.beside] -= share * x[each.nodes][:, None]
        for each, over in zip(reversed(self.rounds), reversed(inverse), strict=True):
            rest = x[each.nodes]
            if each.beside.shape[1]:
                rest -= (full[each.up] * x[each.beside]).sum(axis=1)
            x[each.nodes] = rest * over
        return np.ascontiguousarray(x.T)
