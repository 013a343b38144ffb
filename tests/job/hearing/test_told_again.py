"""What one clause lends to the next: 'same', 'it', a side that names no gauge, what was tapped."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import listened

SINGLE, TWIN = "low-wing-single", "low-wing-twin"


def heard(layout: str, text: str) -> set[tuple[str, str, tuple[str, ...]]]:
    """Return what is heard with a class: question, class and places."""
    return {(s.question, s.value, s.places) for s in listened(text, bench(layout)).said if s.value}


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Left tank sample clean. Right tank same.", ("tank-drain-sample", "clean")),
        ("Left gauge reads full all day, right one the same.", ("contents-gauge", "pegged-full")),
    ],
)
def test_the_same_of_the_neighbour_is_what_was_told_just_before(
    text: str, told: tuple[str, str]
) -> None:
    """'Right tank same' says of the right tank what was said of the left, and no 'normal'."""
    assert heard(SINGLE, text) == {(*told, ("left-tank",)), (*told, ("right-tank",))}


def test_the_same_on_the_other_tank_is_what_the_engine_did_there() -> None:
    """An engine that cut on both tanks is told twice, each with the tank that fed."""
    said = listened("Engine cut on left tank. Right tank same.", bench(SINGLE)).said
    told = [(s.value, s.state.settings["tank"]) for s in said]
    assert told == [("stops", "left-tank"), ("stops", "right-tank")]


def test_the_same_as_before_repeats_nothing() -> None:
    """'Same as last week' names another time and no neighbour."""
    text = "Left tank sample clean. Right tank the same as last week."
    assert ("tank-drain-sample", "clean", ("right-tank",)) not in heard(SINGLE, text)


@pytest.mark.parametrize(
    "text",
    [
        "Right tank vent: fuel pouring out of it in the sun.",
        "The vent on the right wing was wet. Fuel pouring out of it.",
    ],
)
def test_what_pours_out_of_it_pours_out_of_the_vent_that_was_named(text: str) -> None:
    """No leak in the engine bay is heard of what runs from a vent."""
    questions = {q for q, _, _ in heard(SINGLE, text)}
    assert "vent-discharge" in questions
    assert "engine-bay-leak" not in questions


def test_a_gauge_of_a_side_alone_is_no_pressure_where_tanks_stand_there_too() -> None:
    """'Left gauge' of a twin is asked about: it may be that of a tank."""
    text = "Left gauge reads zero."
    assert "fuel-pressure" not in {q for q, _, _ in heard(TWIN, text)}
    assert ("fuel-pressure", "low", ("no1-engine",)) in heard(TWIN, "No. 1 gauge reads low.")


def test_what_came_good_when_a_thing_was_tapped_is_not_said_of_that_thing() -> None:
    """'Came good when the bowl was tapped' tells of no clean sample from the bowl."""
    told = heard(SINGLE, "Engine coughed, came good when the bowl was tapped.")
    assert "strainer-drain-sample" not in {q for q, _, _ in told}
    assert ("engine-behaviour", "normal", ("engine",)) in told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Can't kill it with the mixture.", ("cut-off-check", "runs-on")),
        ("Pressure soft in the climb.", ("fuel-pressure", "low")),
        ("Pressure lazy coming up after start.", ("gauge-movement", "slow")),
    ],
)
def test_old_hands_words_are_heard(text: str, told: tuple[str, str]) -> None:
    """Soft, lazy and not to be killed are said of pressure, of a gauge and of a cut-off."""
    assert heard(SINGLE, text) == {(*told, ("engine",))}


def test_the_same_of_a_side_is_told_of_the_tank_that_stands_there_alike() -> None:
    """'Starboard likewise' after the port main is the starboard main, and not the auxiliary."""
    told = heard(TWIN, "Port main dry, starboard likewise.")
    empty = [places for q, value, places in told if (q, value) == ("tank-dipped", "empty")]
    assert sorted(empty) == [("port-main-tank",), ("starboard-main-tank",)]


def test_what_drips_off_a_vent_drips_from_it() -> None:
    """'Off' is how many say 'from', and switches nothing off."""
    assert {q for q, _, _ in heard(TWIN, "Fuel dripping off port vent in the sun.")} == {
        "vent-discharge"
    }


def test_what_a_pump_sounds_like_is_said_of_no_engine() -> None:
    """A pump that sounds like a bag of nails makes no engine rough."""
    told = {q for q, _, _ in heard(SINGLE, "Pump sounds like a bag of nails.")}
    assert "engine-behaviour" not in told


def test_cold_at_the_head_of_a_clause_says_when() -> None:
    """'Cold she starts first time, hot she will not start': both starts keep their heat."""
    said = listened("Cold she starts first time, hot she will not start.", bench(SINGLE)).said
    told = {(s.value, s.state.settings.get("heat")) for s in said if s.question == "engine-start"}
    assert told == {("normal", "cool"), ("no-start", "hot")}
