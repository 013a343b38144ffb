"""Jobs whose record is looked at, and the rows of one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from diagnosis.shipped import bench
from job.job_kit import every_kind, open_job, tiny_bench

from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State
from diagnose.report import render

LAYOUT = "four-engine-injection"
RUN_UP = State("run-up", {"booster": "off"})
PRESSURE = Finding("fuel-pressure", "no2-engine", "low", RUN_UP, "read", number=75_842.33)


def opened(home: Path, **typed: Any) -> Job:
    """Return a job just opened."""
    return Job.open(Registry(home), bench(LAYOUT), "2026-11-25", "lost power", **typed)


def worked(home: Path) -> Job:
    """Return a job with every kind of event a log can hold."""
    told = {"aeroplane": "invented one", "serial": "S-17", "hours": "4012", "wind": "240/12 kn"}
    job = open_job(home / "jobs", tiny_bench(home), **told)
    every_kind(job)
    return job


def rows(job: Job, section: str) -> list[dict[str, Any]]:
    """Return the rows of a section as a machine reads them."""
    out: list[dict[str, Any]] = json.loads(render(job, "json"))["sections"][section]
    return out
