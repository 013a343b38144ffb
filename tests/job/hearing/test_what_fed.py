"""Which tank fed while something happened, as a report tells it before, with or after it."""

from __future__ import annotations

import pytest
from job.hearing.hearing_kit import told

SINGLE, TIPS, FOUR = "low-wing-single", "low-wing-single-tip-tanks", "four-engine-float"
TWIN = "low-wing-twin"


def tanks(report: str, layout: str = SINGLE) -> dict[str, str]:
    """Return by what the engine did the tank that fed, '' for none."""
    return {
        s.value: s.state.settings.get("tank", "") for s in told(report, layout, "engine-behaviour")
    }


@pytest.mark.parametrize(
    ("report", "told"),
    [
        ("Engine cut at 2000 ft. Changed to right; caught after about fifteen seconds.",
         {"stops": "", "normal": "right-tank"}),
        ("Engine stopped in the cruise, selector on right. Switched to left. It picked up.",
         {"stops": "right-tank", "normal": "left-tank"}),
        ("Switched to the left tank. Two minutes later the engine died. On the ground it ran well.",
         {"stops": "left-tank", "normal": ""}),
        ("Engine cut at 2000 ft, left tank in use.", {"stops": "left-tank"}),
        ("Normal run-up on the left tank.", {"normal": "left-tank"}),
    ],
)  # fmt: skip
def test_a_tank_that_was_changed_to_fed_only_after_the_change(
    report: str, told: dict[str, str]
) -> None:
    """What came before a change is of no tank it tells; what comes next is, and no more."""
    assert tanks(report) == told


def test_a_change_to_one_of_several_tanks_leaves_it_open_which_fed() -> None:
    """'Back to port' of a main and an auxiliary is not taken for the tank before it."""
    report = "Port engine on starboard main and it lost power; back to port, it caught."
    assert tanks(report, TWIN)["normal"] == ""
    # of a main and a tip tank that only gives its fuel to it, it can be but one
    report = "Changed from left main to right main and it lost power; back to left, it caught."
    assert tanks(report, TIPS) == {"fades": "right-main-tank", "normal": "left-main-tank"}


@pytest.mark.parametrize(
    "report",
    [
        "Fades on right, left is fine.",
        "Fades on right, not on left.",
        "Fades on right, not on the left.",
    ],
)
def test_the_other_tank_is_heard_as_the_one_on_which_a_single_engine_ran_well(report: str) -> None:
    """Of tanks that fed one engine, the one named after is the one that fed then."""
    assert tanks(report) == {"fades": "right-tank", "normal": "left-tank"}


@pytest.mark.parametrize(
    "report",
    [
        "Nos. 3 and 4 faded on no. 5 tank.",
        "Nos. 3 and 4 both faded together on the starboard middle tank.",
        "Starboard side was put on cross-feed: nos. 3 and 4 faded after a minute.",
    ],
)
def test_a_number_of_engine_and_tank_is_the_engine_that_did_what_only_engines_do(
    report: str,
) -> None:
    """Where engines and tanks bear the same numbers, 'no. 4 faded' is said of the engine."""
    assert [s.places for s in told(report, FOUR, "engine-behaviour")] == [
        ("no3-engine", "no4-engine")
    ]


def test_such_a_number_is_no_engine_where_nothing_is_said_of_one() -> None:
    """'No. 4 full' tells nothing of an engine."""
    assert not tanks("No. 4 full, no. 3 low.", FOUR)


@pytest.mark.parametrize(
    ("report", "told"),
    [
        ("Right engine faded on the aux, back on the main it ran sweet.",
         {"fades": "starboard-aux-tank", "normal": "starboard-main-tank"}),
        ("Engine faded on the aux tank.", {"fades": ""}),
        ("Both engines faded on the aux tanks.", {"fades": ""}),
    ],
)  # fmt: skip
def test_a_tank_that_each_side_has_is_the_one_of_the_engine_spoken_of(
    report: str, told: dict[str, str]
) -> None:
    """'On the aux' names no side; the engine that ran on it does, where it is one."""
    assert tanks(report, "low-wing-twin") == told


@pytest.mark.parametrize(
    "report",
    [
        "Outer tank no. 1 will not transfer into no. 2.",
        "No. 1 tank will not transfer to the port middle tank.",
        "No. 1 tank does not transfer into the port middle.",
    ],
)
def test_the_tank_that_another_transfers_into_is_not_the_one_told_of(report: str) -> None:
    """What does not move is the tank it should come from; the other may well go on falling."""
    said = told(report, FOUR, "contents-trend-running")
    assert [(s.places, s.value) for s in said] == [(("port-outer-tank",), "stays")]
