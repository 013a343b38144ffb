"""Gates that hold, and looks that wait for one to be known unsafe."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench
from job.job_kit import all_safe

from diagnose.job.day.before_run import FOR_A_RUN
from diagnose.job.gates import still_open
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State

LEAK = "engine-bay-leak"


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return a new job on an invented single."""
    return Job.open(Registry(tmp_path), bench("low-wing-single"), "2026-11-25", "Fades.")


def test_where_the_wet_begins_is_looked_for_once_something_is_known_to_be_wet(job: Job) -> None:
    """Nobody wipes a dry engine bay; whether it is wet is asked first, and a drip told opens it."""
    wet = {r.key for r in job.bench.planner.catalogue.readings if r.question == "where-wet-first"}
    assert wet
    assert wet <= job.situation().asked
    job.answer(Finding(LEAK, "engine", "dry", State("static"), "seen"))
    assert wet <= job.situation().asked
    job.answer(Finding(LEAK, "engine", "damp", State("static"), "seen"))
    assert not wet & job.situation().asked


def test_a_gauge_changed_over_makes_no_dry_engine_bay_unknown_again(job: Job) -> None:
    """No fuel can come out of what it parts, so what was known before power still is."""
    all_safe(job)
    assert not still_open(job.bench, job.state.findings, job.log.events)
    job.checked("swap-contents-gauges", "left-gauge", "stays-with-tank")
    assert [d.kind for d in job.state.disturbed.values()].count("part") == 1
    assert not still_open(job.bench, job.state.findings, job.log.events)


def test_a_cap_taken_off_since_lets_nothing_stand_that_was_confirmed_for_a_run(job: Job) -> None:
    """'No tank left open' was said before the stick went in; a look that opens nothing keeps it."""
    for item in FOR_A_RUN:
        job.record("confirmed", item=item)
    job.answer(Finding("tank-stains", "left-tank", "none", State("static"), "seen"))
    assert set(FOR_A_RUN) <= set(job.state.confirmed)
    job.checked("dip-every-tank", "left-tank", "as-booked")
    assert not job.state.confirmed
