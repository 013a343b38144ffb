"""Turns of speech of which no phrase tells: a name that comes late, a machine, what was no find."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from job.hearing.hearing_kit import SINGLE, heard, one

from diagnose.job.hearing.report_words import listened


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("Leaps about all over, the contents gauge.", ("contents-gauge", "erratic")),
        ("Swings about, the fuel pressure I mean.", ("fuel-pressure", "hunting")),
    ],
)
def test_a_name_that_comes_late_is_what_was_spoken_of(
    report: str, finding: tuple[str, str]
) -> None:
    """What was said before the name of a thing is said of it, where nothing else was named."""
    assert heard(report) == [finding]


def test_a_name_that_comes_late_takes_nothing_from_what_was_named_before() -> None:
    """'Engine died on finals, contents gauge' tells of the engine alone."""
    assert heard("Engine died on finals, contents gauge.") == [("engine-behaviour", "stops")]


def test_an_and_inside_a_phrase_of_a_group_cuts_no_clause() -> None:
    """'Back and forth' is one way of swinging, and no two things told."""
    report = "The needle goes back and forth on the fuel pressure."
    assert heard(report) == [("fuel-pressure", "hunting")]


@pytest.mark.parametrize("report", ["The gauge died.", "The dial stopped."])
def test_what_a_machine_does_is_done_by_no_engine(report: str) -> None:
    """A gauge that dies is no engine that stopped, whatever gauge it is."""
    assert not heard(report)


def test_the_aeroplane_that_stutters_is_its_engine() -> None:
    """People say 'the old aeroplane stuttered' of the engine."""
    assert heard("The old aeroplane stuttered.") == [("engine-behaviour", "rough")]


def test_a_cough_that_was_none_is_asked_about() -> None:
    """What may be one of several classes is denied like what is one."""
    cough = one("Not so much as a cough from the engine.", "engine-behaviour")
    assert (cough.value, cough.one_of, cough.negated) == ("", (), True)


def test_what_was_listened_for_is_asked_about() -> None:
    """'Listened for a whoosh' does not tell that one was heard."""
    assert one("Listened at the cap for a whoosh.", "cap-hiss").negated


def test_small_words_take_no_denial_away() -> None:
    """A 'not' reaches as far however many small words stand behind it."""
    assert one("Not with the lamp in the panel at all lit.", "pressure-lamp").value == ""


def test_a_cap_that_came_off_to_listen_was_not_found_missing() -> None:
    """A cap of which it is told how it came off was on."""
    assert heard("The cap came off and there was no sigh.") == [("cap-hiss", "none")]


def test_what_falls_steadily_is_not_steady() -> None:
    """'Steadily' says how a loss went on; by itself it tells of no engine that ran well."""
    assert heard("Engine dropped off steadily.") == [("engine-behaviour", "fades")]
    assert heard("Fuel pressure dropped off steadily.") == [("fuel-pressure", "low")]


@pytest.mark.parametrize(
    "report", ["Gauge went to nothing at the run-up.", "Left gauge reads half."]
)
def test_a_level_that_nothing_is_held_against_is_told_as_not_understood(report: str) -> None:
    """What a gauge showed says nothing without a stick, and is not passed over in silence."""
    assert [c.text for c in listened(report, bench(SINGLE)).silent]


def test_a_gauge_that_fell_while_the_engine_ran_is_none_that_falls_to_zero_at_rest() -> None:
    """'Fell to zero' is sound of a gauge at rest, and no reading of one at the run-up."""
    assert "gauge-at-rest" not in dict(heard("Pressure gauge fell to zero at the run-up."))
    assert heard("Gauge falls to zero after shut-down.") == [("gauge-at-rest", "zero")]
