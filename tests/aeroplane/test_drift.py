"""Drift of readings: the statistic against reference values, its false alarms, and its reach."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from aeroplane.own_kit import CARD, HEAD, laid

from diagnose.aeroplane.drift import FALSE_ALARM, FEWEST, fit, judge
from diagnose.aeroplane.history import Point, load_history, series_of
from diagnose.aeroplane.student import both_tails, quantile
from diagnose.aeroplane.trends import stretch
from diagnose.errors import CaseError
from diagnose.units import parse

DAYS = [30.0 * k for k in range(12)]


def steady(seed: int, count: int = 12, sigma: float = 1.0) -> list[float]:
    """Return readings that only scatter."""
    return list(100.0 + np.random.default_rng(seed).normal(0.0, sigma, count))


@pytest.mark.outside
@pytest.mark.parametrize(
    ("both", "dof", "t"),
    [(0.05, 10, 2.228), (0.05, 1, 12.706), (0.01, 5, 4.032), (0.10, 30, 1.697)],
)
def test_student_is_the_published_table(both: float, dof: int, t: float) -> None:
    """Critical values of Student's t as every statistical table prints them."""
    assert quantile(both, dof) == pytest.approx(t, abs=5e-4)
    assert both_tails(t, dof) == pytest.approx(both, rel=2e-3)


@pytest.mark.outside
def test_line_and_its_slope_test_equal_the_reference_library() -> None:
    """Slope and p of scipy's linregress (scipy comes with the test libraries), to ten digits."""
    stats = pytest.importorskip("scipy.stats")
    rng = np.random.default_rng(3)
    for _ in range(20):
        x = np.sort(rng.uniform(0, 400, rng.integers(5, 30)))
        y = 5.0 + 0.01 * x + rng.normal(0, 1, len(x))
        mine, theirs = fit(list(x), list(y)), stats.linregress(x, y)
        assert mine.slope == pytest.approx(theirs.slope, rel=1e-10)
        assert mine.p == pytest.approx(theirs.pvalue, rel=1e-8, abs=1e-14)


def test_the_interval_of_the_next_reading_holds_it_as_often_as_it_says() -> None:
    """Nineteen of twenty next readings lie in the 95 % interval."""
    held = 0
    for seed in range(400):
        y = steady(seed, 13)
        line = fit(DAYS, y[:12])
        held += abs(y[12] - line.at(360.0)) <= line.half_width(360.0, 0.95)
    assert 0.925 <= held / 400 <= 0.975


def test_steady_readings_raise_few_alarms() -> None:
    """Drift and step each share out one in a hundred over the series looked at together."""
    alarms = sum(judge(DAYS, steady(seed)).word in ("drift", "step") for seed in range(500))
    assert alarms / 500 <= 4 * FALSE_ALARM
    many = sum(
        judge(DAYS, steady(seed), looked_at=10).word in ("drift", "step") for seed in range(500)
    )
    assert many / 500 <= FALSE_ALARM


def test_drift_is_flagged_before_the_limit_is_passed() -> None:
    """Of fifty pressures that run at their limit over twenty readings all are flagged before it."""
    before = 0
    for seed in range(50):
        rng = np.random.default_rng(seed)
        days = [30.0 * k for k in range(21)]
        # six sigma from the limit at first, there with the last reading
        values = [16.0 - 2.0 * k / 20.0 + rng.normal(0.0, 0.33) for k in range(21)]
        first = next(
            (
                n
                for n in range(FEWEST, 21)
                if judge(days[:n], values[:n], low=14.0, looked_at=8).word == "drift"
            ),
            21,
        )
        before += first <= 20
    assert before == 50


def test_the_day_of_the_limit_is_foretold() -> None:
    """A clean line a tenth a month meets its limit when it should, and single readings before."""
    rng = np.random.default_rng(1)
    values = [16.0 - 0.1 * k + rng.normal(0, 0.02) for k in range(12)]
    said = judge(DAYS, values, low=14.0, high=18.0)
    assert said.word == "drift"
    assert said.limit == 14.0
    assert said.reaches is not None
    assert said.earliest is not None
    assert said.reaches == pytest.approx(600.0, abs=20.0)
    assert said.earliest < said.reaches


def test_weather_is_not_taken_for_wear() -> None:
    """Readings that follow the air warming up over months drift, until the air is fitted along."""
    rng = np.random.default_rng(2)
    air = [280.0 + 2.0 * k + rng.normal(0, 4.0) for k in range(12)]
    values = [15.0 - 0.05 * (a - 290.0) + rng.normal(0, 0.05) for a in air]
    assert judge(DAYS, values).word == "drift"
    told = judge(DAYS, values, air)
    assert told.word == "steady"
    assert told.corrected


def test_a_condition_that_runs_with_the_calendar_corrects_nothing() -> None:
    """Where every reading was warmer than the last, wear and weather cannot be told apart."""
    air: list[float | None] = [280.0 + k for k in range(12)]
    assert not judge(DAYS, steady(1), air).corrected


def test_one_reading_far_out_is_a_step() -> None:
    """The newest reading against those before it; none before it was out."""
    values = [*steady(4, 11, 0.1), 105.0]
    assert judge(DAYS, values).word == "step"
    assert judge(DAYS, [0.0] * 11 + [1.0]).word == "step"
    assert judge(DAYS, [0.0] * 12).word == "steady"


def test_few_readings_say_nothing() -> None:
    """Under five readings, or all on one day, there is no scatter to judge by."""
    assert judge([1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, 4.0]).word == "too few"
    assert judge([1.0] * 8, steady(1, 8)).word == "too few"


# ---------------------------------------------------------------------- history


def history(tmp_path, text: str, own: str = "") -> tuple[Point, ...]:  # type: ignore[no-untyped-def]
    """Return the readings of a CSV text."""
    path = tmp_path / "readings.csv"
    path.write_text("date, what, at, state, value, less, air\n" + text, encoding="utf-8")
    return load_history(path, laid(HEAD + own))


def test_every_problem_of_a_history_is_told_at_once(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """Unknown kind, place, date, unit and a missing figure, each with its line and column."""
    with pytest.raises(CaseError) as caught:
        history(
            tmp_path,
            "2026-01-02, fuel-presure, no1-engine, , 15 psi, ,\n"
            "2026-13-02, fuel-pressure, no9-engine, , 15 gal, ,\n"
            "2026-01-02, stick-gauge, port-inner-tank, , 15 imp gal, ,\n"
            "2026-01-02, water-drained, port-inner-tank, , 1 ml, 2 ml,\n",
        )
    lines = str(caught.value).splitlines()
    assert "did you mean 'fuel-pressure'?" in lines[0]
    assert lines[0].startswith("readings.csv:2:2")
    assert len([x for x in lines if x.startswith("readings.csv:3:")]) == 3
    assert any("contents gauge" in x for x in lines)
    assert any("nothing is subtracted" in x for x in lines)


def test_figures_are_corrected_by_the_cards_and_differences_taken(tmp_path) -> None:  # type: ignore[no-untyped-def]
    """13 psi shown on no. 2 is 14.5; the drop is the difference of two true figures."""
    points = history(
        tmp_path,
        "2026-01-02, fuel-pressure, no2-engine, , 13 psi, ,\n"
        "2026-01-02, booster-drop, no2-engine, , 13 psi, 9 psi,\n",
        CARD,
    )
    assert points[0].value == pytest.approx(parse("14.5 psi").value_si)
    assert points[1].value == pytest.approx(parse("4.75 psi").value_si)


def test_no_line_is_drawn_through_a_part_that_was_fitted() -> None:
    """The newest stretch with enough readings is judged; a short one waits."""
    fitted = "fitted:\n  - {at: no2-pressure-gauge, on: 2026-06-01}\n"
    start = date(2026, 1, 5)
    points = [
        Point((start + timedelta(days=25 * k)).isoformat(), "fuel-pressure", "no2-engine", "", k,
              "psi")
        for k in range(12)
    ]  # fmt: skip
    series = series_of(points, laid(HEAD + fitted))[0]
    assert stretch(series) == ("2026-06-01", "")
    assert len(series.within(*stretch(series))) == 6
    short = series_of(points[:8], laid(HEAD + fitted))[0]
    assert stretch(short) == ("", "2026-06-01")
