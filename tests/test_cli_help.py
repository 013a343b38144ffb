"""The help: whoever knows no command yet finds the one he needs by the lists."""

from __future__ import annotations

import pytest
import typer
from typer.testing import CliRunner

from diagnose.cli.main import app

GROUPS = ["", *sorted(
    name for name, command in typer.main.get_group(app).commands.items()
    if hasattr(command, "commands")
)]  # fmt: skip


def test_every_group_is_looked_at() -> None:
    """A group that was passed over would hold for nothing."""
    assert {"job", "chart", "exercise", "fuel"} <= set(GROUPS)


@pytest.mark.parametrize("group", GROUPS)
def test_no_line_in_a_list_of_commands_is_cut_short(group: str) -> None:
    """What a command does is said in so few words that they stand whole at 80 columns."""
    result = CliRunner().invoke(app, [*group.split(), "--help"], terminal_width=80)
    listed = result.output.split("\nCommands:\n")[1].split("\n\n")[0].splitlines()
    assert len(listed) > 3
    assert not [line for line in listed if line.endswith("...")]
    assert not [line for line in listed if line.startswith("   ")]
