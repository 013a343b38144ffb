"""A figure told without its unit is asked about, never classed."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import hear

FOUR = "four-engine-injection"


@pytest.mark.parametrize(
    ("report", "words"),
    [
        ("Pressure reads four.", "pressure reads four"),
        ("Fuel pressure two and a half at run-up.", "fuel pressure 2.5"),
        ("Pressure 9 with the pump off.", "pressure 9"),
        ("Reading 4 on the pressure at the run-up.", "reading 4"),
    ],
)
def test_a_pressure_without_a_unit_is_asked_about(report: str, words: str) -> None:
    """The words with the bare figure lead to the pressure question, and answer nothing."""
    (said,) = hear(report, bench("low-wing-single"))
    assert (said.phrase, said.value, said.asks) == (words, "", ("fuel-pressure",))


@pytest.mark.parametrize(
    "report",
    ["The pressure was lost two minutes later.", "Pressure on no. 2 tank.", "Pressure fell twice."],
)
def test_a_number_of_something_else_is_no_pressure(report: str) -> None:
    """Minutes, tanks and times beside the word are not taken for what the gauge read."""
    said = hear(report, bench("low-wing-single"))
    assert not any(s.asks == ("fuel-pressure",) and not s.value for s in said)


def test_a_pressure_beside_a_lamp_is_the_fuels() -> None:
    """With its unit and no other system named only one thing can have been read."""
    said = hear(
        "Low press lamp no. 1 lit with 16 psi on the gauge.", bench("four-engine-injection")
    )
    assert {(s.question, s.value) for s in said} == {
        ("pressure-lamp", "lit"),
        ("fuel-pressure", "normal"),
    }


@pytest.mark.parametrize("report", ["35 psi in the tyres.", "The switch is set to 9 psi."])
def test_a_pressure_of_another_system_or_that_nobody_read_is_not_heard(report: str) -> None:
    """A tyre and a setting are no reading of the fuel."""
    assert hear(report, bench("low-wing-single")) == ()
