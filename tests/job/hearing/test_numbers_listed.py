"""Engines and tanks told by a list of numbers."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.numbers_listed import each_by_number
from diagnose.job.hearing.report_words import hear

FOUR = "four-engine-injection"


@pytest.mark.parametrize(
    ("told", "each"),
    [
        ("nos 1, 2 and 4 rough", "no 1 and no 2 and no 4 rough"),
        ("numbers 3 and 4 rough", "no 3 and no 4 rough"),
        ("engines 1 and 2 surging, 3 and 4 fine", "no 1 and no 2 surging, no 3 and no 4 fine"),
        ("lamps lit on one and two.", "lamps lit on no 1 and no 2."),
        ("1 and 2 down on pressure", "no 1 and no 2 down on pressure"),
        ("no 1 or 2 lamp", "no 1 or no 2 lamp"),
        ("between 2 and 4 psi", "between 2 and 4 psi"),
        ("pressures 4 and 5", "pressures 4 and 5"),
        ("in 2 or 3 hours", "in 2 or 3 hours"),
    ],
)
def test_a_list_of_numbers_is_each_of_them_and_a_list_of_figures_stands(
    told: str, each: str
) -> None:
    """What is said of a list is said of every engine in it; figures are no engines."""
    assert each_by_number(told) == each


@pytest.mark.parametrize(
    ("report", "told"),
    [
        ("Pressure low on nos. 1, 2 and 3.", {"low": (1, 2, 3)}),
        ("Engines 1 and 2 rough, 3 and 4 fine.", {"rough": (1, 2), "normal": (3, 4)}),
        ("Lamp flickering on no. 1 and no. 2 fine.", {"flickering": (1,), "out": (2,)}),
    ],
)
def test_what_is_told_before_a_list_is_of_all_of_it(
    report: str, told: dict[str, tuple[int, ...]]
) -> None:
    """A list behind what was told belongs to it, unless something is said of its own end."""
    found = {s.value: s.places for s in hear(report, bench(FOUR))}
    assert found == {v: tuple(f"no{n}-engine" for n in numbers) for v, numbers in told.items()}


def test_what_came_right_is_of_all_the_list_that_was_amiss() -> None:
    """'Steady' after a list of engines is said of each of them."""
    told = hear("Pressure low on 1 and 2. Boosters on, steady.", bench(FOUR))
    assert [s.places for s in told] == [("no1-engine", "no2-engine")] * 2
