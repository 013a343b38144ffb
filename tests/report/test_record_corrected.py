"""What was corrected, withdrawn or stepped back from, as the record has it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from report.record_kit import PRESSURE, opened, rows

from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.model import Finding, State


def test_a_corrected_entry_stays_and_says_what_became_of_it(tmp_path: Path) -> None:
    """Changed, withdrawn and taken-back entries are shown as such, beside their corrections."""
    job = opened(tmp_path)
    first, second = (job.answer(replace(PRESSURE, at=f"no{n}-engine"))["n"] for n in (1, 2))
    change = job.record("changed", of=first, finding=finding_as_json(PRESSURE))["n"]
    withdrawal = job.record("withdrawn", of=second)["n"]
    note = job.record("note", text="cold hands")["n"]
    job.step_back()
    status = {r["n"]: r["status"] for r in rows(job, "log")}
    assert status[first] == f"changed by entry {change}"
    assert status[second] == f"withdrawn by entry {withdrawal}"
    assert status[note] == f"taken back by entry {note + 1}"
    assert status[change] == f"stands, instead of entry {first}"


def test_work_taken_away_stays_in_the_record_and_says_so(tmp_path: Path) -> None:
    """It stands with the work, not with what was found, which it never was."""
    job = opened(tmp_path)
    told = job.record("work", what="strainer cleaned", place="no2-strainer")
    gone = job.record("withdrawn", of=told["n"])
    assert [(r["what"], r["status"]) for r in rows(job, "work")] == [
        ("strainer cleaned", f"withdrawn by entry {gone['n']}"),
        (f"withdraws entry {told['n']}", "stands"),
    ]
    assert not rows(job, "findings")


def test_a_rectification_taken_back_does_not_stand_in_the_record(tmp_path: Path) -> None:
    """What was entered by mistake is not read as work done."""
    job = opened(tmp_path)
    job.record("rectified", cause="strainer-plugged", place="no2-strainer", what="cleaned")
    job.step_back()
    (row,) = [r for r in rows(job, "rectification") if r["event"] == "rectified"]
    assert row["status"] == "taken back by entry 3"


def test_a_correction_stepped_back_from_lets_the_first_answer_stand(tmp_path: Path) -> None:
    """Stepping back from a change restores what was changed."""
    job = opened(tmp_path)
    first = job.answer(PRESSURE)
    job.record("changed", of=first["n"], finding=finding_as_json(PRESSURE))
    job.step_back()
    assert [r["status"] for r in rows(job, "findings")] == ["stands", "taken back by entry 4"]


def test_what_the_rules_concluded_before_a_repair_says_so_once_it_is_mended(tmp_path: Path) -> None:
    """A finished record tells no cock that passes, no gauge that hides an empty tank, as of now."""
    job = opened(tmp_path)
    job.answer(Finding("cock-shut-test", "no2-shut-off-cock", "passes", State("static"), "told"))
    assert {r["verdict"] for r in rows(job, "rules")} == {"caution", "true"}
    job.record("rectified", cause="engine-pump-worn", place="no2-engine-pump", what="changed")
    earlier = ", by what was seen before the last repair"
    assert {r["verdict"] for r in rows(job, "rules")} == {f"caution{earlier}", f"true{earlier}"}
