"""Taking a job over at the terminal: what is otherwise than handed over is heard and shown."""

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


def handed_over() -> str:
    """Return a job handed over by AB, with no smell of fuel told."""
    new("all", *[""] * 7, "pause")
    name = Registry().entries()[-1].id
    run("job", "handover", name, "--by", "AB")
    return name


def test_a_smell_found_at_the_handover_is_an_answer_and_stands_where_the_job_goes_on() -> None:
    """'No CD smell of fuel outside' is not filed away: it is taken, and told to whoever resumes."""
    name = handed_over()
    lines = len(events("handed-over")[-1]["lines"])
    typed = ["no CD there is a smell of fuel outside", "all", *["CD"] * (lines - 1)]
    shown = run("job", "handover", name, "--confirm", typed=typed).output
    assert "Otherwise than handed over:" in shown
    assert "All lines confirmed" not in shown
    told = events("answered")[-1]["finding"]
    assert (told["question"], told["value"]) == ("fuel-smell", "outside")
    again = " ".join(run("job", "resume", name).output.split())
    assert "-- there is a smell of fuel outside" in again
    assert "STOP: If an engine runs" in again


def test_initials_are_no_word_for_the_next_person() -> None:
    """'hand over AB' left 'beware: AB' behind; now it says how a handover is signed."""
    shown = new("all", *[""] * 7, "hand over AB", "pause").output
    assert "'AB' tells the next person nothing" in shown
    assert events("note") == []
