"""A glance that takes in the like places."""

from __future__ import annotations

from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis, Step
from diagnose.model import Finding, State
from diagnose.planner import Action, Situation
from diagnose.planner.like_places import GLANCE, with_like_places

FOUR = "four-engine-injection"


def _dark_lamp() -> tuple[Diagnosis, Step]:
    diagnosis = Diagnosis(bench(FOUR))
    dark = Finding("lamp-at-rest", "no3-engine", "out", state=State("static", {}))
    return diagnosis, diagnosis.see([dark])


def test_four_lamps_are_pressed_in_one_go_where_one_stayed_dark() -> None:
    """The set-up is paid once, and the places stand in the order of the layout."""
    diagnosis, step = _dark_lamp()
    planner = bench(FOUR).planner
    one = planner.next(diagnosis.belief, step.posterior, Situation(), float("inf")).action
    assert one is not None
    assert [r.question for r in one.readings] == ["lamp-test"]
    wider = with_like_places(planner, diagnosis.belief, step.posterior, Situation(), one)
    assert [r.place for r in wider.readings] == [f"no{n}-engine" for n in (1, 2, 3, 4)]
    assert one.minutes < wider.minutes < 4 * one.minutes
    assert wider.saves > one.saves


def test_what_was_asked_is_not_asked_again_in_a_wider_look() -> None:
    """A lamp already pressed, or left as not checked, is left out of the wider look."""
    diagnosis, step = _dark_lamp()
    planner = bench(FOUR).planner
    pressed = next(
        r.key
        for r in planner.catalogue.readings
        if (r.question, r.place, r.key[2]) == ("lamp-test", "no2-engine", "static")
    )
    situation = Situation(asked=frozenset({pressed}))
    one = planner.next(diagnosis.belief, step.posterior, situation, float("inf")).action
    assert one is not None
    wider = with_like_places(planner, diagnosis.belief, step.posterior, situation, one)
    assert "no2-engine" not in [r.place for r in wider.readings]


def test_what_takes_longer_than_a_glance_or_runs_an_engine_does_not_grow() -> None:
    """The next tank to dip is another walk; a run is a card of its own."""
    diagnosis, step = _dark_lamp()
    planner = bench(FOUR).planner
    library = bench(FOUR).library
    for reading in planner.catalogue.readings:
        question = library.questions[reading.question]
        if (
            question.minutes > GLANCE
            or question.tools
            or (reading.run_state is not None and reading.run_state.engine_running)
        ):
            action = Action((reading,))
            same = with_like_places(planner, diagnosis.belief, step.posterior, Situation(), action)
            assert same is action
