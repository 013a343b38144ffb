"""A job that is taken up after some days: what may have been done to the aeroplane meanwhile."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest

from diagnose.cli.job.start import left_for

HERE = timezone(timedelta(hours=11))


@pytest.mark.parametrize(
    ("now", "days"),
    [
        (datetime(2026, 3, 2, 9, 30, tzinfo=HERE), ""),  # the log says 1 March, 22:00 UTC
        (datetime(2026, 3, 3, 7, 0, tzinfo=HERE), "1 day ago"),
        (datetime(2026, 3, 9, 7, 0, tzinfo=HERE), "7 days ago"),
    ],
)
def test_days_since_a_job_was_worked_are_those_of_the_clock_on_the_wall(
    now: datetime, days: str
) -> None:
    """Half an hour is no day, whatever the date in the log; from one day on it is asked."""
    told = " ".join(left_for("2026-03-01T22:00:00+00:00", now))
    assert days in told
    assert bool(told) is bool(days)
    assert "2026-03-01" not in told
