"""What of a report, or of words added to it, is taken: once, with its place, and nothing lost."""

from __future__ import annotations

import pytest
from session_kit import answered, events, new


def test_what_was_not_taken_of_the_report_is_not_offered_again() -> None:
    """'back' brings back what it took away, not the whole report with its questions."""
    report = "Stopped on the approach, then ran rough on the approach. No smell of fuel."
    result = new("1", "back", "all", "pause", layout="high-wing-single", report=report)
    first, second = result.output.split("taken back: ")
    assert first.count("Take which?") == 1
    offered = second.partition("Take which?")[0]
    assert "stops, or loses all power suddenly" in offered
    assert "rough" not in offered


@pytest.mark.parametrize(("typed", "at"), [("both", 2), ("1", 1)])
def test_what_was_done_at_each_tank_is_said_with_one_word(typed: str, at: int) -> None:
    """A pilot drains both; 'one of them, not known which' would be another thing."""
    report = "Stopped on the approach. Drain sample clean."
    new("all", typed, "pause", layout="high-wing-single", report=report)
    drained = answered()
    drained = [f for f in drained if f["question"] == "tank-drain-sample"]
    assert len(drained) == at
    assert {f["at"] for f in drained} <= {"left-tank", "right-tank"}


def test_a_state_not_known_loses_no_finding_that_is_added() -> None:
    """Enter says that nobody knows when it was; what was seen is asked for and kept."""
    typed = ["none", "no", "", "", "add", "fuel in the engine bay"]
    new(*typed, "", "damp", "pause", layout="low-wing-single", report="It sputtered.")
    added = [f["value"] for f in answered()]
    assert added == ["damp"]


def test_a_check_is_added_by_the_words_of_its_title() -> None:
    """'Rock the wings and drain, left' is not heard as a tank that drains."""
    report = "Stopped on the approach."
    added = new("1", "add rock wings and drain left", layout="high-wing-single", report=report)
    assert "CHECK: Rock the wings, wait and drain again  -- left tank" in added.output or (
        "Next: Rock the wings, wait and drain again, left tank" in added.output
    )


def test_what_is_said_in_other_words_is_heard_whole() -> None:
    """What was turned down of the report is offered again where it is said again in other words."""
    report = "Ran rough on the approach."
    again = "It was rough on the approach after all, and the wotsit came adrift."
    shown = new("none", again, "1", layout="high-wing-single", report=report).output
    after = shown.partition("in other words?")[2]
    assert "runs rough or misfires [approach]" in after
    assert "the wotsit came adrift" in after.partition("Take which?")[0].partition("Not under")[2]


def test_lines_in_a_row_are_taken_by_the_first_and_the_last() -> None:
    """'1-2' means both, as on any list."""
    report = "Stopped on the approach. Ran rough on the climb. No smell of fuel."
    new("1-2", "pause", layout="high-wing-single", report=report)
    assert len(events("answered")) == 2
    again = new("1-9", "1-2", "pause", layout="high-wing-single", report=report).output
    assert "numbers from 1 to" in again


@pytest.mark.parametrize("typed", ["1, 2", "1 and 2"])
def test_what_was_told_of_two_of_four_is_kept_at_both(typed: str) -> None:
    """Both pumps of a side are silent; '1 or 2' would be one of them, not known which."""
    report = "The electric pumps could not be heard at the walk-round."
    new("all", typed, "pause", layout="four-engine-float", report=report)
    silent = answered()
    at = [f["at"] for f in silent if f["question"] == "booster-noise"]
    assert at == ["port-middle-booster", "port-inner-booster"]


def test_what_is_said_of_a_side_is_asked_about_on_that_side_only() -> None:
    """'Both port pumps' is each of two; the starboard ones are not in question."""
    report = "Both port electric pumps could not be heard at the walk-round."
    shown = new("all", "both", "pause", layout="four-engine-float", report=report).output
    asked = shown.partition("at which?")[2].partition("at:")[0]
    assert "port inner" in asked
    assert "starboard" not in asked
    silent = [f["at"] for f in answered()]
    assert silent == ["port-middle-booster", "port-inner-booster"]
