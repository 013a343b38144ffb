"""A case begun from a report: what is heard as lines of a file, what is left open as comments."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import CASES, bench
from session_kit import run

from diagnose.casebook import begun
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import load_case
from diagnose.model import Case

TOLD = sorted((CASES / "invented").glob("*.yaml"))


def _read(report: str, on: Bench, folder: Path) -> tuple[str, Case]:
    text = begun(report, on, "my-case", "own record")
    path = folder / "my-case.yaml"
    path.write_text(text, encoding="utf-8")
    return text, load_case(path, on.library, on.layout)


def test_what_is_heard_stands_beside_its_words(tmp_path: Path) -> None:
    """Findings, a figure as typed and the work told are lines of a case that can be read."""
    report = "Engine quit on the left tank in the climb, fuel pressure 2 psi. New hose last week."
    text, case = _read(report, bench("low-wing-single"), tmp_path)
    assert [(f.question, f.at, f.value) for f in case.findings] == [
        ("engine-behaviour", "engine", "stops"),
        ("fuel-pressure", "engine", "low"),
    ]
    assert all(f.state.settings["tank"] == "left-tank" for f in case.findings[:1])
    assert case.findings[1].typed == "2 psi"
    assert [(w.what, w.at) for w in case.before] == [("New hose last week", "hose")]
    assert "known-by: told}  # 'quit on'" in text


def test_a_place_nobody_named_stands_as_a_comment(tmp_path: Path) -> None:
    """What could be of either engine, or is denied, is no finding until a person says so."""
    report = "Fuel smell in the cabin. Lost power on one engine in the climb. Not out of fuel."
    text, case = _read(f"{report} Sky blue.", bench("low-wing-twin"), tmp_path)
    assert [f.question for f in case.findings] == ["fuel-smell"]
    assert "at: WHICH, value: [fades, stops], state: {stage: climb}" in text
    assert "# 'out of fuel' denied: see tank-dipped" in text
    assert "# not heard: 'sky blue'" in text


@pytest.mark.parametrize("path", TOLD[::12], ids=lambda p: p.stem)
def test_a_case_begun_from_a_told_report_can_be_read(path: Path, tmp_path: Path) -> None:
    """Whatever is heard in the reports of the invented jobs makes a case without a mistake."""
    told = next(line for line in path.read_text("utf-8").splitlines() if line.startswith("layout:"))
    on = bench(told.split()[1])
    reported = load_case(path, on.library, on.layout).reported
    _, case = _read(f"{reported} Fuel smell in the cabin.", on, tmp_path)
    assert case.layout == on.layout.id


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    """The command leaves a file alone that somebody may have put right already."""
    path = tmp_path / "mine.yaml"
    asked = ["cases", "begin", "--layout", "low-wing-single", "--report", "Quit in the climb."]
    assert run(*asked, "-o", str(path)).exit_code == 0
    before = path.read_text("utf-8")
    assert before.startswith("case: mine\n")
    again = run(*asked, "-o", str(path))
    assert isinstance(again.exception, UsageError)
    assert "is there already" in str(again.exception)
    assert path.read_text("utf-8") == before
