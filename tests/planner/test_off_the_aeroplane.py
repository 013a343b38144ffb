"""What is asked of people and papers: at one time, and not with spanners in hand."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis, Step
from diagnose.model import Finding, State
from diagnose.planner import Action, Plan, Situation, off_the_aeroplane
from diagnose.planner.off_the_aeroplane import (
    asked_at_one_time,
    is_off_the_aeroplane,
    worth_asking,
)

TWIN = "low-wing-twin"
WATER = (
    Finding("engine-behaviour", "no2-engine", "surges", State("climb"), "told"),
    Finding("strainer-drain-sample", "no2-strainer", "water", known_by="told"),
)


def _known() -> tuple[Diagnosis, Step, Situation]:
    diagnosis = Diagnosis(bench(TWIN), engine=False)
    return diagnosis, diagnosis.see(WATER), Situation()


def _made_of(question: str) -> Action:
    """Return what is made of a plan that has ``question`` next."""
    diagnosis, step, situation = _known()
    planner = bench(TWIN).planner
    reading = next(r for r in planner.catalogue.readings if r.question == question)
    plan = Plan(Action((reading,)), (), greedy=False)
    made = asked_at_one_time(
        planner, diagnosis.belief, step.posterior, situation, plan, float("inf")
    ).action
    assert made is not None
    return made


def test_people_and_papers_are_asked_on_one_walk() -> None:
    """Whoever goes in for the docket asks all that is worth asking there."""
    made = _made_of("last-uplift")
    assert len(made.readings) > 1
    assert is_off_the_aeroplane(bench(TWIN).planner, made)


def test_a_paper_waits_until_it_is_worth_the_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """A docket that saves less than the walk to it is left for what is at hand."""
    monkeypatch.setattr(off_the_aeroplane, "GOING_IN", 60.0)
    assert not is_off_the_aeroplane(bench(TWIN).planner, _made_of("last-uplift"))


def test_a_look_at_the_aeroplane_takes_no_paper_along() -> None:
    """Nobody goes in for papers that the plan did not ask for."""
    assert [r.question for r in _made_of("vent-outlet-look").readings] == ["vent-outlet-look"]


def test_what_is_asked_before_the_work_is_all_of_people_and_papers() -> None:
    """On the first page nothing is asked that would need a look at the aeroplane."""
    diagnosis, step, situation = _known()
    planner = bench(TWIN).planner
    asked = worth_asking(planner, diagnosis.belief, step.posterior, situation)
    assert asked is not None
    assert is_off_the_aeroplane(planner, asked)
