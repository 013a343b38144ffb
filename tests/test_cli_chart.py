"""``diagnose chart`` as a person types it: files, the screen, bad input in one line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from session_kit import run
from typer.testing import Result

from diagnose.errors import UsageError

SINGLE = "low-wing-single"


def chart(*arguments: str) -> Result:
    """Run ``diagnose chart`` in this process."""
    return run("chart", *arguments)


def test_a_card_goes_to_a_file_and_says_how_many_pages(tmp_path: Path) -> None:
    """The file is a whole HTML document; how many pages is told on stderr."""
    file = tmp_path / "card.html"
    done = chart("card", SINGLE, "strainer-plugged", "-o", str(file))
    assert done.exit_code == 0
    assert "1 page(s) of A4" in done.stderr
    assert done.stdout == ""
    html = file.read_text(encoding="utf-8")
    assert html.startswith("<!DOCTYPE html>")
    assert "main strainer element plugged" in html
    assert "http" not in html  # nothing is loaded from anywhere


def test_a_drawing_without_a_file_goes_to_the_screen() -> None:
    """Results go to stdout, so that they can be piped."""
    done = chart("drawing", SINGLE, "--format", "svg")
    assert done.exit_code == 0
    assert done.stdout.startswith("<svg")


def test_a_decision_chart_comes_as_sheets_as_a_map_and_as_data(tmp_path: Path) -> None:
    """The three forms have the same steps."""
    start = "cock-leaks-in-cabin@selector"
    sheets, drawn = tmp_path / "chart.html", tmp_path / "map.svg"
    asked = ("decision", SINGLE, start, "--paper", "a4")
    assert chart(*asked, "-o", str(sheets)).exit_code == 0
    assert chart(*asked, "--format", "svg", "-o", str(drawn)).exit_code == 0
    told = json.loads(chart(*asked, "--json").stdout)
    assert next(iter(told)) == "schema_version"
    assert told["review"] == "UNREVIEWED"
    html = sheets.read_text(encoding="utf-8")
    for step in told["steps"]:
        assert f'id="step-{step["step"]}"' in html
    svg = drawn.read_text(encoding="utf-8")
    assert "FOUND gland or body of the cock leaks outward" in " ".join(svg.split("</text>"))


def test_starts_lists_what_a_chart_can_be_asked_for() -> None:
    """Each listed start is one that ``decision`` takes."""
    told = json.loads(chart("starts", SINGLE, "--json").stdout)["starts"]
    names = {s["start"] for s in told}
    assert {"booster-restores@engine", "fuel-pressure=low@engine"} <= names


def test_a_table_can_be_about_one_thing(tmp_path: Path) -> None:
    """What is not asked about is not in it."""
    told = json.loads(chart("table", SINGLE, "--about", "pump-drain-wet", "--json").stdout)
    assert [e["start"] for e in told["findings"]] == ["pump-drain-wet=wet@engine"]
    assert told["symptoms"] == []
    file = tmp_path / "table.html"
    assert chart("table", SINGLE, "--about", "pump-drain-wet", "-o", str(file)).exit_code == 0
    assert "strainer drain" not in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("card", SINGLE, "strainer-pluged"), "did you mean 'strainer-plugged'"),
        (("card", "low-wing-singel", "strainer-plugged"), "did you mean 'low-wing-single'"),
        (("decision", SINGLE, "booster-restore"), "did you mean 'booster-restores'"),
        (("drawing", SINGLE, "-o", "no-such-folder/drawing.html"), "cannot be written"),
        (("table", SINGLE, "--about", "nonsense"), "nothing about nonsense"),
        (("card", SINGLE, "nonsense"), "'diagnose words causes' lists them"),
        (("decision", SINGLE, "fuel-pressure=low", "--state", "hot"), "There are: static, "),
    ],
)
def test_bad_input_gets_one_line(arguments: tuple[str, ...], told: str) -> None:
    """What is wrong, what was meant; never a traceback."""
    done = chart(*arguments)
    assert isinstance(done.exception, UsageError)
    assert told in str(done.exception)


def test_a_pdf_without_its_library_tells_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The extra is named, and that a browser prints the same pages."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    file = tmp_path / "card.pdf"
    done = chart("card", SINGLE, "strainer-plugged", "--format", "pdf", "-o", str(file))
    assert isinstance(done.exception, UsageError)
    assert "[pdf]" in str(done.exception)
    assert "browser" in str(done.exception)
    assert not file.exists()


def test_the_sets_of_two_layouts_lie_in_one_folder(tmp_path: Path) -> None:
    """Each file is named for its layout; the second set overwrites nothing of the first."""
    layouts = ("header-biplane", "high-wing-single")
    for layout in layouts:
        assert chart("set", layout, "-o", str(tmp_path)).exit_code == 0
    made = {x.name for x in tmp_path.iterdir()}
    files = ("drawing.svg", "drawing.html", "cards.html", "table.html")
    assert made == {f"{layout}-{file}" for layout in layouts for file in files}


@pytest.mark.outside
def test_the_line_budget_holds_for_a_real_page_maker(tmp_path: Path) -> None:
    """WeasyPrint lays out exactly the pages the budget reckons with (skipped without it)."""
    weasyprint = pytest.importorskip("weasyprint")
    files = [tmp_path / name for name in ("cards.html", "chart.html", "drawing.html")]
    chart("card", SINGLE, "strainer-plugged", "water-in-fuel", "-o", str(files[0]))
    start = "cock-leaks-in-cabin@selector"
    chart("decision", SINGLE, start, "--paper", "a4", "-o", str(files[1]))
    chart("drawing", "four-engine-injection", "-o", str(files[2]))
    for file in files:
        html = file.read_text(encoding="utf-8")
        made = weasyprint.HTML(string=html).render()
        assert len(made.pages) == html.count('<section class="sheet">')


def test_help_begins_with_an_example() -> None:
    """Who types --help sees what to type."""
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "chart", "--help"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert "diagnose chart table low-wing-single" in done.stdout
