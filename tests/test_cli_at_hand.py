"""What is at hand, said on one line: people, tools that are missing, ground power."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.cli.job.at_hand import people_and_tools, tools_of
from diagnose.errors import UsageError

SINGLE = "low-wing-single"


@pytest.mark.parametrize(
    ("typed", "people", "power"),
    [
        ("", 2, "not said"),
        ("1", 1, "not said"),
        ("3, ground power", 3, "no"),
        ("just me", 1, "not said"),
        ("two people, no ground power", 2, "no"),
    ],
)
def test_what_is_at_hand_is_said_on_one_line(typed: str, people: int, power: str) -> None:
    """Enter is two people and everything; ground power counts only when named as missing."""
    here = people_and_tools(typed, tools_of(bench(SINGLE)))
    assert here == {"tools": None, "hands": people, "ground_power": power}


def test_a_missing_tool_takes_out_every_check_that_needs_it() -> None:
    """'mirror' missing: no tool with that word is left, and the others are."""
    tools = tools_of(bench(SINGLE))
    left = people_and_tools("mirror", tools)["tools"]
    assert left
    assert not [t for t in left if "mirror" in t.split()]
    assert set(tools) - set(left) == {t for t in tools if "mirror" in t.split()}


def test_no_tools_takes_out_every_tool() -> None:
    """Whoever stands there with bare hands is offered nothing that needs a tool."""
    alone = people_and_tools("1, no tools", tools_of(bench(SINGLE)))
    assert (alone["hands"], alone["tools"]) == (1, [])


@pytest.mark.parametrize(("typed", "says"), [("mirorr", "Did you mean 'mirror'?"), ("0", "1 to 9")])
def test_a_tool_nobody_asks_for_is_told_with_the_nearest(typed: str, says: str) -> None:
    """A slip costs one line."""
    with pytest.raises(UsageError, match=says.replace("?", r"\?")):
        people_and_tools(typed, tools_of(bench(SINGLE)))
