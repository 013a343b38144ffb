"""Looking ahead over sequences of tests, and the order of repair attempts.

Small and exact: the planner uses ``lookahead`` on its short list; the tests hold it against
published examples.  Sources: Pattipati & Alexandridis 1990 (test sequencing by AND/OR trees);
Simon & Kadane 1975 (order by probability over cost).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief.hypotheses import Floats

Value = Callable[[Floats], Floats]
"""Expected cost of stopping with each belief: (B, H) -> (B,)."""


@dataclass(frozen=True)
class Test:
    """A test: P(outcome | hypothesis), shape (H, C), and its cost."""

    given: Floats
    cost: float


def lookahead(
    weights: Floats, tests: Sequence[Test], value: Value, depth: int
) -> tuple[float, int]:
    """Return (expected cost, best test or -1 to stop now) over at most ``depth`` tests.

    weights: belief, shape (H,), sums to 1.  Outcomes of mass below 1e-9 are not followed.
    """
    stop = float(value(weights[None, :])[0])
    if depth == 0 or not tests or stop == 0.0:
        return stop, -1
    best, choice = stop, -1
    for k, test in enumerate(tests):
        cost = test.cost
        if cost >= best:
            continue
        joint = (weights[:, None] * test.given).T
        mass = joint.sum(axis=1)
        if mass.max() > 1.0 - 1e-9:  # tells nothing here
            continue
        live = mass > 1e-9
        posts = joint[live] / mass[live, None]
        rest = [t for j, t in enumerate(tests) if j != k]
        if depth == 1:
            cost += float(mass[live] @ value(posts))
        else:
            for m, post in zip(mass[live], posts, strict=True):
                cost += float(m) * lookahead(post, rest, value, depth - 1)[0]
                if cost >= best:
                    break
        if cost < best - 1e-12:
            best, choice = cost, k
    return best, choice


def greedy_cost(weights: Floats, tests: Sequence[Test], value: Value) -> float:
    """Return the expected cost of always taking the test with most bits per cost."""
    stop = float(value(weights[None, :])[0])
    if stop == 0.0 or not tests:
        return stop
    bits = [_bits(weights, t.given) / t.cost for t in tests]
    k = int(np.argmax(bits))
    if bits[k] <= 1e-12:
        return stop
    return _after(weights, tests, k, value, greedy_cost)


def rollout_cost(weights: Floats, tests: Sequence[Test], value: Value) -> float:
    """Return the expected cost of taking each time the test whose greedy completion is cheapest."""
    stop = float(value(weights[None, :])[0])
    if stop == 0.0 or not tests:
        return stop
    telling = [k for k, t in enumerate(tests) if _bits(weights, t.given) > 1e-12]
    if not telling:
        return stop
    k = min(telling, key=lambda j: _after(weights, tests, j, value, greedy_cost))
    return _after(weights, tests, k, value, rollout_cost)


def _after(
    weights: Floats,
    tests: Sequence[Test],
    k: int,
    value: Value,
    policy: Callable[[Floats, Sequence[Test], Value], float],
) -> float:
    joint = (weights[:, None] * tests[k].given).T
    rest = [t for j, t in enumerate(tests) if j != k]
    cost = tests[k].cost
    for row in joint:
        mass = float(row.sum())
        if mass > 1e-12:
            cost += mass * policy(row / mass, rest, value)
    return cost


def _bits(weights: Floats, given: Floats) -> float:
    mean = weights @ given
    inside = -(given * np.log2(np.maximum(given, 1e-300))).sum(axis=1)
    return float(-(mean * np.log2(np.maximum(mean, 1e-300))).sum() - weights @ inside)


def expected_repair_cost(
    probabilities: Sequence[float], costs: Sequence[float], order: Sequence[int]
) -> float:
    """Return the expected cost of trying repairs in ``order``, each paid while not yet mended."""
    left, total = 1.0, 0.0
    for k in order:
        total += left * costs[k]
        left -= probabilities[k]
    return total


def repair_order(probabilities: Sequence[float], costs: Sequence[float]) -> tuple[int, ...]:
    """Return the order of falling probability over cost (optimal for one fault, fixed costs)."""
    return tuple(sorted(range(len(costs)), key=lambda k: (-probabilities[k] / costs[k], k)))
