"""Dangers that stop the work, and when they are told again."""

from __future__ import annotations

from pathlib import Path

from diagnosis.shipped import bench

from diagnose.job.danger import cautions, to_be_told
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import AEROPLANE, CauseAt, Finding, State


def _told(job: Job) -> list[str]:
    return [s.symptom for s in to_be_told(job, job.step())]


def test_a_danger_acted_on_is_told_again_only_where_a_later_run_shows_it_again(
    tmp_path: Path,
) -> None:
    """Nobody types 'done' after each run for what he did before it; seen again it is news."""
    job = Job.open(Registry(tmp_path), bench("low-wing-single"), "2026-11-25", "Smell of fuel.")
    smell = Finding("fuel-smell", AEROPLANE, "cabin", known_by="told")
    job.answer(smell)
    assert _told(job) == ["fuel-smell-in-cabin"]
    for key in to_be_told(job, job.step()).values():
        job.record("acknowledged", hazard=key, text="out")
    assert _told(job) == []
    job.answer(smell)
    assert _told(job) == []  # the same danger, told of twice before anybody ran
    job.record("run", readings=[])
    assert _told(job) == []
    job.answer(smell)
    assert _told(job) == ["fuel-smell-in-cabin"]


def _acted_on(job: Job) -> None:
    for key in to_be_told(job, job.step()).values():
        job.record("acknowledged", hazard=key, text="done")


def test_one_leak_stops_the_work_once_though_its_pressure_was_low_too(tmp_path: Path) -> None:
    """Who stands up wind of a running leak is not stopped again for what it did to the gauge."""
    leak = Finding("engine-bay-leak", "engine", "running", State("parked"))
    low = Finding("fuel-pressure", "engine", "low", State("run-up"), known_by="told")
    for k, told in enumerate(([leak, low], [low, leak])):
        job = Job.open(Registry(tmp_path / str(k)), bench("low-wing-single"), "2026-11-25", "Leak.")
        for finding in told:
            job.answer(finding)
        assert _told(job) == ["fuel-wet-in-engine-bay"]
        _acted_on(job)
        assert _told(job) == []
    job = Job.open(Registry(tmp_path / "smelt"), bench("low-wing-single"), "2026-11-25", "Leak.")
    job.answer(Finding("fuel-smell", AEROPLANE, "outside"))
    job.answer(low)
    assert _told(job) == ["pressure-lost-with-leak"]


def test_the_wet_place_of_a_cabin_that_was_left_for_its_smell_stops_nobody_again(
    tmp_path: Path,
) -> None:
    """All are out and nothing is switched; where it is wet asks for no other act."""
    job = Job.open(Registry(tmp_path), bench("low-wing-single"), "2026-11-25", "Smell of fuel.")
    job.answer(Finding("fuel-smell", AEROPLANE, "cabin"))
    _acted_on(job)
    job.answer(Finding("cabin-wet-where", AEROPLANE, "panel", State("parked")))
    assert _told(job) == []


def test_no_warning_stands_of_what_a_repair_made_good(tmp_path: Path) -> None:
    """Nobody is told not to start an engine whose float was renewed since it dripped."""
    job = Job.open(Registry(tmp_path), bench("header-biplane"), "2026-11-25", "It drips.")
    drips = Finding("carburettor-drips", "engine", "drips", State("static", {"booster": "off"}))
    job.answer(drips)
    step = job.step()
    assert [c.symptom for c in cautions(step, job.put_right)] == ["floods-at-rest"]
    float_ = CauseAt("float-sunk", "carburettor")
    screen = CauseAt("carburettor-screen-blocked", "carburettor")
    assert cautions(step, {screen: 1}) != ()
    assert cautions(step, {float_: 1}) == ()
