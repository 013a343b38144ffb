"""The last part of a job at the terminal: mended with the cautions first, then verified."""

from __future__ import annotations

from pathlib import Path

import pytest
from session_kit import events, run

from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep the jobs of each test in a folder of its own."""
    monkeypatch.setenv("DIAGNOSE_HOME", str(tmp_path))
    return tmp_path


def repaired_without_a_run() -> str:
    """Return a job whose strainer was cleaned where no engine was to be run."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-single"), "2026-11-25", "Fades on the run-up.")
    job.answer(Finding("engine-behaviour", "engine", "fades", State("run-up"), "told"))
    job.record("at-hand", tools=None, hands=2, may_run=False)
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    return job.name


def test_no_verification_run_begins_where_no_engine_may_be_run() -> None:
    """It is asked again first; on no the job waits, and nothing of a run is confirmed."""
    result = run("job", "resume", repaired_without_a_run(), typed=["no"])
    assert "No engine was to be run here. May it be run now?" in result.output
    assert "the repair is not verified yet" in result.output
    assert "Before any engine run" not in result.output
    assert events()[-1]["event"] == "paused"


def test_the_cautions_of_the_verification_run_are_read_and_kept() -> None:
    """As before any other run: shown, acknowledged, in the record."""
    run("job", "resume", repaired_without_a_run(), typed=["yes", "read"])
    assert events("at-hand")[-1]["may_run"] is True
    kept = {e["hazard"] for e in events("acknowledged")}
    assert {"running-engine", "propeller-live"} <= kept


def test_the_cautions_of_mending_stand_before_the_words_that_mend() -> None:
    """A cock found stiff by hand alone is opened to be mended: what that calls for comes first."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-single"), "2026-11-25", "The cock is stiff.")
    cock = next(p for p in job.bench.layout.parts.values() if p.kind == "selector-cock").id
    job.checked("feel-cock", cock, "seized")
    shown = run("job", "resume", job.name, typed=["pause"]).output
    found, warned, mended = map(
        shown.find, ("A check confirms", "WARNING Open fuel part", "Rectify")
    )
    assert 0 <= found < warned < mended
    assert "WARNING Engine running" not in shown[found:mended]
