"""Fuel pumped by hand: barred by a leak as a pump is, and no battery is needed for it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from diagnosis.shipped import bench

from diagnose.job.at_hand import NO_POWER, barred
from diagnose.job.gates import pumped_by_hand
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State

LEAK = "engine-bay-leak"


def hand_pump_job(folder: Path) -> Job:
    """Return a new job on the layout with a hand pump and a primer."""
    b = bench("radial-single-hand-pump")
    return Job.open(Registry(folder), b, "2026-11-25", "Low pressure.")


def test_with_a_leak_known_no_fuel_is_pumped_by_hand_either(tmp_path: Path) -> None:
    """Strokes of the primer or the hand pump feed a leak as an electric pump does."""
    job = hand_pump_job(tmp_path)
    strokes = {r.key for r in job.bench.planner.catalogue.readings if r.question == "plunger"}
    worked = ("work-hand-pump", "hand-pump")
    assert {at for _, at, _ in strokes} == {"primer", "hand-pump"}
    assert not strokes & job.situation().asked
    assert worked not in job.situation().done
    job.answer(Finding(LEAK, "engine", "damp", State(), "told"))
    assert strokes <= job.situation().asked
    assert worked in job.situation().done


def test_strokes_by_hand_need_no_ground_power(tmp_path: Path) -> None:
    """A flat battery keeps nobody from working the hand pump."""
    job = hand_pump_job(tmp_path)
    found = barred(job.bench, replace(job.state, ground_power=False))
    assert ("work-hand-pump", "hand-pump") not in found.checks
    assert "plunger" not in {question for question, _, _ in found.readings}
    assert NO_POWER in found.checks.values()


def test_whatever_pumps_fuel_by_hand_is_known_by_its_words() -> None:
    """Other words for these, or a new one told otherwise, must not open the gate unnoticed."""
    library = bench("radial-single-hand-pump").library
    known = {i for i, q in library.questions.items() if pumped_by_hand(q)}
    known |= {i for i, check in library.checks.items() if pumped_by_hand(check)}
    assert known == {
        "plunger",
        "check-accelerator-pump",
        "check-primer-lines",
        "prove-cut-off",
        "work-hand-pump",
    }
