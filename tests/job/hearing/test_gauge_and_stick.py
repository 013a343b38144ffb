"""A gauge and a stick told side by side say which of them shows more."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from hypothesis import given
from hypothesis import strategies as st
from job.hearing.hearing_kit import FOUR, heard, told

from diagnose.job.hearing.gauge_and_stick import levels_told, shows_more
from diagnose.job.hearing.report_words import listened

LEVELS = ("empty", "a quarter", "a third", "half", "two thirds", "three quarters", "full")


def gauge_heard(report: str) -> list[tuple[str, tuple[str, ...]]]:
    """Return what is heard of the contents gauge, with its places."""
    return [(s.value, s.places) for s in told(report, question="contents-gauge")]


@pytest.mark.parametrize(
    ("report", "value"),
    [
        ("Left gauge reads nearly full, the stick says barely half.", "reads-high"),
        ("Left gauge said nearly half; the stick afterwards said dry.", "reads-high"),
        ("Left tank three quarters by the stick, gauge a quarter.", "reads-low"),
        ("Left gauge 6 gal, dipped 9 gal.", "reads-low"),
        ("Left gauge shows half. Dipped half.", "agree"),
        ("Left tank ran dry, gauge still said a third.", "reads-high"),
        ("Left gauge says half, dipped it and there was hardly a gallon.", "reads-high"),
        ("Left gauge shows half, the tank is brimmed.", "reads-low"),
        ("Left gauge said half but the tank was bone dry.", "reads-high"),
    ],
)
def test_a_gauge_is_held_against_the_stick_told_beside_it(report: str, value: str) -> None:
    """The level or figure that is more belongs to the one that shows more."""
    assert gauge_heard(report) == [(value, ("left-tank",))]


@pytest.mark.parametrize(
    "report",
    [
        "Left gauge reads 20 litres, dipped 5 gal.",
        "Left gauge stuck at half, dipped full and empty.",
        "The tank should have dipped half, gauge read full.",
    ],
)
def test_what_cannot_be_compared_is_not(report: str) -> None:
    """Other units, a gauge that stands still and what should have been say nothing."""
    assert not {"reads-high", "reads-low", "agree"} & {value for value, _ in gauge_heard(report)}


@given(st.sampled_from(LEVELS), st.sampled_from(LEVELS))
def test_the_order_of_levels_decides(gauge: str, stick: str) -> None:
    """Of any two levels the fuller is more, whichever is told first."""
    said = {x.what: x for x in levels_told(f"the gauge shows {gauge}, the stick says {stick}")}
    turned = {x.what: x for x in levels_told(f"the stick says {stick}, the gauge shows {gauge}")}
    order = LEVELS.index(gauge) - LEVELS.index(stick)
    for both in (said, turned):
        assert shows_more(both["gauge"], both["stick"]) == (order > 0) - (order < 0)


@pytest.mark.parametrize(
    ("report", "empty"),
    [
        ("Fuel runs out of the vent of no. 3 tank.", False),
        ("Fuel ran out of the no. 3 tank vent after landing.", False),
        ("No. 3 tank ran out of fuel.", True),
        ("No. 3 tank ran out.", True),
    ],
)
def test_fuel_that_runs_out_of_a_vent_is_no_empty_tank(report: str, empty: bool) -> None:
    """What runs out of a part is a leak or an overflow; the tank may be full."""
    assert (("tank-dipped", "empty") in heard(report, FOUR)) == empty


@pytest.mark.parametrize("said", ["Right tank gauge says half", "Right gauge half all day"])
def test_a_gauge_on_the_right_is_not_thereby_right(said: str) -> None:
    """What names the side says nothing of how true the gauge is; what is said behind it does."""
    assert ("agree", ("right-tank",)) not in gauge_heard(said)
    assert gauge_heard("The right gauge is right") == [("agree", ("right-tank",))]


@pytest.mark.parametrize(
    ("report", "value"),
    [
        ("Dipped ten, gauge says fifteen.", "reads-high"),
        ("Gauge says ten, only fifteen by the stick.", "reads-low"),
        ("Gauge ten, dipped ten gallons.", "agree"),
        ("Dipped two tanks, gauge reads 10.", ""),
        ("Gauge says half, dipped ten.", ""),
        ("Dipped no. 2, gauge says full.", ""),
    ],
)
def test_figures_without_a_unit_are_held_against_each_other(report: str, value: str) -> None:
    """Who dips ten and reads fifteen means the same unit; a part of a tank is no figure."""
    found = [v for q, v in heard(report) if q == "contents-gauge"]
    assert found == ([value] if value else [])


def test_a_difference_dipped_is_no_level() -> None:
    """'A gallon less than the gauge' is not a gallon in the tank."""
    report = "Right tank dipped a gallon less than the gauge."
    assert heard(report) == [("contents-gauge", "reads-high")]
    assert heard("Right tank dipped a gallon.") == [("tank-dipped", "low")]


def test_a_gauge_held_against_a_tank_is_understood() -> None:
    """What was compared is not told as a name of which nothing was heard."""
    report = "Left gauge shows half, the tank is brimmed."
    assert not listened(report, bench(FOUR)).silent


@pytest.mark.parametrize(
    ("report", "question"),
    [
        ("Carburettor was bone dry when it was opened.", "tank-dipped"),
        ("Contents gauge circuit breaker had tripped.", "pump-breaker"),
        ("Fuel gauge breaker found popped.", "mixture-signs"),
    ],
)
def test_what_another_part_did_is_told_of_no_tank_pump_or_engine(
    report: str, question: str
) -> None:
    """A dry carburettor is no empty tank, and the breaker of a gauge no pump's."""
    assert question not in {q for q, _ in heard(report)}
