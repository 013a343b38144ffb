"""What is asked after a repair is answered in words that answer it."""

from __future__ import annotations

from pathlib import Path

import pytest
from job.job_kit import PRESSURE_LOW, open_job, tiny_bench

from diagnose.errors import UsageError
from diagnose.job.day.closeout import follow_up, outstanding


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
