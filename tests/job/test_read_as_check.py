"""A sample or a current already taken is the check, and loses nothing of what it warned of."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench

from diagnose.job.day.before_run import asked_by_what_was_found
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.read_as_check import count_as_check, read_before
from diagnose.model import Finding, State

SINGLE = "low-wing-single"
WATER = Finding("tank-drain-sample", "left-tank", "water", State("static"), "seen")
CURRENT = Finding("booster-amps", "booster", "low", State("static", {"booster": "on"}), "read")
THIN = Finding("oil-level", "engine", "risen", State("static"), "seen")
PASSES = Finding("cock-shut-test", "selector", "passes", State("static"), "seen")


def a_job(folder: Path, *found: Finding) -> Job:
    """Open a job of the single in which that was found."""
    job = Job.open(Registry(folder), bench(SINGLE), "2026-11-25", "As it was reported.")
    for f in found:
        job.answer(f)
    return job


@pytest.mark.parametrize(
    ("found", "check", "at"),
    [
        (WATER, "drain-and-settle-sample", "left-tank"),
        (CURRENT, "compare-booster-current", "booster"),
        (PASSES, "test-cock-shut-off", "selector"),
        (THIN, "check-oil-for-fuel", "engine"),
    ],
)
def test_what_was_just_seen_at_a_part_is_not_looked_at_once_more(
    tmp_path: Path, found: Finding, check: str, at: str
) -> None:
    """Who has the water in a settled jar, or the current before him, is not sent for it again."""
    ((place, _, read),) = read_before(a_job(tmp_path, found), check, [at])
    assert (place, read.value) == (at, found.value)


def test_a_handle_felt_is_a_cock_felt_by_the_names_that_the_check_has_for_it(
    tmp_path: Path,
) -> None:
    """Question and check call it otherwise; what may be either of two results is felt again."""

    def felt(value: str) -> Finding:
        return Finding("cock-handle", "selector", value, State("static"), "seen")

    job = a_job(tmp_path / "clear", felt("clear-detents"))
    (kept, shown) = count_as_check(job, "feel-cock", read_before(job, "feel-cock", ["selector"]))
    assert kept["event"] == "withdrawn"
    assert shown["finding"]["value"] == "clear"
    assert read_before(a_job(tmp_path / "loose", felt("loose")), "feel-cock", ["selector"]) == []


@pytest.mark.parametrize("first_read", [True, False])
def test_water_that_came_in_a_check_bars_a_run_like_water_in_a_sample(
    tmp_path: Path, first_read: bool
) -> None:
    """No engine runs until somebody says that no water comes, however it was seen."""
    job = a_job(tmp_path, *([WATER] if first_read else []))
    check = "drain-and-settle-sample"
    if first_read:
        count_as_check(job, check, read_before(job, check, ["left-tank"]))
    else:
        job.checked(check, "left-tank", "water")
    assert any("no water comes from any drain" in x for x in asked_by_what_was_found(job))
