"""Pages, JSON and drawings of ``diagnose fuel``, and what all of them promise."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from typer.testing import CliRunner, Result

from diagnose.cli.fuel import commands as fuel
from diagnose.cli.fuel.commands import app
from diagnose.cli.fuel.options import tell
from diagnose.errors import DiagnoseError
from diagnose.knowledge_files import list_layouts, load_layout

FILES = list_layouts(Path(__file__).parents[1] / "knowledge")
PSI = 6894.757293168361
FOOT = 0.3048
US_GALLON_HOUR = 3.785411784e-3 / 3600.0
COLOURS = {None, "none", "black", "white"}


def run(*arguments: str) -> Result:
    """Run ``diagnose fuel`` and return what it printed and left with."""
    return CliRunner().invoke(app, list(arguments))


def text(*arguments: str) -> str:
    """Return the page of a command that must succeed, each entry on one line."""
    result = run(*arguments, "--plain")
    assert result.exit_code == 0, result.exception
    return result.stdout


def data(*arguments: str) -> dict[str, Any]:
    """Return the JSON of a command that must succeed, and hold what all of them promise."""
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.exception
    body: dict[str, Any] = json.loads(result.stdout, parse_constant=pytest.fail)
    assert list(body)[:5] == ["schema_version", "command", "layout", "certifies", "assumptions"]
    assert body["certifies"] == "nothing"
    assert body["command"] == arguments[0]
    assert body["layout"]["id"] == arguments[1] or Path(arguments[1]).stem == body["layout"]["id"]
    assert body["layout"]["invented"] is True
    return body


def both(*arguments: str) -> tuple[str, dict[str, Any]]:
    """Return page and JSON of one command, worked out once: what is long need not run twice."""

    def twice(_: bool, *answer: Any) -> None:
        tell(False, *answer)
        tell(True, *answer)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fuel, "tell", twice)
        result = run(*arguments, "--plain")
    assert result.exit_code == 0, result.exception
    page, _, body = result.stdout.partition("\n{\n")
    return page + "\n", json.loads("{" + body, parse_constant=pytest.fail)


def refused(*arguments: str) -> DiagnoseError:
    """Return the error of a command that must be refused, told on one line."""
    error = run(*arguments).exception
    assert isinstance(error, DiagnoseError), error
    assert len(str(error).splitlines()) == 1
    return error


def says_what_it_is(page: str, layout: str) -> None:
    """Hold that a page names the layout, says 'invented' and that it certifies nothing."""
    assert page.splitlines()[0].startswith(f"{layout}: ")
    assert "INVENTED" in page
    assert "certifies nothing" in page
    assert "Rests on:" in page


def drawing(path: Path, layout: str) -> ElementTree.Element:
    """Return a drawing, held to be well formed, described in words and without colour."""
    root = ElementTree.parse(path).getroot()
    name = "{http://www.w3.org/2000/svg}"
    assert root.tag == f"{name}svg"
    assert root.get("role") == "img"
    title, description = root.find(f"{name}title"), root.find(f"{name}desc")
    assert title is not None
    assert title.text is not None
    assert layout in title.text
    assert description is not None
    assert len(description.text or "") > 20
    for element in root.iter():
        assert element.get("fill") in COLOURS
        assert element.get("stroke") in COLOURS
        assert element.get("style") is None
    words = " ".join(root.itertext())
    assert "INVENTED layout" in words
    assert "certifies nothing" in words
    assert "nan" not in words.lower().split()
    return root


def filled(layout: str, share: str) -> list[str]:
    """Return the options that set every tank's contents."""
    tanks = [p.id for p in load_layout(FILES[layout]).parts.values()
             if p.kind in ("tank", "header-tank")]  # fmt: skip
    return [x for t in tanks for x in ("--set", f"{t}={share}")]


def by_id(rows: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """Return rows by their id."""
    return {row["id"]: row for row in rows}
