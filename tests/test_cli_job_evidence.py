"""``diagnose job --evidence``: kept in the job's log, used by whatever takes the job up."""

from __future__ import annotations

import json
from pathlib import Path

from session_kit import events, last, new, run

from diagnose.errors import UsageError
from diagnose.job.keeping.registry import Registry

NEW = ("job", "new", "--layout", "low-wing-single", "--report", "Fuel pressure low at run-up")
FIGURE = ["add fuel pressure gauge", "run-up, booster off", "9 psi"]


def opened() -> tuple[str, Path]:
    """Return the last job and its log."""
    name = last()
    return name, Registry().path(name)


def test_a_job_goes_on_with_the_evidence_it_was_begun_with() -> None:
    """Killed or paused, resume needs no flag; the screen and the record say what it rests on."""
    assert run(*NEW, "--evidence", "both", typed=["all", "pause"]).exit_code == 0
    name, log = opened()
    assert json.loads(log.read_text().splitlines()[0])["evidence"] == "both"
    log.write_text(log.read_text()[:-7])  # killed while the last line was written

    again = run("job", "resume", name, typed=["", "", *FIGURE, "why pump relief", "pause"])
    assert "Ranked on the knowledge and the fuel-system model together" in again.output
    assert "figure 9 psi:" in again.output
    assert " stated " in again.output
    record = json.loads(run("job", "report", name, "--format", "json").stdout)
    (row,) = [r for r in record["sections"]["job"] if r["key"] == "evidence"]
    assert "--evidence both" in row["value"]


def test_a_complaint_worked_apart_keeps_the_evidence() -> None:
    """The new job is ranked as the one it came from."""
    run(*NEW, "--evidence", "both", typed=["all", "pause"])
    first, kept = opened()
    run("job", "complaint", first, "--text", "Engine rough at idle", "--at", "engine")
    number = str(len(kept.read_text().splitlines()))
    made = run("job", "split", first, number, "--by", "AB")
    assert made.exit_code == 0, made.output
    second, log = opened()
    assert second != first
    assert json.loads(log.read_text().splitlines()[0])["evidence"] == "both"


def test_stated_is_the_default_and_what_older_logs_mean() -> None:
    """A log that says nothing of it was ranked on the knowledge alone, and is so still."""
    run(*NEW, typed=["all", "pause"])
    name, log = opened()
    assert '"evidence":"stated"' in log.read_text()
    log.write_text(log.read_text().replace('"evidence":"stated",', ""))
    again = run("job", "resume", name, typed=["pause"])
    assert again.exit_code == 0
    assert "Ranked on" not in again.output


def test_a_word_that_is_none_opens_no_job_and_a_damaged_one_is_told() -> None:
    """Neither is taken for the default in silence."""
    result = run(*NEW, "--evidence", "guess")
    assert isinstance(result.exception, UsageError)
    assert not Registry().entries()

    run(*NEW, typed=["all", "pause"])
    name, log = opened()
    log.write_text(log.read_text().replace('"evidence":"stated"', '"evidence":"guess"'))
    assert "'guess' for its 'evidence'" in str(run("job", "resume", name).exception)


def test_what_a_complaint_added_tells_is_taken_as_findings_where_somebody_says_so() -> None:
    """In the list of complaints alone its words would weigh nothing; that is said."""
    new(layout="low-wing-single", report="Engine rough at idle.")
    job = last()
    said = ("job", "complaint", job, "--at", "left gauge", "--text", "Left gauge jumps in turns")
    assert "Nothing of it is taken as a finding yet" in run(*said).output
    assert "Nothing found tells of complaint" in run("job", "complaints", job).output
    assert "Nothing of it is taken" not in run(*said, typed=["all"]).output
    assert "erratic" in {e["finding"]["value"] for e in events("answered")}
    assert "Nothing found tells of complaint" not in run("job", "complaints", job).output
