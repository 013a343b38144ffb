"""The batch elimination beside the dense solver, and small batches beside large ones."""

from __future__ import annotations

import numpy as np
from fuel.fuel_kit import draw, shipped
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.fuel import solve
from diagnose.fuel.elimination import Elimination
from diagnose.fuel.hydraulics import MANY


@settings(max_examples=40)
@given(st.integers(1, 12), st.integers(0, 30), st.integers(0, 2**32 - 1))
def test_elimination_agrees_with_the_dense_solver(count: int, links: int, seed: int) -> None:
    """Any pattern, also with nodes tied to nothing, gives what numpy's dense solver gives."""
    rng = np.random.default_rng(seed)
    a, b = rng.integers(count, size=(2, links))
    a, b = a[a != b], b[a != b]
    dense = np.zeros((5, count, count))
    for i, j in zip(a, b, strict=True):  # columns as a network gives them: what leaves arrives
        for here, there in ((i, j), (j, i)):
            slope = rng.random(5)
            dense[:, here, here] += slope
            dense[:, there, here] -= slope
    row, column = np.nonzero(np.abs(dense).sum(axis=0) + np.eye(count))
    plan = Elimination(count, zip(row.tolist(), column.tolist(), strict=True))
    right, tie = rng.standard_normal((5, count)), 0.1 + rng.random((5, 1))
    found = plan.solve(plan.slots(row, column), dense[:, row, column], tie, right)
    held = dense + tie[:, :, None] * np.eye(count)
    assert np.allclose(found, np.linalg.solve(held, right[:, :, None])[:, :, 0], rtol=1e-9)


def test_a_row_reads_the_same_alone_and_in_a_large_batch() -> None:
    """Which solver the size of the batch picks does not show in the pressures."""
    network = shipped("low-wing-twin")
    states, faults = draw(network, 2 * MANY, seed=5)
    together = solve(network, states, faults)
    some = range(0, 2 * MANY, 9)
    apart = solve(network, [states[i] for i in some], [faults[i] for i in some])
    assert len(some) < MANY
    both = together.converged[some] & apart.converged
    assert both.sum() >= len(some) - 1
    assert np.allclose(together.pressure[some][both], apart.pressure[both], rtol=0.0, atol=1.0)
