"""Reconciling gauge, stick and ledger, against rates simulated by an independent script."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.fuel.contents import (
    CHI_SQUARE_95,
    GALLONS,
    Source,
    capacitance_gauge_sigma,
    float_gauge_sigma,
    ledger_sigma,
    pattern,
    reconcile,
    trend,
)

CAPACITY, TRUE = 100.0, 60.0
FLOAT = {"gauge": 3.9, "stick": 1.0, "ledger": 1.8}
CAPACITANCE = {"gauge": 1.5, "stick": 1.0, "ledger": 1.8}


def rates(
    sigmas: dict[str, float], biased: str, bias: float, draws: int = 4000
) -> tuple[float, float]:
    """Return share of draws in which a disagreement is found, and is put down to ``biased``."""
    rng = np.random.default_rng(7)
    found = right = 0
    noise = rng.normal(size=(draws, len(sigmas)))
    for row in noise:
        sources = [
            Source(name, TRUE + sigma * float(z) + (bias if name == biased else 0.0), sigma)
            for (name, sigma), z in zip(sigmas.items(), row, strict=True)
        ]
        verdict = reconcile(sources, CAPACITY)
        found += not verdict.agree
        right += not verdict.agree and verdict.farthest == biased
    return found / draws, right / max(found, 1)


@pytest.mark.outside
@pytest.mark.parametrize(
    ("sigmas", "biased", "bias", "detect", "blame"),
    [
        (FLOAT, "gauge", 6, 0.25, 0.81), (FLOAT, "gauge", 10, 0.60, 0.92),
        (FLOAT, "gauge", 15, 0.93, 0.98), (FLOAT, "stick", 3, 0.27, 0.59),
        (FLOAT, "stick", 6, 0.80, 0.76), (FLOAT, "stick", 10, 1.00, 0.90),
        (FLOAT, "ledger", 6, 0.74, 0.76), (FLOAT, "ledger", 10, 0.99, 0.88),
        (CAPACITANCE, "gauge", 6, 0.88, 0.91), (CAPACITANCE, "ledger", 6, 0.77, 0.92),
    ],
)  # fmt: skip
def test_detection_and_blame_rates_agree_with_the_simulated_table(
    sigmas: dict[str, float], biased: str, bias: float, detect: float, blame: float
) -> None:
    """100 gal tank at 60 gal: rates of an independent simulation of 40,000 draws, within 0.04."""
    got = rates(sigmas, biased, bias)
    assert got[0] == pytest.approx(detect, abs=0.03)
    assert got[1] == pytest.approx(blame, abs=0.04)


def test_false_alarms_are_five_in_a_hundred() -> None:
    """With nothing wrong the chi-square test speaks up at its stated 5 %."""
    assert rates(FLOAT, "gauge", 0.0)[0] == pytest.approx(0.05, abs=0.012)


def test_the_chi_square_table_agrees_with_scipy() -> None:
    """The 95 % points are those of the distribution."""
    stats = pytest.importorskip("scipy.stats")
    for degrees, point in CHI_SQUARE_95.items():
        assert point == pytest.approx(stats.chi2.ppf(0.95, degrees), abs=6e-4)


@given(st.floats(1.0, 500.0), st.floats(1.0, 500.0), st.floats(0.1, 20.0), st.floats(0.1, 20.0))
def test_two_sources_never_name_a_culprit(one: float, two: float, s1: float, s2: float) -> None:
    """However far apart two sources are, neither is blamed."""
    assert reconcile([Source("a", one, s1), Source("b", two, s2)], 500.0).blame == ""


def test_a_small_disagreement_cannot_be_put_down_to_anyone() -> None:
    """Below 6 % of capacity the words are 'too little to tell', above it a source is named."""
    small = [Source("gauge", 60.0, 1.0), Source("stick", 64.5, 1.0), Source("ledger", 60.0, 1.0)]
    large = [Source("gauge", 60.0, 1.0), Source("stick", 72.0, 1.0), Source("ledger", 60.0, 1.0)]
    verdict = reconcile(small, CAPACITY)
    assert not verdict.agree
    assert verdict.blame == ""
    assert "too little to tell" in verdict.says
    assert reconcile(large, CAPACITY).blame == "stick"
    assert "above" in reconcile(large, CAPACITY).says


def test_sources_that_agree_are_averaged_by_their_precision() -> None:
    """The mean lies nearer the better source and is better than either."""
    verdict = reconcile([Source("gauge", 62.0, 2.0), Source("stick", 60.0, 1.0)], CAPACITY)
    assert verdict.agree
    assert verdict.mean == pytest.approx(60.4)
    assert verdict.sigma == pytest.approx(np.sqrt(0.8))


def test_unusable_sources_are_refused() -> None:
    """One source, eight sources or a source without scatter cannot be reconciled."""
    with pytest.raises(ValueError, match="two to seven"):
        reconcile([Source("gauge", 60.0, 1.0)], CAPACITY)
    with pytest.raises(ValueError, match="two to seven"):
        reconcile([Source(str(i), 60.0, 1.0) for i in range(8)], CAPACITY)
    with pytest.raises(ValueError, match="standard deviation"):
        reconcile([Source("gauge", 60.0, 0.0), Source("stick", 60.0, 1.0)], CAPACITY)


@pytest.mark.outside
def test_sigmas_of_gauges_agree_with_published_accuracies() -> None:
    """SAE 670263: 5 % of full scale and 10 % of reading, two sigma: 3.9 at 60 of 100."""
    assert float_gauge_sigma(60.0, 100.0) == pytest.approx(3.9, abs=0.01)
    assert capacitance_gauge_sigma(100.0) == pytest.approx(1.5)
    assert ledger_sigma(60.0, 60.0) == pytest.approx(1.8, abs=0.05)


def leak_rates(per_sortie: float) -> tuple[float, float]:
    """Return share of 20-sortie runs with an alarm and the median sortie it came at (from 1)."""
    rng = np.random.default_rng(11)
    runs, sigma = 4000, float(np.hypot(1.0, 1.8))
    alarms = []
    for residuals in rng.normal(-per_sortie, sigma, size=(runs, 20)):
        alarm = trend(residuals.tolist(), sigma).alarm
        if alarm is not None:
            alarms.append(alarm + 1)
    return len(alarms) / runs, float(np.median(alarms))


@pytest.mark.outside
def test_cumulative_sum_finds_slow_leaks_at_the_simulated_rates() -> None:
    """2 gal a sortie: median 9 sorties, 92 % by 20; 4 gal: 4; 1 gal: 32 %; none: 1.5 %."""
    share, median = leak_rates(2.0)
    assert share == pytest.approx(0.92, abs=0.03)
    assert median == pytest.approx(9, abs=1)
    assert leak_rates(4.0)[1] == pytest.approx(4, abs=1)
    assert leak_rates(1.0)[0] == pytest.approx(0.32, abs=0.04)
    assert leak_rates(0.0)[0] == pytest.approx(0.015, abs=0.01)


def test_a_gauge_error_is_told_as_offset_factor_or_mixed_gallons() -> None:
    """Constant error: zero; proportional: scale; factor 1.20: gallons mixed; scatter: none."""
    true = [10.0, 25.0, 40.0, 60.0, 80.0]
    assert pattern(true, [t + 0.2 for t in true], 1.0).kind == "agree"
    zero = pattern(true, [t + 8.0 for t in true], 1.0)
    assert (zero.kind, round(zero.offset, 6)) == ("zero-error", 8.0)
    scale = pattern(true, [1.4 * t for t in true], 1.0)
    assert (scale.kind, round(scale.factor, 6)) == ("scale-error", 1.4)
    assert pattern(true, [GALLONS * t for t in true], 1.0).kind == "gallons-mixed"
    assert pattern(true, [t / GALLONS for t in true], 1.0).kind == "gallons-mixed"
    assert pattern(true, [20.0, 5.0, 60.0, 30.0, 95.0], 1.0).kind == "no-pattern"
    with pytest.raises(ValueError, match="three pairs"):
        pattern([1.0, 2.0], [1.0, 2.0], 1.0)
