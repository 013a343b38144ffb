"""A job on the tiny invented layout, and its log as plain lines, for the tests of jobs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tiny_library import RUNNING_ENGINE, tiny_library

from diagnose.job.day.closeout import disturb
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import still_open
from diagnose.job.job import Job
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.knowledge_files import load_layout
from diagnose.model import Finding, State

DAY = "2026-11-25"

PRESSURE_LOW = Finding(
    "fuel-pressure",
    "engine",
    "low",
    State("run-up", {"booster": "off"}),
    known_by="read",
    number=17237.0,
    typed="2.5 psi",
)
SMELL_NONE = Finding("fuel-smell", "aeroplane", "none")
FADES = Finding("engine-behaviour", "engine", "fades", State("take-off"), known_by="told")


def tiny_bench(folder: Path) -> Bench:
    """Return the tiny layout compiled on the tiny library, written under ``folder``."""
    # the verification run tells this caution, so knowledge a job is finished with has it
    propeller = RUNNING_ENGINE.replace("running-engine", "propeller-live")
    library = tiny_library(folder, {"hazards/propeller-live.yaml": propeller})
    return Bench(library, load_layout(folder / "knowledge" / "layouts" / "tiny-single.yaml"))


def open_job(home: Path, bench: Bench, **typed: Any) -> Job:
    """Open a job for an invented report."""
    return Job.open(Registry(home), bench, DAY, "Power faded at take-off.", **typed)


def opened_up(home: Path, bench: Bench) -> Job:
    """Return a job whose strainer was opened, with a panel off by hand."""
    job = open_job(home, bench)
    job.answer(PRESSURE_LOW)
    disturb(job, "line", "strainer opened", "strainer", "new seal, locked")
    disturb(job, "panel", "cowling off", "engine")
    return job


def all_safe(job: Job) -> None:
    """Answer every gate that is open as safe."""
    for g in still_open(job.bench, job.state.findings, job.log.events):
        safe = job.bench.library.questions[g.question].gate
        job.answer(Finding(g.question, g.place, safe, g.state, "seen"), g)


def again(job: Job, bench: Bench | None = None) -> Job:
    """Return the job as a later session takes it up from its log."""
    return Job(job.name, JobLog(job.log.path), bench or job.bench, job.registry)


def every_kind(job: Job) -> None:
    """Record one event of every kind a session records, in an order a session could."""
    job.record(
        "aeroplane-file",
        registration="X-ONE",
        edition="0",
        file="X-ONE.yaml",
        text="aeroplane: X-ONE\nlayout: tiny-single\ninvented: yes\n",
    )
    job.record("at-hand", tools=None, hands=1, may_run=True)
    job.record("work", what="repainted", place="aeroplane")
    job.answer(FADES)
    first = job.answer(PRESSURE_LOW, note="needle steady – held 30 s")
    job.record("changed", of=first["n"], finding=finding_as_json(SMELL_NONE))
    job.record("withdrawn", of=first["n"])
    job.record("acknowledged", hazard="open-fuel-part", text="Keep power off.")
    job.record("confirmed", item="chocks fore and aft of the main wheels")
    job.record("run", readings=[["fuel-pressure", "engine", "run-up-off"]])
    job.record("not-checked", reading=["fuel-smell", "aeroplane", ""])
    job.skip_check("test-gauge", "pressure-gauge")
    job.checked("inspect-strainer", "strainer", "plugged", "seen", "full of dirt", "clean")
    ranked = {"rank": 1, "cause": "strainer-plugged", "at": "strainer", "probability": 0.9}
    job.record("ranked", ranking=[{**ranked, "word": "likely"}])
    job.record("alike-shown", lines=[["tiny-1 (invented)", "strainer plugged", "2 alike"]])
    job.record("part-found", cause="strainer-plugged", place="strainer")
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    job.record("intervened", what="refuelled", place="left-tank", lost="refuelling")
    tank = {"kind": "tank", "what": "drained to 2 imp gal", "place": "left-tank"}
    opened = job.record("disturbed", disturbs=[{**tank, "restore": "refuelled"}])
    job.record("restored", item=f"{opened['n']}.1", by="AB")
    job.record("inspected", item=f"{opened['n']}.1", by="CD")
    job.record("leak-checked", dry=True, by="AB")
    job.record("followed-up", item="root-question", text="tank lining", by="AB")
    job.record("watch-set", flights=3)
    job.record("flown", clear=True, by="EF", text="no lamp")
    job.record("card", lines=[["1", "run-up-off", "fuel-pressure", "engine"]])
    job.record("handed-over", by="AB", lines=[["open 7.1", "strainer open"]])
    job.record("taken-over", line="open 7.1", by="CD", agreed=True)
    job.record("note", text="cowl latch loose")
    job.step_back()
    job.record("complaint", text="smell as well", place="aeroplane")
    job.record("complaint-placed", of=1, place="engine", time="14:32")
    job.record("split-off", complaint=1, job="2026-11-25-02", by="AN")
    job.record("merged", job="2026-11-25-03", by="AN")
    fields = {"reads": "1 ohm"}
    job.record(
        "tested", test="bonding", place="engine", fields=fields, says="kept", out_of_date=False
    )
    job.record(
        "not-reproduced",
        condition="cold, level",
        flights=7,
        chance=0.9,
        each=0.3,
        gauges=[],
        notes=["height"],
    )
    job.record("first-page", left=1)
    job.record("paused")
    job.record("resumed")
    job.record("proof-waits")
    job.record("verified", gone=True)
    job.record("stopped", reason="daylight")
    job.record("finished", outcome="confirmed")


def lines_of(job: Job) -> list[dict[str, Any]]:
    """Return the events of a log as they stand on disk."""
    return [json.loads(line) for line in job.log.path.read_text(encoding="utf-8").splitlines()]


def write_lines(job: Job, events: list[dict[str, Any]]) -> None:
    """Put ``events`` in place of what the log holds."""
    text = "".join(json.dumps(e) + "\n" for e in events)
    job.log.path.write_text(text, encoding="utf-8")
