"""What is read in one set-up of the aeroplane, the engine at rest."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State
from diagnose.planner import Action, Situation
from diagnose.planner.while_set_up import with_the_same_in_hand, with_what_is_set_up

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


def test_who_has_drawn_a_sample_at_one_drain_walks_on_to_the_others() -> None:
    """Tanks and strainer are one walk with one jar: the next drain takes what the next one does."""
    b = bench("low-wing-single")
    diagnosis = Diagnosis(b, engine=False)
    fades = Finding("engine-behaviour", "engine", "fades", State("climb"), "told")
    known = (b.planner, diagnosis.belief, diagnosis.see([fades]).posterior, Situation())
    catalogue = b.planner.catalogue.readings
    strainer = next(
        r for r in catalogue if r.key == ("strainer-drain-sample", "strainer", "static")
    )
    walk = with_what_is_set_up(*known, Action((strainer,)))
    assert [(r.question, r.place) for r in walk.readings] == [
        ("strainer-drain-sample", "strainer"),
        ("tank-drain-sample", "left-tank"),
        ("tank-drain-sample", "right-tank"),
    ]
    sample, of_tank = (b.library.questions[r.question] for r in walk.readings[:2])
    assert strainer.run_state is not None
    set_up = strainer.run_state.minutes
    assert walk.minutes == set_up + sample.minutes + 2 * of_tank.next_minutes


@pytest.mark.parametrize(
    ("otherwise", "goes"),
    [
        ({}, True),
        ({"tools": ("dip-stick",)}, False),
        ({"hazards": ("open-tank",)}, False),
        ({"next_minutes": 0.0}, False),
        ({"destroys": ("opening",)}, False),
    ],
)
def test_what_is_another_act_is_no_part_of_the_walk(otherwise: dict[str, Any], goes: bool) -> None:
    """Another tool, another caution, or what ends what still tells, has a turn of its own."""
    asked = bench("low-wing-single").library.questions
    other = replace(asked["tank-drain-sample"], **otherwise)
    assert with_the_same_in_hand(asked["strainer-drain-sample"])(other) is goes
