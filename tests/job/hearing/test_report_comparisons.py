"""What a report compares or gives as a range is not taken for the thing it is compared with."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import hear


def told(layout: str, report: str, question: str) -> set[str]:
    """Return the classes of ``question`` that a report is heard to tell."""
    return {s.value for s in hear(report, bench(layout)) if s.question == question}


@pytest.mark.parametrize(
    ("report", "value"),
    [
        ("In the cruise the fuel flow shows more than usual.", "high"),
        ("In the cruise the fuel flow meter shows less than usual.", "low"),
    ],
)
def test_more_than_usual_is_not_as_usual(report: str, value: str) -> None:
    """The word behind 'than' says what it was not."""
    assert told("low-wing-single-injected", report, "flow-indication") == {value}


def test_the_ends_of_a_swing_are_no_reading_of_their_own() -> None:
    """'Between 2 and 5 psi' does not tell a pressure in the band."""
    report = "In the climb the fuel pressure was flicking between 2 and 5 psi."
    assert told("low-wing-single", report, "fuel-pressure") == {"hunting"}
    assert told(
        "low-wing-single", "In the climb the fuel pressure was 5 psi.", "fuel-pressure"
    ) == {"normal"}
