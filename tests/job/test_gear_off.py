"""What was fitted to measure with comes off again, and its joint is another joint then."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench as shipped
from job.job_kit import open_job

from diagnose.errors import UsageError
from diagnose.job.day.closeout import inspect, leak_check, outstanding, restore


def test_where_test_gear_comes_off_its_joint_is_made_seen_and_leak_checked_anew(
    tmp_path: Path,
) -> None:
    """A union closed round a master gauge and run dry is another union once the gauge is off."""
    job = open_job(tmp_path / "jobs", shipped("low-wing-single"))
    job.checked("compare-master-gauge", "pressure-gauge", "reads-low")
    by_kind = {d.kind: d for d in job.state.disturbed.values()}
    # the gauge is fitted, and nobody can count it back
    assert by_kind["tool"].what == "bonded container, blanks"
    line, gear, panel, tools = (by_kind[k].id for k in ("line", "test-gear", "panel", "tool"))
    restore(job, line, "AB")
    inspect(job, line, "CD")
    leak_check(job, dry=True, by="AB")
    assert not job.state.joints_open(), "it is run with the gauge on"
    restore(job, gear, "AB")
    assert [x.item for x in outstanding(job)][:1] == [line]
    with pytest.raises(UsageError, match="no panel is closed before"):
        restore(job, panel, "AB")
    restore(job, line, "AB")
    inspect(job, line, "CD")
    leak_check(job, dry=True, by="AB")
    restore(job, panel, "AB")
    restore(job, tools, "AB")
    assert outstanding(job) == ()


def test_what_stays_on_the_aeroplane_is_not_counted_back(tmp_path: Path) -> None:
    """A new seal and locking wire are fitted; the container they were held over is counted."""
    job = open_job(tmp_path / "jobs", shipped("low-wing-single"))
    job.checked("inspect-strainer-seal", "strainer", "hard")
    out = [d.what for d in job.state.disturbed.values() if d.kind == "tool"]
    assert out == ["bonded container"]
