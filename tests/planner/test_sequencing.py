"""Looking ahead over tests, held against published sequencing and repair examples."""

from __future__ import annotations

import heapq
import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.planner.sequencing import (
    Test as Trial,
)
from diagnose.planner.sequencing import (
    lookahead,
)
from diagnose.planner.worth import Purse, after, entropy_gain

SIX_BY_FIVE = ["00000", "01001", "00110", "10011", "11000", "11110"]
PRIORS = np.array([0.70, 0.01, 0.02, 0.10, 0.05, 0.12])


def isolated(weights: np.ndarray) -> np.ndarray:
    """Cost of stopping: nothing when one hypothesis is left, unaffordable before."""
    return np.where(weights.max(axis=1) > 1 - 1e-9, 0.0, 1e6)


def trials(rows: list[str], costs: list[float]) -> list[Trial]:
    """Turn a 0/1 test matrix, one string a state, into perfect tests."""
    bits = np.array([[int(c) for c in r] for r in rows])
    return [
        Trial(np.stack([1.0 - bits[:, t], bits[:, t]], axis=1), costs[t])
        for t in range(bits.shape[1])
    ]


@pytest.mark.outside
def test_six_states_five_tests_need_2_18_tests() -> None:
    """Pattipati & Alexandridis (1990), matrix from memory: the optimum is 2.18."""
    tests = trials(SIX_BY_FIVE, [1.0] * 5)
    cost, first = lookahead(PRIORS, tests, isolated, depth=5)
    assert cost == pytest.approx(2.18, abs=1e-9)
    assert first == 1


@pytest.mark.outside
def test_sequences_respect_entropy_and_huffman_bounds() -> None:
    """For the same case the entropy bound is 1.454873 bit and the Huffman bound 1.59 tests."""
    entropy = -(PRIORS * np.log2(PRIORS)).sum()
    assert entropy == pytest.approx(1.454873, abs=1e-6)
    assert huffman(PRIORS.tolist()) == pytest.approx(1.59, abs=1e-9)
    cost, _ = lookahead(PRIORS, trials(SIX_BY_FIVE, [1.0] * 5), isolated, depth=5)
    assert entropy <= huffman(PRIORS.tolist()) <= cost


@pytest.mark.outside
@pytest.mark.parametrize(
    ("p", "entropy", "mean"),
    [([0.4, 0.3, 0.2, 0.1], 1.846439, 1.9), ([0.5, 0.25, 0.125, 0.125], 1.75, 1.75)],
)
def test_free_choice_of_questions_reaches_the_huffman_mean(
    p: list[float], entropy: float, mean: float
) -> None:
    """With every yes/no question allowed the optimum is Huffman's mean (published bounds)."""
    n = len(p)
    subsets = [s for r in range(1, n) for s in itertools.combinations(range(n), r) if 0 in s]
    tests = [
        Trial(np.array([[1.0, 0.0] if i in s else [0.0, 1.0] for i in range(n)]), 1.0)
        for s in subsets
    ]
    cost, _ = lookahead(np.array(p), tests, isolated, depth=n)
    assert cost == pytest.approx(mean, abs=1e-9)
    assert -sum(q * math.log2(q) for q in p) == pytest.approx(entropy, abs=1e-6)


def huffman(p: list[float]) -> float:
    """Return the mean code length of Huffman's tree."""
    heap = list(p)
    heapq.heapify(heap)
    total = 0.0
    while len(heap) > 1:
        a, b = heapq.heappop(heap), heapq.heappop(heap)
        total += a + b
        heapq.heappush(heap, a + b)
    return total


def repair_cost(p: list[float], c: list[float], order: tuple[int, ...]) -> float:
    """Return the expected cost of trying repairs in ``order``, each paid while not yet mended."""
    left, total = 1.0, 0.0
    for k in order:
        total += left * c[k]
        left -= p[k]
    return total


def plain_plan(p: list[float], c: list[float]) -> float:
    """Return the minutes of the planner's plain plan, one check for each cause, never given up."""
    purse = Purse(np.arange(len(p)), np.array([*c, 1e9]), ())
    return float(purse.value(np.array([p]))[0])


def test_the_plain_plan_of_four_checks_costs_37_5() -> None:
    """Own check value over all 24 orders: p .50 .10 .25 .15, c 20 5 15 60 gives 37.5 minutes."""
    p, c = [0.5, 0.1, 0.25, 0.15], [20.0, 5.0, 15.0, 60.0]
    costs = [repair_cost(p, c, o) for o in itertools.permutations(range(4))]
    assert plain_plan(p, c) == pytest.approx(37.5)
    assert min(costs) == pytest.approx(37.5)
    assert max(costs) == pytest.approx(85.75)


@pytest.mark.outside
@given(st.lists(st.tuples(st.integers(1, 50), st.integers(1, 60)), min_size=2, max_size=6))
@settings(max_examples=60)
def test_no_order_beats_the_plain_plan(items: list[tuple[int, int]]) -> None:
    """One fault, fixed costs: no order beats falling p/c (Simon & Kadane 1975), by brute force."""
    total = sum(w for w, _ in items)
    p = [w / total for w, _ in items]
    c = [float(k) for _, k in items]
    best = min(repair_cost(p, c, o) for o in itertools.permutations(range(len(p))))
    assert plain_plan(p, c) == pytest.approx(best, rel=1e-9)


def test_ten_checks_none_worth_its_price_alone_are_worth_it_together() -> None:
    """Ten causes alike, an hour a check: 330 minutes on average, where handing over is 480."""
    purse = Purse(np.arange(11), np.array([60.0] * 10 + [480.0]), ())
    assert purse.value(np.array([[0.1] * 10 + [0.0]]))[0] == pytest.approx(330.0)


@given(st.lists(st.tuples(st.integers(1, 50), st.integers(5, 300)), min_size=1, max_size=4))
@settings(max_examples=60)
def test_no_order_and_no_place_to_hand_over_beats_the_plain_plan(
    items: list[tuple[int, int]],
) -> None:
    """Whatever is checked in whatever order before handing over, by brute force."""
    total = 1 + sum(w for w, _ in items)
    p = [w / total for w, _ in items]
    c = [float(k) for _, k in items]
    plans = (o for n in range(len(p) + 1) for o in itertools.permutations(range(len(p)), n))
    best = min(repair_cost(p, c, o) + (1.0 - sum(p[k] for k in o)) * 480.0 for o in plans)
    purse = Purse(np.arange(len(p) + 1), np.array([*c, 480.0]), ())
    assert purse.value(np.array([[*p, 1.0 / total]]))[0] == pytest.approx(best, rel=1e-9)


# ------------------------------------------------------------------ polybox


def _polybox() -> tuple[list[str], list[tuple[frozenset[str], float]], list[dict[str, int | None]]]:
    """Enumerate which sets of the five parts can be at fault, outputs of faulty parts free."""
    parts = ["M1", "M2", "M3", "A1", "A2"]
    sets, values = [], []
    for r in range(6):
        for bad in itertools.combinations(parts, r):
            known = _propagate(frozenset(bad))
            if known is not None:
                sets.append((frozenset(bad), 0.01 ** len(bad) * 0.99 ** (5 - len(bad))))
                values.append(known)
    return parts, sets, values


def _propagate(bad: frozenset[str]) -> dict[str, int | None] | None:
    """Return X, Y, Z as forced by the sound parts (None = free); None when impossible."""
    x = None if "M1" in bad else 6
    y = None if "M2" in bad else 6
    z = None if "M3" in bad else 6
    for _ in range(2):
        if "A1" not in bad:  # X + Y = 10
            if x is not None and y is not None and x + y != 10:
                return None
            x = 10 - y if x is None and y is not None else x
            y = 10 - x if y is None and x is not None else y
        if "A2" not in bad:  # Y + Z = 12
            if y is not None and z is not None and y + z != 12:
                return None
            y = 12 - z if y is None and z is not None else y
            z = 12 - y if z is None and y is not None else z
    return {"X": x, "Y": y, "Z": z}


@pytest.mark.outside
def test_polybox_has_the_published_minimal_diagnoses_and_probes_x_first() -> None:
    """De Kleer & Williams (1987): {M1}, {A1}, {M2,M3}, {M2,A2}; X tells most (own figures)."""
    _, sets, values = _polybox()
    assert len(sets) == 27
    minimal = {s for s, _ in sets if not any(t < s for t, _ in sets)}
    assert minimal == {
        frozenset({"M1"}),
        frozenset({"A1"}),
        frozenset({"M2", "M3"}),
        frozenset({"M2", "A2"}),
    }
    w = np.array([p for _, p in sets])
    w /= w.sum()
    single = {next(iter(s)): float(p) for (s, _), p in zip(sets, w, strict=True) if len(s) == 1}
    assert single["M1"] == pytest.approx(0.4780, abs=5e-5)
    assert single["A1"] == pytest.approx(0.4780, abs=5e-5)
    bits = {}
    for probe in "XYZ":
        outcomes = sorted({out for v in values if (out := v[probe]) is not None})
        given_h = np.array(
            [
                [
                    float(v[probe] == o) if v[probe] is not None else 1 / len(outcomes)
                    for o in outcomes
                ]
                for v in values
            ]
        )
        mass, _ = after(w, given_h)
        bits[probe] = float(-(mass * np.log2(mass)).sum())
        assert entropy_gain(w, given_h) <= bits[probe] + 1e-12
    assert bits["X"] == pytest.approx(1.0408, abs=0.05)
    assert max(bits, key=lambda k: bits[k]) == "X"
