"""Whose word stands behind each line that must be known before a run."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.errors import UsageError
from diagnose.job.day.before_run import answered_for, gate_words
from diagnose.job.wording import finding_lines
from diagnose.model import Finding, State


@pytest.mark.parametrize("typed", ["yes", "AB", "all", "all ok", "1: AB, 9: AB", "AB, 1: CD"])
def test_a_list_answered_by_nobody_is_asked_again(typed: str) -> None:
    """'Yes' to everything is nobody's word: all of it wants initials, or each its number."""
    with pytest.raises(UsageError):
        answered_for(typed, ["chocks", "fire guard"])


@pytest.mark.parametrize(
    ("typed", "by"),
    [
        ("all ab", {"chocks": "AB", "fire guard": "AB"}),
        ("2: CD, 1: AB", {"chocks": "AB", "fire guard": "CD"}),
        ("2: CD, 1: -", {"fire guard": "CD"}),
        ("no", {}),
        ("not checked", {}),
    ],
)
def test_each_line_before_a_run_is_answered_for_by_its_own_person(
    typed: str, by: dict[str, str]
) -> None:
    """One word and initials for all of it, or initials behind each number."""
    assert answered_for(typed, ["chocks", "fire guard"]) == by


def test_what_is_so_of_every_engine_is_said_of_all_of_them() -> None:
    """'All 4 engines' is read where four names with their places are not; two are named."""
    four, twin = bench("four-engine-injection"), bench("low-wing-twin")
    told = " ".join(gate_words(four, four.planner.catalogue.gates))
    assert "fuel in the engine bay, all 4 engines: dry" in told
    named = " ".join(gate_words(twin, twin.planner.catalogue.gates))
    assert "no. 1 engine (port) and no. 2 engine (starboard): dry" in named


def test_findings_that_say_the_same_of_like_places_are_one_line() -> None:
    """Four dry engines are one line; figures, and what differs, keep their own."""
    four = bench("four-engine-injection")
    dry = [Finding("engine-bay-leak", e, "dry", State("static")) for e in four.places.engines]
    wet = Finding("engine-bay-leak", "no1-engine", "damp", State("static"))
    read = [
        Finding("fuel-pressure", e, "normal", State("idle"), typed="16 psi")
        for e in four.places.engines[:2]
    ]
    assert len(finding_lines(four, [*dry, wet, *read])) == 4
    assert "all 4 engines: dry" in finding_lines(four, dry)[0]
    two = finding_lines(four, dry[:2])
    assert len(two) == 1
    assert "no. 1 engine (port outer); no. 2 engine (port inner): dry" in two[0]
