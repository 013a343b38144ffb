"""How long it ran before, as people tell it."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.durations import in_minutes
from diagnose.job.hearing.report_words import hear

SINGLE = "low-wing-single"


@pytest.mark.parametrize(
    ("told", "minutes"),
    [
        ("after an hour and a quarter", "after 75 minutes"),
        ("an hour and fifty from full", "110 minutes from full"),
        ("three hours twenty", "200 minutes"),
        ("1 hr 20 min out", "80 minutes out"),
        ("twenty-five minutes after", "25 minutes after"),
        ("two hours out", "two hours out"),
        ("an hour and 12 minutes", "72 minutes"),
        ("after an hour two engines quit", "after an hour two engines quit"),
        ("the fifty hour check", "the fifty hour check"),
        ("after an hour and then it quit", "after an hour and then it quit"),
        ("three quarters of an hour out", "45 minutes out"),
        ("a half-hour later", "half an hour later"),
        ("a quarter hour in", "a quarter of an hour in"),
    ],
)
def test_hours_and_minutes_are_so_many_minutes(told: str, minutes: str) -> None:
    """A span of both is one figure; whole hours, and what only sounds so, stand as told."""
    assert in_minutes(told) == minutes


@pytest.mark.parametrize(
    ("report", "answer"),
    [
        ("After an hour and a quarter on the right tank it faded.", "long"),
        ("Faded half an hour out on either tank.", "long"),
        ("Engine quit after 20 minutes.", "long"),
        ("Engine quit after 9 minutes.", "minutes"),
    ],
)
def test_a_complaint_behind_a_span_of_time_is_of_the_engine_and_of_what_went_before(
    report: str, answer: str
) -> None:
    """'After an hour on the left it faded' tells that an engine faded, and how long it ran well."""
    told = {s.question: s.value for s in hear(report, bench(SINGLE))}
    assert told["engine-behaviour"] in ("fades", "stops")
    assert told["good-running-before"] == answer
