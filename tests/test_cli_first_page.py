"""The first page of a job at the terminal: the report heard, work told, taken up after a kill."""

from __future__ import annotations

from pathlib import Path

import pytest
from session_kit import events, new, run

from diagnose.job.keeping.registry import Registry


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep the jobs of each test in a folder of its own."""
    monkeypatch.setenv("DIAGNOSE_HOME", str(tmp_path))
    return tmp_path


def test_enter_takes_nothing_of_the_report_for_granted() -> None:
    """An empty line at the list of what was heard asks again: a whole report is not lost by it."""
    result = new("", "none", "pause")
    assert "Type all, none, or numbers from 1 to" in result.output
    assert "Before anything is touched" in result.output


def test_a_job_cut_off_on_its_first_page_shows_the_report_again() -> None:
    """Whoever resumes there reads what was reported before he is asked what of it is right."""
    new(report="It sputtered.", layout="low-wing-single")
    name = Registry().entries()[-1].id
    assert "Reported: It sputtered." in run("job", "resume", name).output


def test_work_told_in_the_report_is_offered_with_its_part() -> None:
    """The report's own 'strainer was cleaned' needs one 'yes', not to be typed again."""
    told = "The pressure is low on the run-up. The strainer was cleaned last week."
    new("all", "yes", "", "", layout="low-wing-single", report=told)
    assert [(e["what"], e["place"]) for e in events("work")] == [
        ("The strainer was cleaned last week", "strainer")
    ]
