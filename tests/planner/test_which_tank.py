"""Of tanks that would tell as much, the one filled last or fed from is looked into first."""

from __future__ import annotations

import pytest
from aeroplane.own_kit import HEAD, own_bench
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.model import Finding, State
from diagnose.planner import Action, Reading, Situation
from diagnose.planner.which_tank import at_the_tank_meant

FOUR = "four-engine-injection"
UPLIFT = """\
uplifts:
  - {on: 2026-11-20, source: bowser 1, amount: 900 l, tanks: [port-outer-tank]}
  - {on: 2026-11-22, source: bowser 2, amount: 900 l, tanks: [starboard-middle-tank]}
"""
SAMPLE, DRAIN = "tank-drain-sample", "drain-and-settle-sample"


def meant(on: Bench, action: Action, *well: tuple[str, str]) -> Action:
    """Return ``action`` at the tank meant, where all engines run rough after an uplift."""
    diagnosis = Diagnosis(on, engine=False)
    rough = State("run-up")
    said = [Finding("engine-behaviour", e, "rough", rough, "told") for e in on.places.engines]
    step = diagnosis.see([*said, Finding("last-uplift", "aeroplane", "doubtful", State(), "told")])
    known = (on.planner, diagnosis.belief, step.posterior, Situation())
    return at_the_tank_meant(*known, action, well)


def sample(on: Bench) -> Action:
    """Return the sample from the first tank of the file, a tank that feeds no engine."""
    return Action(readings=(reading(on, "port-outer-tank"),))


def reading(on: Bench, tank: str) -> Reading:
    """Return the sample from the drain of ``tank``."""
    listed = on.planner.catalogue.readings
    return next(r for r in listed if (r.question, r.place) == (SAMPLE, tank))


def test_the_first_sample_is_of_the_tank_filled_last() -> None:
    """The aeroplane's own file says which took the last uplift."""
    on = own_bench(HEAD + UPLIFT)
    assert meant(on, sample(on)).readings == (reading(on, "starboard-middle-tank"),)


def test_without_an_uplift_it_is_of_a_tank_that_feeds_at_take_off() -> None:
    """A transfer tank is the last that a run-up draws from."""
    assert meant(bench(FOUR), sample(bench(FOUR))).readings == (
        reading(bench(FOUR), "port-inner-tank"),
    )


def test_a_check_goes_where_its_act_has_not_found_nothing_already() -> None:
    """A clean sample from one tank is no reason to drain that one again."""
    first = Action(check=DRAIN, at="port-outer-tank")
    assert meant(bench(FOUR), first).at == "port-inner-tank"
    assert meant(bench(FOUR), first, (SAMPLE, "port-inner-tank")).at == "starboard-inner-tank"


@pytest.mark.parametrize("check", ["inspect-strainer-element"])
def test_what_is_looked_at_elsewhere_stays_there(check: str) -> None:
    """Only tanks are chosen among."""
    action = Action(check=check, at="no1-strainer")
    assert meant(bench(FOUR), action) is action
