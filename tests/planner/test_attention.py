"""What an answer must save before anybody is asked."""

from __future__ import annotations

import pytest
from diagnosis.shipped import CASES, bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.knowledge_files import load_case
from diagnose.planner import plan


def _next(case: str) -> str:
    """Return the question or check that comes next in an invented job."""
    b = bench("low-wing-single")
    told = load_case(CASES / "invented" / f"{case}.yaml", b.library, b.layout)
    diagnosis = Diagnosis(b, told.before)
    action = diagnosis.plan(diagnosis.see(told.findings), deadline=float("inf")).action
    assert action is not None
    return action.check or action.readings[0].question


def test_nobody_is_asked_for_what_saves_less_than_the_asking(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With a torn diaphragm all but proved, the oil is looked at and nothing asked for before."""
    assert _next("inv-engine-pump-diaphragm-torn") == "check-oil-for-fuel"
    monkeypatch.setattr(plan, "ATTENTION", 0.0)
    monkeypatch.setattr(plan, "RETURN", 0.0)
    assert _next("inv-engine-pump-diaphragm-torn") == "fuel-smell"
