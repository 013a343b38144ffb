"""The terminal session through pipes: a command with what is typed, and what the job then holds."""

from __future__ import annotations

import json
from typing import Any

from diagnosis.shipped import bench
from typer.testing import CliRunner, Result

from diagnose.cli.main import app
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding

REPORT = (
    "No 2 engine, pressure low and the warning lamp lit on the run-up, boosters off. "
    "No smell of fuel."
)
IN_THE_CABIN = REPORT.replace("No smell of fuel", "Smell of fuel in the cabin")


def run(*words: str, typed: list[str] | None = None) -> Result:
    """Run the command line with lines typed at its prompts."""
    return CliRunner().invoke(app, list(words), input="".join(f"{x}\n" for x in typed or []))


def as_json(*words: str) -> Any:
    """Return the one JSON object a command prints; it must end well."""
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    body = json.loads(result.stdout)
    assert next(iter(body)) == "schema_version"
    return body


LEFT_OUT = [""] * 9
"""Enter at every prompt of the first page: others, work, gate, those that tell most, at hand."""


def new(*typed: str, layout: str = "four-engine-injection", report: str = REPORT) -> Result:
    """Open a job and type lines until the input ends."""
    return run("job", "new", "--layout", layout, "--report", report, typed=list(typed))


def events(kind: str = "") -> list[dict[str, Any]]:
    """Return the events of the last job."""
    registry = Registry()
    path = registry.path(registry.entries()[-1].id)
    rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return [r for r in rows if not kind or r["event"] == kind]


def confirmed(layout: str, told: Finding, check: str, at: str, result: str) -> Job:
    """Return a job in which a check has confirmed what was told to be amiss."""
    job = Job.open(Registry(), bench(layout), "2026-11-25", "As it was reported.")
    job.answer(told)
    job.checked(check, at, result)
    return job


def transfer_pump_found() -> Job:
    """Return a job in which the right transfer pump moved nothing."""
    told = Finding("contents-trend-running", "right-tip-tank", "stays", known_by="told")
    pump = ("time-transfer", "right-transfer-pump", "nothing")
    return confirmed("low-wing-single-tip-tanks", told, *pump)
