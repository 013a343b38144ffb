"""Pooling, calibration and information against published and computed values, and their laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.capture.estimates import read_figures
from diagnose.capture.pooling import (
    FLOOR,
    calibration,
    hits,
    information,
    points,
    pooled,
    score,
)
from diagnose.capture.told import Figures
from diagnose.errors import UsageError


@pytest.mark.outside
@pytest.mark.parametrize(
    ("found", "expected"),
    [
        ((1, 4, 4, 1), 0.83),
        ((0, 5, 5, 0), 0.55),
        ((1, 5, 4, 0), 0.68),
        ((2, 3, 3, 2), 0.10),
        ((3, 2, 2, 3), 0.0018),
        ((4, 6, 6, 4), 0.0060),
    ],
)
def test_calibration_is_that_of_the_classical_model(
    found: tuple[int, ...], expected: float
) -> None:
    """P(chi-square of 3 > 2 N I) by Cooke's model (1991); the six cases were computed apart."""
    assert calibration(found) == pytest.approx(expected, rel=0.03)


@pytest.mark.outside
def test_information_is_that_of_the_classical_model() -> None:
    """Cooke (1991), one item, all answers in 5 to 60: 10/20/30 gives .803, 5/20/60 gives .122."""
    assert information((10, 20, 30), 5, 60) == pytest.approx(0.803, abs=5e-4)
    assert information((5, 20, 60), 5, 60) == pytest.approx(0.122, abs=5e-4)


@pytest.mark.outside
def test_the_wide_and_right_expert_outweighs_the_narrow_and_wrong_one() -> None:
    """Cooke's weights of these two: .68 x .122 = .083 against .0018 x .803 = .0014."""
    wide = calibration((1, 5, 4, 0)) * information((5, 20, 60), 5, 60)
    narrow = calibration((3, 2, 2, 3)) * information((10, 20, 30), 5, 60)
    assert wide == pytest.approx(0.083, abs=1e-3)
    assert narrow == pytest.approx(0.0014, abs=1e-4)


@pytest.mark.outside
def test_the_linear_pool_keeps_what_one_expert_excludes() -> None:
    """Linear pool of (.70, .29, .01) and (0, .60, .40), the textbook pair: (.35, .445, .205)."""
    both = zip((0.70, 0.29, 0.01), (0.0, 0.60, 0.40), strict=True)
    assert [pooled(chances).value for chances in both] == pytest.approx([0.35, 0.445, 0.205])


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=8))
def test_a_pool_lies_among_the_experts_and_is_never_certain(chances: list[float]) -> None:
    """No expert alone can veto, and the spread is that of the outermost two."""
    pool = pooled(chances)
    assert FLOOR <= pool.value <= 1.0 - FLOOR
    if min(chances) >= FLOOR and max(chances) <= 1.0 - FLOOR:
        assert min(chances) - 1e-9 <= pool.value <= max(chances) + 1e-9
    assert pool.spread == pytest.approx(max(chances) - min(chances))


@given(st.lists(st.integers(0, 20), min_size=4, max_size=4))
def test_a_calibration_is_a_chance(found: list[int]) -> None:
    """Whatever the hits, the score is between 0 and 1."""
    assert 0.0 <= calibration(found) <= 1.0 + 1e-12


def test_a_range_given_with_half_the_certainty_is_stretched() -> None:
    """50 % sure of 8 to 12 about 10 makes a 90 % range of 6.4 to 13.6."""
    low, mid, high = points(Figures(8, 12, 10, 50))
    assert (low, mid, high) == pytest.approx((6.4, 10, 13.6))


def test_no_range_is_stretched_below_nothing() -> None:
    """A number of occasions has no 5 % point under 0, however unsure the expert was."""
    assert points(Figures(1, 12, 10, 50))[0] == 0.0


def test_truths_are_sorted_into_the_four_gaps() -> None:
    """Below, lower half, upper half, above."""
    at = (10.0, 20.0, 30.0)
    assert hits([(at, 5), (at, 15), (at, 25), (at, 31)]) == (1, 1, 1, 1)


def test_under_ten_seeds_no_weight_is_made_of_the_score() -> None:
    """The score is shown with nine seeds; a weight comes with the tenth."""
    truths = {str(k): 10.0 for k in range(10)}
    mine = {k: Figures(5, 20, 9, 90) for k in truths}
    few = dict(list(mine.items())[:9])
    assert score(few, {k: [f] for k, f in few.items()}, truths).weight is None
    assert score(mine, {k: [f] for k, f in mine.items()}, truths).weight is not None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("seven", "is not four figures"),
        ("3 9 5", "is not four figures"),
        ("3 25 5 80", "there are only 20"),
        ("9 12 5 80", "must lie between"),
        ("3 9 5 20", "widen"),
        ("3 9 5 120", "widen"),
    ],
)
def test_a_count_that_cannot_be_is_refused_in_one_line(text: str, said: str) -> None:
    """What is wrong, what was meant and what to type stand in one line."""
    with pytest.raises(UsageError, match=said) as caught:
        read_figures(text, of=20)
    assert "\n" not in str(caught.value)


def test_a_reason_may_stand_behind_the_figures() -> None:
    """'4 12 8 70 % it sags late' keeps the reason."""
    figures, why = read_figures("4 12 8 70 % it sags late", of=20)
    assert (figures.best, figures.sure, why) == (8, 70, "it sags late")
