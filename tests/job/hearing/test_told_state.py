"""The run state a report tells: stage, settings and tank, and to which clause they belong."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from job.hearing.hearing_kit import FOUR, SINGLE, heard, one

from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.told_state import state_told


def test_each_clause_keeps_its_own_state() -> None:
    """Two readings of one thing in two states are two findings."""
    found = hear("Pressure low at the run-up, boosters off. Steady pressure at idle", bench(FOUR))
    states = {s.value: (s.state.stage, dict(s.state.settings)) for s in found}
    assert states == {"low": ("run-up", {"booster": "off"}), "normal": ("idle", {})}


def test_the_tank_in_use_is_heard() -> None:
    """'On the left' is a state of the engine, not a place of its own."""
    found = one("Quit in the cruise on the left tank", "engine-behaviour")
    assert found.places == ("engine",)
    assert dict(found.state.settings) == {"tank": "left-tank"}


def test_a_tank_that_fed_is_not_what_was_said_to_be_fine() -> None:
    """'Fine on the right tank' goes on about the engine; no tank was looked into."""
    said = hear("Engine faded in the climb on left, fine on the right tank", bench(SINGLE))

    assert [(s.question, s.value, s.state.settings["tank"]) for s in said] == [
        ("engine-behaviour", "fades", "left-tank"),
        ("engine-behaviour", "normal", "right-tank"),
    ]


def test_a_neighbour_lends_no_stage_in_which_nothing_could_be_seen() -> None:
    """The lamp of an aeroplane that 'stood overnight' did not flicker while it stood."""
    report = "Port outer goes down stood overnight and number 2 lamp flickers"
    assert one(report, "pressure-lamp", FOUR).state.stage == ""
    assert one("Pressure low and the lamp lit at the run-up", "pressure-lamp").state.stage == (
        "run-up"
    )


def test_a_time_after_take_off_is_no_stage() -> None:
    """'20 min after take-off' may be climb or cruise; only 'after take-off' is take-off."""
    here = bench("low-wing-single")
    late = hear("Engine cut out on the right tank about 20 min after take off.", here)
    soon = hear("Engine cut out just after take-off.", here)
    assert [s.state.stage for s in late if s.question == "engine-behaviour"] == [""]
    assert [s.state.stage for s in soon if s.question == "engine-behaviour"] == ["take-off"]


def test_what_is_told_at_another_power_is_not_told_at_the_stage_before() -> None:
    """'Flickers at idle, goes out when I open up': the second is not at idle."""
    here = bench(FOUR)
    told = hear("No. 3 pressure lamp flickers at idle, goes out when I open up.", here)
    states = {s.value: s.state for s in told if s.question == "pressure-lamp"}
    assert states["flickering"].stage == "idle"
    assert states["out"].known() == {"power": "high"}


@pytest.mark.parametrize(
    ("words", "stage", "settings"),
    [
        ("cruise, right tank", "cruise", {"tank": "right-tank"}),
        ("climb with the boosters off", "climb", {"booster": "off"}),
        ("nonsense", "", {}),
    ],
)
def test_a_run_state_is_told_in_words(words: str, stage: str, settings: dict[str, str]) -> None:
    """What was seen in flight is no run state that can be set up on the ground."""
    state = state_told(words, bench("low-wing-single"), "engine-behaviour")
    assert (state.stage, dict(state.settings)) == (stage, settings)


def test_what_gets_better_with_power_is_told_of_that_power() -> None:
    """'Rough at idle, smooths out at higher power' is no contradiction at idle."""
    told = hear("Rough at idle, smooths out at higher power.", bench("low-wing-single"))
    states = {s.value: dict(s.state.known()) for s in told if s.question == "engine-behaviour"}
    assert states == {"rough": {"power": "low"}, "normal": {"power": "high"}}


@pytest.mark.parametrize(
    "report",
    [
        "No. 3 fuel warning lamp does not come on before start with the master on.",
        "Number 3 warning light not lit before start.",
    ],
)
def test_a_lamp_told_with_the_engine_stopped_is_no_lamp_of_a_running_engine(report: str) -> None:
    """What is seen of a running engine only gives way to what is seen standing."""
    assert heard(report, FOUR) == [("lamp-at-rest", "out")]


def test_what_is_seen_in_the_morning_is_seen_parked() -> None:
    """A vent that dripped by morning did so standing; an engine that is rough then runs."""
    assert one("The left tank vent dripped this morning.", "vent-discharge").state.stage == "parked"
    assert one("Rough at idle in the morning.", "engine-behaviour").state.stage == "idle"
    assert one("It was rough this morning.", "engine-behaviour").state.stage == ""
