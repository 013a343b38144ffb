"""The terminal session through pipes: a command with what is typed, and what the job then holds."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from unittest.mock import patch

from diagnosis.shipped import bench
from typer.testing import CliRunner, Result

from diagnose.cli.main import app
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding

REPORT = (
    "No 2 engine, pressure low and the warning lamp lit on the run-up, boosters off. "
    "No smell of fuel."
)
IN_THE_CABIN = REPORT.replace("No smell of fuel", "Smell of fuel in the cabin")


@dataclass(frozen=True)
class Until:
    """The same line, Enter alone or another, at every prompt before the one that says ``words``."""

    words: str
    line: str = ""


Typed = str | Until
"""One line typed, or one typed at however many prompts come before what is meant."""

AT_HAND = Until("What is here?")
"""Enter at every prompt of the first page before the last: others, work, gates, what tells most."""

LEFT_OUT = (AT_HAND, "")
"""Enter at every prompt of the first page."""

MOST_PROMPTS = 100


class Person:
    """Stands in for ``sys`` at the prompts: types what was planned at what the screen shows."""

    def __init__(self, typed: Sequence[Typed]) -> None:
        self.stdin = self
        self._left = list(typed)
        self._read = 0
        self._patience = MOST_PROMPTS

    @property
    def stdout(self) -> Any:
        """Return the screen as it is now."""
        return sys.stdout

    def isatty(self) -> bool:
        """Return that it is a pipe."""
        return False

    def readline(self) -> str:
        """Return the line typed at the prompt on the screen, '' at the end."""
        shown = self.stdout.buffer.getvalue().decode()
        new, self._read = shown[self._read :], len(shown)
        while self._left and isinstance(wait := self._left[0], Until):
            if wait.words not in new:
                self._patience -= 1
                assert self._patience, f"never asked: {wait.words}; the last was: {new}"
                return f"{wait.line}\n"
            self._left.pop(0)
        return f"{self._left.pop(0)}\n" if self._left else ""


def run(*words: str, typed: Sequence[Typed] = ()) -> Result:
    """Run the command line with lines typed at its prompts."""
    if not any(isinstance(x, Until) for x in typed):
        return CliRunner().invoke(app, list(words), input="".join(f"{x}\n" for x in typed))
    with patch("diagnose.cli.job.talk.sys", Person(typed)):
        result = CliRunner().invoke(app, list(words))
    if isinstance(result.exception, AssertionError):
        raise result.exception
    return result


def as_json(*words: str) -> Any:
    """Return the one JSON object a command prints; it must end well."""
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    body = json.loads(result.stdout)
    assert next(iter(body)) == "schema_version"
    return body


def new(*typed: Typed, layout: str = "four-engine-injection", report: str = REPORT) -> Result:
    """Open a job and type lines until the input ends."""
    return run("job", "new", "--layout", layout, "--report", report, typed=typed)


def last() -> str:
    """Return the name of the last job."""
    return Registry().entries()[-1].id


def resumed(job: Job | str, *typed: Typed) -> str:
    """Take a job up again, type lines until the input ends, and return what is shown."""
    name = job if isinstance(job, str) else job.name
    return run("job", "resume", name, typed=typed).output


def again(job: Job) -> Job:
    """Return the job as it stands on disk."""
    return Job(job.name, JobLog(job.log.path), job.bench, job.registry)


def events(kind: str = "") -> list[dict[str, Any]]:
    """Return the events of the last job."""
    path = Registry().path(last())
    rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return [r for r in rows if not kind or r["event"] == kind]


def answered() -> list[dict[str, Any]]:
    """Return the findings answered in the last job."""
    return [e["finding"] for e in events("answered")]


def a_job(layout: str, *told: Finding, report: str = "As it was reported.") -> Job:
    """Open a job in which that was told."""
    job = Job.open(Registry(), bench(layout), "2026-11-25", report)
    for f in told:
        job.answer(f)
    return job


def confirmed(layout: str, told: Finding, check: str, at: str, result: str) -> Job:
    """Return a job in which a check has confirmed what was told to be amiss."""
    job = a_job(layout, told)
    job.checked(check, at, result)
    return job


def transfer_pump_found() -> Job:
    """Return a job in which the right transfer pump moved nothing."""
    told = Finding("contents-trend-running", "right-tip-tank", "stays", known_by="told")
    pump = ("time-transfer", "right-transfer-pump", "nothing")
    return confirmed("low-wing-single-tip-tanks", told, *pump)
