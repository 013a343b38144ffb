"""What is read in one set-up of the aeroplane, the engine at rest."""

from __future__ import annotations

from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State
from diagnose.planner import Action, Situation
from diagnose.planner.while_set_up import with_what_is_set_up

FOUR = "four-engine-injection"


def _beside(question: str, state: str) -> list[tuple[str, str]]:
    """Return what is read beside ``question`` at no. 3 engine, its pressure low in the run-up."""
    b = bench(FOUR)
    diagnosis = Diagnosis(b, engine=False)
    low = Finding("fuel-pressure", "no3-engine", "low", State("run-up", {"booster": "off"}), "read")
    step = diagnosis.see([low])
    one = next(r for r in b.planner.catalogue.readings if r.key == (question, "no3-engine", state))
    wider = with_what_is_set_up(
        b.planner, diagnosis.belief, step.posterior, Situation(), Action((one,))
    )
    assert wider.readings[0] == one
    assert {r.key[2] for r in wider.readings} == {state}
    return [(r.question, r.place) for r in wider.readings[1:]]


def test_lamp_and_gauge_are_read_while_the_booster_is_on() -> None:
    """One set-up with its gates serves both; nobody puts the booster on twice."""
    beside = _beside("booster-lamp", "static-booster-on")
    assert ("booster-pressure", "no3-engine") in beside


def test_what_needs_nothing_set_up_is_asked_for_by_itself() -> None:
    """With the battery off nothing stands waiting, so nothing is taken along for company."""
    assert _beside("gauge-at-rest", "static") == []
