"""An engine that does not start is given no run."""

from __future__ import annotations

from pathlib import Path

from diagnosis.shipped import bench as shipped

from diagnose.job.at_hand import not_possible
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.starting import dead
from diagnose.model import Finding, State


def test_an_engine_that_does_not_start_is_given_no_run_until_it_is_seen_to_start(
    tmp_path: Path,
) -> None:
    """'Will not start' leaves cranking and what stands still; a start seen gives the run back."""
    single = shipped("low-wing-single")
    running = {
        r.key
        for r in single.planner.catalogue.readings
        if r.run_state and r.run_state.engine_running
    }
    cranking = {
        r.key
        for r in single.planner.catalogue.readings
        if r.run_state and r.run_state.stage == "cranking"
    }
    job = Job.open(Registry(tmp_path), single, "2026-11-25", "will not start")
    assert not running <= job.situation().asked
    job.answer(Finding("engine-start", "engine", "no-start", known_by="told"))
    assert running <= job.situation().asked
    assert cranking
    assert not cranking & job.situation().asked
    missing = not_possible(single, job.diagnosis.belief, job.step(), job.state)
    assert any("does not start" in x.why_not for x in missing)
    job.answer(Finding("engine-start", "engine", "normal", known_by="seen"))
    assert not running <= job.situation().asked


def test_one_engine_that_does_not_start_keeps_no_other_from_running(tmp_path: Path) -> None:
    """With four engines only what is read at the dead one is left out."""
    four = shipped("four-engine-injection")
    job = Job.open(Registry(tmp_path), four, "2026-11-25", "no. 2 will not start")
    before = job.situation().asked
    job.answer(Finding("engine-start", "no2-engine", "no-start", known_by="told"))
    barred = job.situation().asked - before
    assert {place for _, place, _ in barred} == {"no2-engine"}


def test_an_engine_told_to_have_run_after_it_would_not_start_is_given_its_run(
    tmp_path: Path,
) -> None:
    """'Would not start, then ran rough, and was well afterwards': it can be run to try it again."""
    job = Job.open(Registry(tmp_path), shipped("low-wing-single-injected"), "2026-11-25", "hot")
    place = job.bench.places.engines[0]

    def barred() -> bool:
        return dead(job.bench, job.state.findings, job.state.epoch, place)

    job.answer(Finding("engine-behaviour", place, "rough", State("cruise"), "told"))
    job.answer(Finding("engine-start", place, "no-start", known_by="told"))
    assert barred()
    job.answer(Finding("engine-behaviour", place, "fades", State("climb"), "told"))
    assert barred(), "how it flew may have been before"
    job.answer(Finding("engine-behaviour", place, "rough", known_by="told"))
    assert not barred()
    job.answer(Finding("engine-start", place, "no-start", known_by="seen"))
    assert barred()
    job.answer(Finding("still-there", "aeroplane", "gone", known_by="told"))
    assert not barred()
