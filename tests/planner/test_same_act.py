"""One act that is a check and a reading by two names is asked for once."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State
from diagnose.planner import Situation

SINGLE = "low-wing-single"
ACT = ("confirm-as-found-position", "handle-as-found")


@pytest.mark.parametrize(("done", "asked"), [((), True), (((ACT[0], "selector"),), False)])
def test_what_was_looked_at_as_a_check_is_not_asked_for_as_a_reading(
    done: tuple[tuple[str, str], ...], asked: bool
) -> None:
    """Who could not say how the handle was found is not asked how it stands."""
    b = bench(SINGLE)
    told = Finding("engine-behaviour", "engine", "stops", State("climb"), "told")
    d = Diagnosis(b)
    posterior = d.see([told]).posterior
    _, scored = b.planner.sift(d.belief, posterior, Situation(done=frozenset(done)))
    assert (ACT[1] in {s.reading.question for s in scored}) is asked
