"""What is asked after a repair is answered in words that answer it."""

from __future__ import annotations

from pathlib import Path

import pytest
from job.job_kit import PRESSURE_LOW, open_job, tiny_bench

from diagnose.errors import UsageError
from diagnose.job.day.closeout import follow_up, outstanding, proved
from diagnose.job.job import Job


@pytest.mark.parametrize("typed", ["no", "Yes", "n."])
def test_where_the_part_is_kept_is_no_yes_or_no(tmp_path: Path, typed: str) -> None:
    """A place called 'no' would send whoever looks for the part nowhere: it is asked again."""
    job = open_job(tmp_path / "jobs", tiny_bench(tmp_path))
    job.answer(PRESSURE_LOW)
    job.record("part-found", cause="strainer-plugged", place="strainer")
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    job.record("verified", gone=True)
    items = {x.item.partition(" ")[0]: x.item for x in outstanding(job) if x.step == "follow-up"}
    with pytest.raises(UsageError, match="where, or that nothing came off"):
        follow_up(job, items["part-kept"], typed, "AB")
    follow_up(job, items["part-kept"], "nothing came off", "AB")
    follow_up(job, items["harm-done"], "no", "AB")
    assert {items["part-kept"], items["harm-done"]} == set(job.state.followed)


def mended_twice(folder: Path) -> Job:
    """Return a job whose first part was found bad by a check, and was not the whole of it."""
    job = open_job(folder / "jobs", tiny_bench(folder))
    job.answer(PRESSURE_LOW)
    for cause, place in (("strainer-plugged", "strainer"), ("engine-pump-worn", "engine-pump")):
        job.record("part-found", cause=cause, place=place)
        job.record("rectified", cause=cause, place=place, what="put right")
        job.record("verified", gone=place != "strainer")
    return job


def test_what_was_found_bad_on_the_way_is_followed_up_as_well(tmp_path: Path) -> None:
    """A hose that leaked is looked for elsewhere though it did not make the engine run rough."""
    job = mended_twice(tmp_path)
    asked = [x.item for x in outstanding(job) if x.step == "follow-up"]
    assert "same-elsewhere strainer-plugged@strainer" in asked
    assert "Found and mended besides: " in proved(job)
    assert "did not cure" not in proved(job)


def test_what_was_changed_on_a_guess_and_did_not_cure_is_not_followed_up(tmp_path: Path) -> None:
    """Nobody asks why a part failed that never was found bad."""
    job = open_job(tmp_path / "jobs", tiny_bench(tmp_path))
    job.answer(PRESSURE_LOW)
    job.record("rectified", cause="engine-pump-worn", place="engine-pump", what="changed")
    job.record("verified", gone=False)
    job.record("part-found", cause="strainer-plugged", place="strainer")
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    job.record("verified", gone=True)
    assert not any("engine-pump-worn" in x.item for x in outstanding(job))
    assert "Mended, and did not cure: " in proved(job)


def test_what_was_not_looked_at_stays_open(tmp_path: Path) -> None:
    """'Not checked' would close the line of what nobody looked at; 'not known' is an answer."""
    job = mended_twice(tmp_path)
    item = next(x.item for x in outstanding(job) if x.item.startswith("root-question"))
    with pytest.raises(UsageError, match="leaves it open"):
        follow_up(job, item, "Not checked.", "AB")
    follow_up(job, item, "not known", "AB")
    assert item in job.state.followed


@pytest.mark.parametrize("item", ["harm-done", "same-elsewhere", "root-question"])
def test_a_bare_yes_tells_nothing_of_what_came_of_it(tmp_path: Path, item: str) -> None:
    """That there was harm elsewhere, and not which, is no entry of a record."""
    job = mended_twice(tmp_path)
    key = next(x.item for x in outstanding(job) if x.item.startswith(item))
    with pytest.raises(UsageError, match="does not tell it"):
        follow_up(job, key, "Yes.", "AB")
    follow_up(job, key, "none found", "AB")
