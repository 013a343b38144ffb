"""What a repair begins anew: which readings are asked again, what is a complaint, what leads."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench

from diagnose.job.epochs import asked_in_force, complaints
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State

SINGLE = "low-wing-single"


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return a new job on an invented single."""
    return Job.open(Registry(tmp_path), bench(SINGLE), "2026-11-25", "Fades on the run-up.")


def test_a_repair_lets_readings_be_asked_again_but_not_the_history(job: Job) -> None:
    """The pressure may read otherwise after the repair; how long it had stood does not change."""
    readings = {r.key: r for r in job.bench.planner.catalogue.readings}
    history = ("days-parked", "aeroplane", "")
    pressure = ("fuel-pressure", "engine", "run-up-booster-off")
    for key in (history, pressure):
        job.skip(readings[key])
    assert asked_in_force(job.bench, job.log.events) == {history, pressure}
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    assert asked_in_force(job.bench, job.log.events) == {history}


def test_the_verification_repeats_what_was_wrong_and_nothing_else(job: Job) -> None:
    """Normal readings, history and checks are no complaints; a corrected reading is none either."""
    run = State("run-up", {"booster": "off"})
    idle = State("idle", {"booster": "off"})
    job.answer(Finding("fuel-pressure", "engine", "low", run, "read"))
    job.answer(Finding("fuel-pressure", "engine", "normal", idle, "read"))
    job.answer(Finding("days-parked", "aeroplane", "long", known_by="told"))
    job.answer(Finding("engine-behaviour", "engine", "rough", run))
    job.answer(Finding("engine-behaviour", "engine", "normal", run))
    job.checked("inspect-strainer-element", "strainer", "plugged")
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    got = complaints(job.bench, job.state.findings, epoch=1)
    assert [(f.question, f.value, f.state.stage) for f in got] == [
        ("fuel-pressure", "low", "run-up")
    ]


def test_a_trouble_still_there_after_the_repair_moves_the_belief_on(job: Job) -> None:
    """A plugged strainer was cleaned and pressure is low again: something else leads."""
    run = State("run-up", {"booster": "off"})
    job.answer(Finding("fuel-pressure", "engine", "low", run, "read"))
    job.checked("inspect-strainer-element", "strainer", "plugged")
    before = job.step().posterior.ranking()[0][0]
    assert str(before) == "strainer-plugged@strainer"
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    job.answer(Finding("fuel-pressure", "engine", "low", run, "read"))
    after = job.step().posterior.ranking()
    assert str(after[0][0]) != "strainer-plugged@strainer"
    assert job.findings[0].epoch == 0
    assert job.findings[-1].epoch == 1
