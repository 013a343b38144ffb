"""README and DEVELOPERS: what they show and name is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import typer
from diagnosis.shipped import KNOWLEDGE
from typer.testing import CliRunner

from diagnose.cli.main import app

ROOT = Path(__file__).parents[1]
TEXTS = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
RANKED = re.compile(r"  (likely|possible|unlikely) ")


def _block(text: str, after: str) -> list[str]:
    """Return the lines of the first fenced block behind ``after``."""
    return text.split(after)[1].split("```", 2)[1].splitlines()[1:]


def test_the_demo_job_in_the_readme_is_what_the_command_prints() -> None:
    """All but the day and what the ranking lists, which moves with the knowledge."""
    printed = CliRunner().invoke(app, ["job", "demo"]).output
    day = r"\d{4}-\d\d-\d\d-\d\d"
    lines = iter(re.sub(day, "", line).rstrip() for line in printed.splitlines())
    kept, listed = [], False
    for shown in _block(TEXTS["README.md"], "## A job, as it looks"):
        line = re.sub(day, "", shown).rstrip()
        listed = bool(RANKED.match(line)) or (listed and line.startswith("   "))
        if not listed and line != "...":
            kept.append(line)
    assert len(kept) > 25
    assert [line for line in kept if line not in lines] == []


def test_the_lines_of_a_layout_in_the_readme_stand_in_the_shipped_one() -> None:
    """They are of the layout that is to be copied, word for word and in its order."""
    shipped = (KNOWLEDGE / "layouts" / "high-wing-single.yaml").read_text(encoding="utf-8")
    lines = iter(shipped.splitlines())
    shown = _block(TEXTS["README.md"], "Lines of a shipped one")
    assert len(shown) > 10
    assert [line for line in shown if line not in lines] == []


@pytest.mark.parametrize("name", TEXTS)
def test_every_command_that_is_named_is_there(name: str) -> None:
    """A command that was renamed is renamed in the texts as well."""
    commands = typer.main.get_group(app).commands
    named = re.findall(r"diagnose ((?!-)[a-z-]+)(?: ([a-z][a-z-]+))?", _code(TEXTS[name]))
    assert len(named) > 5
    for one, other in named:
        assert one in commands, (one, other)
        within = getattr(commands[one], "commands", None)
        assert not other or within is None or other in within, (one, other)


def _code(text: str) -> str:
    """Return what is set as code in ``text``, a piece a line."""
    fenced = re.findall(r"^```[a-z]*\n(.*?)^```", text, re.M | re.S)
    indented = re.findall(r"^ {4,}diagnose .*$", text, re.M)
    return "\n".join([*fenced, *indented, *re.findall(r"`([^`]+)`", re.sub(r"```", "", text))])


def test_every_file_that_developers_names_is_there() -> None:
    """What was moved or renamed is so in the text as well."""
    there = [p.as_posix() for top in ("diagnose", "knowledge", "cases", "tests")
             for p in (ROOT / top).rglob("*.*") if "__pycache__" not in p.parts]  # fmt: skip
    named = set(re.findall(r"`([\w/.-]+\.(?:py|yaml))`", TEXTS["DEVELOPERS.md"]))
    assert len(named) > 50
    assert [n for n in sorted(named) if not any(p.endswith("/" + n) for p in there)] == []


@pytest.mark.parametrize("name", TEXTS)
def test_no_line_but_of_a_table_is_wider_than_120(name: str) -> None:
    """They are read in a terminal too."""
    wide = [line for line in TEXTS[name].splitlines() if len(line) > 120 and "|" not in line[:3]]
    assert wide == []
