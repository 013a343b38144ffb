"""Whose word stands behind each line that must be known before a run."""

from __future__ import annotations

import pytest

from diagnose.errors import UsageError
from diagnose.job.day.before_run import answered_for


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
