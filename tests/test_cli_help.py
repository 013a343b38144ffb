"""The help: whoever knows no command yet finds the one he needs by the lists."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from typing import Any

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


def _commands(command: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, Any]]:
    for name, inner in getattr(command, "commands", {}).items():
        yield from _commands(inner, (*path, name))
    if not hasattr(command, "commands"):
        yield " ".join(path), command


COMMANDS = dict(_commands(typer.main.get_group(app)))


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_of_every_command_has_an_example_that_it_can_read(name: str) -> None:
    """Whoever types the example, with a job or file of his own, is not told that it is wrong."""
    command = COMMANDS[name]
    said = next(x for x in (command.help or "").split("\n\n") if f"diagnose {name}" in x)
    typed = shlex.split(" ".join(said.partition(f"diagnose {name}")[2].split()))
    given, left, _ = command.make_parser(typer.Context(command)).parse_args(typed)
    assert not left
    assert not [p.name for p in command.params if p.required and given.get(p.name) is None]
