"""Scores, isolation figures and order measures on small worked examples."""

from __future__ import annotations

import numpy as np
import pytest
from belief.small_models import cause, library, row, words

from diagnose.merit.isolation import isolation
from diagnose.merit.scores import calibration, standing, summary
from diagnose.merit.stability import kendall, off_by_one
from diagnose.model import Effect


def test_a_tie_counts_against_the_truth() -> None:
    """Three causes as likely as each other: the true one ranks last of them."""
    got = standing(np.array([0.3, 0.3, 0.3, 0.1]), (1,))
    assert got.rank == 3
    assert got.probability == 0.3


def test_brier_counts_every_cause_and_both_of_a_pair() -> None:
    """Worked by hand: (1 - .6)^2 + (1 - .3)^2 + .1^2."""
    got = standing(np.array([0.6, 0.3, 0.1]), (0, 1))
    assert got.brier == pytest.approx(0.16 + 0.49 + 0.01)
    assert (got.rank, got.right, got.top) == (1, True, 0.6)


def test_honest_probabilities_are_calibrated_to_chance_and_boasts_are_not() -> None:
    """Coins thrown at their own probability stay near what chance gives; doubled odds do not."""
    rng = np.random.default_rng(3)
    p = rng.random(4000)
    y = (rng.random(4000) < p).tolist()
    honest, chance = calibration(p.tolist(), y)
    assert honest < 2.0 * chance
    assert chance == pytest.approx(0.016, abs=0.006)
    boast, _ = calibration((p**0.5).tolist(), y)
    assert boast > 0.1


def test_calibration_error_of_one_bin_is_the_gap() -> None:
    """Ten answers given .85, six of them right: .25."""
    assert calibration([0.85] * 10, [True] * 6 + [False] * 4)[0] == pytest.approx(0.25)


def test_the_scores_of_no_jobs_are_no_scores() -> None:
    """Nothing is averaged over nothing."""
    assert summary([]) == {"jobs": 0}


def test_isolation_gives_the_worked_example() -> None:
    """Rates 5 alone, 3 in a group of two parts, 1 in a group of three, 1 that nothing reveals."""
    one, two, three, none = (frozenset({(name,)}) for name in "abcd")
    got = isolation(
        [one, two, two, three, three, three, frozenset()],
        ["p", "q", "r", "s", "t", "u", "v"],
        [5, 1.5, 1.5, 0.4, 0.3, 0.3, 1],
    )
    assert none not in (one, two, three)
    assert got.coverage == pytest.approx(0.9)
    assert got.to_one == pytest.approx(5 / 9)
    assert got.to_three == pytest.approx(1.0)
    assert got.group_size == pytest.approx(14 / 9)
    assert got.groups == 2


def test_a_group_is_counted_in_parts_not_in_failures() -> None:
    """Two ways one part can fail are one thing to change."""
    same = frozenset({("check", "part", "", "found")})
    assert isolation([same, same], ["pump", "pump"], [1.0, 1.0]).group_size == 1.0


def test_kendall_is_one_for_the_same_order_and_minus_one_for_the_reverse() -> None:
    """The middle case: one of three pairs turned round gives a third."""
    a = np.array([0.5, 0.3, 0.2])
    assert kendall(a, a) == 1.0
    assert kendall(a, a[::-1]) == -1.0
    assert kendall(a, np.array([0.5, 0.1, 0.2])) == pytest.approx(1 / 3)


def test_every_word_moves_exactly_one_step() -> None:
    """'often' becomes 'half' or 'very often'; the words at the ends move inwards."""
    scale = {"never": 0.02, "half": 0.5, "often": 0.7, "very-often": 0.9, "always": 0.98}
    rows = [
        row("e", v, dict.fromkeys(("slight", "half", "severe"), p))
        for v, p in (("a", 0.7), ("b", 0.02), ("c", 0.98))
    ]
    lib = library(
        [Effect("e", "", ("engine",), ("normal", "a", "b", "c"), {})],
        [],
        [cause("x", 0.2, rows)],
        words(how_often=scale),
    )
    seen = set()
    for seed in range(8):
        moved = off_by_one(lib, np.random.default_rng(seed)).causes["x"].produces
        seen.add(round(moved[0].how_often["half"], 6))
        assert moved[1].how_often["slight"] == pytest.approx(0.5)
        assert moved[2].how_often["severe"] == pytest.approx(0.9)
        assert len(set(moved[0].how_often.values())) == 1  # all grades of a row together
    assert seen == {0.5, 0.9}
