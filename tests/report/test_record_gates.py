"""What the record says of each safety gate: known safe, or what blocks an engine run."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from report.record_kit import opened

from diagnose.job.job import Job
from diagnose.model import Finding, State
from diagnose.report import build


def gates(job: Job) -> list[dict[str, Any]]:
    """Return the rows of the gates."""
    return [dict(r) for s in build(job).sections if s.id == "gates" for r in s.rows]


def test_a_safe_answer_from_before_the_system_was_opened_does_not_open_a_gate(
    tmp_path: Path,
) -> None:
    """The record agrees with the gates themselves: a smell-free bay is smelt again after work."""
    job = opened(tmp_path)
    job.answer(Finding("fuel-smell", "aeroplane", "none", State(), "seen"))
    (before,) = [r for r in gates(job) if r.get("n")]
    assert before["status"] == "known safe"
    at = {"cause": "strainer-plugged", "place": "no2-strainer"}
    work = job.record("rectified", **at, what="cleaned")
    (after,) = [r for r in gates(job) if r.get("n")]
    assert after["status"] == f"known safe then; entry {work['n']} disturbed something since"
    assert any(r["question"] == "fuel-smell" and "n" not in r for r in gates(job))


def test_a_gate_says_that_it_blocks_until_it_is_answered_safe(tmp_path: Path) -> None:
    """A smell blocks a run; once there is none, the first answer says that it was answered since.

    What is safe and is smelt again is known safe no more.
    """
    job = opened(tmp_path)

    def said() -> list[str]:
        return [r["status"] for r in gates(job) if r.get("n")]

    job.answer(Finding("fuel-smell", "aeroplane", "outside", State(), "seen"))
    assert said() == ["blocks an engine run"]
    job.answer(Finding("fuel-smell", "aeroplane", "none", State(), "seen"))
    assert said() == ["answered safe since", "known safe"]
    job.answer(Finding("fuel-smell", "aeroplane", "outside", State(), "seen"))
    assert said() == [
        "blocks an engine run",
        "known safe then; answered otherwise since",
        "blocks an engine run",
    ]
