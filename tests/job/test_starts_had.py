"""An engine that ran was started: how it started is asked, and no start is made for it."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.starting import dead, starts_had
from diagnose.model import Finding, State

CRUISE = Finding("engine-behaviour", "no2-engine", "stops", State("cruise"), "told")
FADED = Finding("engine-behaviour", "no2-engine", "fades", known_by="told")
LOW = Finding("fuel-pressure", "no2-engine", "low", known_by="told")
SLOW = Finding("engine-start", "no2-engine", "slow", known_by="told")


@pytest.mark.parametrize(
    ("findings", "epoch", "had"),
    [
        ([], 0, set()),
        ([CRUISE], 0, {"no2-engine"}),
        ([FADED], 0, {"no2-engine"}),  # when is not told, but it ran
        ([LOW], 0, set()),
        ([CRUISE, SLOW], 0, set()),
        ([CRUISE], 1, set()),
    ],
)
def test_a_start_is_made_only_where_it_would_show_something_new(
    findings: list[Finding], epoch: int, had: set[str]
) -> None:
    """Told from the air it was had; told amiss, or mended since, it is worth another try."""
    starts = starts_had(bench("low-wing-twin"), findings, epoch)
    assert {place for _, place, _ in starts} == had
    assert all(question == "engine-start" and state for question, _, state in starts)


@pytest.mark.parametrize(("heat", "runs"), [("", False), ("cool", False), ("hot", True)])
def test_an_engine_that_does_not_start_cold_is_given_no_run(heat: str, runs: bool) -> None:
    """It stands cold now; one that fails hot alone starts again when it has cooled."""
    state = State(settings={"heat": heat} if heat else {})
    told = {1: Finding("engine-start", "engine", "no-start", state, "told")}
    assert dead(bench("radial-single-hand-pump"), told, 0, "engine") is not runs
