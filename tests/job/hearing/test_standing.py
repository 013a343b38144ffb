"""What is read of an engine that stands with a pump on is no reading of a run."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import hear

PRESSURES = ("booster-pressure", "booster-lamp", "fuel-pressure", "pressure-lamp")


def read(report: str, layout: str = "low-wing-single") -> list[tuple[str, str]]:
    """Return what ``report`` tells of gauge and lamp: question and class."""
    return [(s.question, s.value) for s in hear(report, bench(layout)) if s.question in PRESSURES]


@pytest.mark.parametrize(
    ("report", "told"),
    [
        ("With the booster on before start, no pressure.", ("booster-pressure", "none")),
        ("Static pressure nil.", ("booster-pressure", "none")),
        ("Static pressure low.", ("booster-pressure", "low")),
        ("Pump on before start, the needle only creeps up.", ("booster-pressure", "low")),
        ("Would not start. Booster on, pressure steady.", ("booster-pressure", "normal")),
        # the state told in two clauses, either first
        ("Booster on, engine off: full pressure.", ("booster-pressure", "normal")),
        ("Engine not turning, booster on: no pressure.", ("booster-pressure", "none")),
        # of the pressure, and not of what else the clause tells
        (
            "Before start with the pump on pressure good nothing leaks",
            ("booster-pressure", "normal"),
        ),
        ("Would not start. Pump on, pressure 1 psi.", ("booster-pressure", "low")),
        ("Would not start, pump on, lamp stays lit.", ("booster-lamp", "lit")),
        # a pump that is heard is on
        ("Won't fire. Pump's clicking away but there's no pressure.", ("booster-pressure", "none")),
    ],
)
def test_gauge_and_lamp_of_an_engine_that_stands_are_heard_of_the_pump(
    report: str, told: tuple[str, str]
) -> None:
    """Before a start, or where it will not start, a pump that is on makes the pressure."""
    assert read(report) == [told]


@pytest.mark.parametrize(
    "report",
    [
        "Engine started. Booster on, pressure low.",
        "Would not start. At the run-up next day with the booster on pressure low.",
        "Would not start. Started at once next day. Booster on, pressure low.",
        "Slow to start. Booster on, pressure low.",
        "Would not start. Idle next day was even. Booster on, pressure low.",
    ],
)
def test_what_is_read_once_it_runs_is_heard_of_the_run(report: str) -> None:
    """An engine that started or was run up stands no more."""
    assert read(report) == [("fuel-pressure", "low")]


def test_a_pump_that_makes_no_sound_is_not_taken_for_on() -> None:
    """Nothing heard of it does not tell that it was switched on."""
    assert ("booster-pressure", "none") not in read("Won't fire. Pump's silent but no pressure.")


def test_what_is_read_standing_without_a_pump_is_not_taken_for_the_pump() -> None:
    """Without a pump on there is no pressure to be read."""
    assert ("booster-pressure", "none") not in read("Before start no pressure.")
