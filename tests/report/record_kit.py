"""Jobs whose record is looked at, and the rows of one."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from diagnosis.shipped import bench

from diagnose.job.job import Job
from diagnose.job.keeping.finding_data import finding_as_json
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
    job = opened(home, aeroplane="invented one", serial="S-17", hours="4012", wind="240/12 kn")
    typed = Finding(**{**PRESSURE.__dict__, "typed": "11 psi"})
    job.record("aeroplane-file", registration="X", edition="0", file="X.yaml", text="invented")
    job.record("complaint", text="smell as well", place="no2-engine")
    job.record("complaint-placed", of=1, place="no2-engine", time="14:32")
    job.record("split-off", complaint=1, job="2026-11-25-02", by="AN")
    job.record("merged", job="2026-11-25-03", by="AN")
    made = {"fields": {"reads": "1 ohm"}, "says": "1 ohm", "out_of_date": True}
    job.record("tested", test="bonding", place="no2-strainer", **made)
    watch = {"flights": 7, "chance": 0.9, "each": 0.3, "gauges": [], "notes": []}
    job.record("not-reproduced", condition="cold", **watch)
    job.record("work", what="strainer cleaned", place="no2-strainer")
    job.record("at-hand", tools=None, hands=2, may_run=True)
    first = job.answer(typed, note="needle shook")
    second = job.answer(Finding("fuel-smell", "aeroplane", "none", State(), "seen"))
    job.record("changed", of=first["n"], finding=finding_as_json(typed))
    job.record("withdrawn", of=second["n"])
    job.skip(job.bench.planner.catalogue.readings[0])
    job.keep_ranking(job.step())
    job.record("alike-shown", lines=[["demo-job (invented)", "strainer plugged", "3 alike"]])
    job.record("acknowledged", hazard="running-engine", text="as it was shown")
    job.record("confirmed", item="chocks fore and aft of the main wheels")
    job.record("run", readings=[])
    job.checked("inspect-strainer-element", "no2-strainer", "plugged", as_found="sludge")
    job.record("intervened", lost="draining")
    at = {"cause": "strainer-plugged", "place": "no2-strainer"}
    job.record("part-found", **at)
    job.record("rectified", **at, what="element changed", off="off-1", on="on-2")
    job.record("proof-waits")
    job.record("verified", gone=True)
    gear = {"kind": "test-gear", "what": "gauge fitted", "place": "no2-engine", "restore": "off"}
    fitted = job.record("disturbed", disturbs=[gear])
    job.record("restored", item=f"{fitted['n']}.1", by="AB")
    job.record("inspected", item=f"{fitted['n']}.1", by="CD")
    job.record("leak-checked", dry=True, by="AB")
    job.record("followed-up", item="root-question", text="tank lining", by="AB")
    job.record("watch-set", flights=2)
    job.record("flown", clear=True, by="EF", text="lamp out all the way")
    job.record("card", lines=[["1", "run-up-booster-off", "fuel-pressure", "no2-engine"]])
    job.record("handed-over", by="AB", lines=[["fitted", "gauge fitted"]])
    job.record("taken-over", line="fitted", by="CD", agreed=False, text="gauge is off")
    job.record("note", text="cold hands")
    job.step_back()
    job.record("first-page", left=0)
    job.record("stopped", reason="dark")
    job.record("resumed")
    job.record("paused")
    job.record("finished", outcome="confirmed")
    return job


def rows(job: Job, section: str) -> list[dict[str, Any]]:
    """Return the rows of a section as a machine reads them."""
    out: list[dict[str, Any]] = json.loads(render(job, "json"))["sections"][section]
    return out
