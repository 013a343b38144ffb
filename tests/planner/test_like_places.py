"""A glance that takes in the like places."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis, Step
from diagnose.model import Finding, State
from diagnose.planner import Action, Situation, actions
from diagnose.planner.like_places import with_like_places

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


def _wider(layout: str, told: Finding, question: str, asked: str = "") -> list[str]:
    """Return the places of the first look ``question`` with its like places; ``asked`` is over."""
    b = bench(layout)
    diagnosis = Diagnosis(b)
    step = diagnosis.see([told])
    over = frozenset(r.key for r in b.planner.catalogue.readings if r.question == asked)
    situation = Situation(asked=over)
    _, telling = b.planner.sift(diagnosis.belief, step.posterior, situation)
    first = Action((next(s.reading for s in telling if s.reading.question == question),))
    wider = with_like_places(b.planner, diagnosis.belief, step.posterior, situation, first)
    return [r.place for r in wider.readings]


def test_what_takes_longer_than_a_glance_does_not_grow(monkeypatch: pytest.MonkeyPatch) -> None:
    """The next cock to feel is another way to go, though by its minutes it would do."""
    stops = Finding("engine-behaviour", "no1-engine", "stops", state=State("cruise", {}))
    seen = "handle-as-found"  # which the feeling would destroy
    assert len(_wider("low-wing-twin", stops, "cock-handle", seen)) == 1
    monkeypatch.setattr(actions, "GLANCE", 60.0)
    assert len(_wider("low-wing-twin", stops, "cock-handle", seen)) > 1


def test_no_look_is_widened_to_where_it_would_destroy_what_still_tells() -> None:
    """Listening at the next cap opens that tank: how its cap was found is seen first."""
    stops = Finding("engine-behaviour", "engine", "stops", state=State("cruise", {}))
    assert _wider("low-wing-single", stops, "cap-hiss") == ["left-tank"]
    both = _wider("low-wing-single", stops, "cap-hiss", asked="cap-as-found")
    assert both == ["left-tank", "right-tank"]


def test_a_look_is_taken_along_only_to_where_it_may_be_wanted() -> None:
    """Of a twin with one engine stopped the caps of its own side are listened at, no others."""
    stops = Finding("engine-behaviour", "no1-engine", "stops", state=State("cruise", {}))
    own = _wider("low-wing-twin", stops, "cap-hiss", asked="cap-as-found")
    assert own == ["port-main-tank", "port-aux-tank"]


def _dipped(layout: str, told: Finding, done: frozenset[tuple[str, str]] = frozenset()) -> Action:
    """Return the dip of the left tank with what is dipped in the same go, all caps listened at."""
    b = bench(layout)
    diagnosis = Diagnosis(b)
    step = diagnosis.see([told])
    opens = {"cap-hiss", "cap-as-found"}
    over = frozenset(r.key for r in b.planner.catalogue.readings if r.question in opens)
    one = Action(check="dip-every-tank", at="right-tank", minutes=8.0)
    situation = Situation(asked=over, done=done)
    return with_like_places(b.planner, diagnosis.belief, step.posterior, situation, one)


STOPS = Finding("engine-behaviour", "engine", "stops", state=State("cruise", {}))


def test_every_tank_is_dipped_in_one_go() -> None:
    """Who has the stick in his hand dips them all, each after the first for less."""
    all_of_them = _dipped("low-wing-single", STOPS)
    assert all_of_them.places == ("left-tank", "right-tank")
    assert 8.0 < all_of_them.minutes < 2 * 8.0


def test_a_tank_dipped_before_is_not_dipped_again_with_the_others() -> None:
    """What was done, or cannot be done, stays out of the same go."""
    again = _dipped("low-wing-single", STOPS, frozenset({("dip-every-tank", "left-tank")}))
    assert (again.places, again.minutes) == (("right-tank",), 8.0)


def test_the_caps_are_listened_at_before_every_tank_is_dipped() -> None:
    """No tank is left out because its cap still tells: that is heard first, then all are dipped."""
    b = bench("low-wing-single")
    diagnosis = Diagnosis(b)
    step = diagnosis.see([STOPS])
    one = Action(check="dip-every-tank", at="right-tank", minutes=8.0)
    first = with_like_places(b.planner, diagnosis.belief, step.posterior, Situation(), one)
    assert not first.is_check
    assert {r.question for r in first.readings} <= {"cap-hiss", "cap-as-found"}


def test_what_came_of_itself_is_tried_for_at_every_engine_in_one_run() -> None:
    """One run in the state of the report shows all four engines."""
    b = bench(FOUR)
    diagnosis, step = _dark_lamp()
    one = Action(check="repeat-in-reported-state", at="no3-engine", minutes=45.0)
    wider = with_like_places(b.planner, diagnosis.belief, step.posterior, Situation(), one)
    assert wider.places == tuple(f"no{n}-engine" for n in (1, 2, 3, 4))
    assert wider.minutes < 60.0


def test_a_check_made_at_one_place_at_a_time_stays_there() -> None:
    """The next hose is another look, with its own minutes."""
    b = bench(FOUR)
    diagnosis, step = _dark_lamp()
    one = Action(check="inspect-hot-lines", at="no2-hose", minutes=35.0)
    assert with_like_places(b.planner, diagnosis.belief, step.posterior, Situation(), one) == one


def test_unions_are_looked_at_behind_one_cowling_and_not_behind_the_next_that_is_shut() -> None:
    """Who stands at an open cowling sees all its unions; the other engine's costs its opening."""
    b = bench("low-wing-twin")
    diagnosis = Diagnosis(b, engine=False)
    wet = [Finding("where-wet-first", f"no{k}-engine", "joint", State("parked")) for k in (1, 2)]
    known = (b.planner, diagnosis.belief, diagnosis.see(wet).posterior)
    unions = b.library.checks["inspect-unions-witness"]
    one = Action(check=unions.id, at="no1-hose", minutes=30.0)
    behind = {}
    for name, paid in (("shut", frozenset[str]()), ("open", unions.opens("no2-engine"))):
        wider = with_like_places(*known, Situation(opened=paid), one)
        behind[name] = {b.layout.owner_of(at) for at in wider.places}
        assert len(wider.places) > 2
        assert wider.minutes == 30.0 + (len(wider.places) - 1) * unions.next_minutes
    assert behind == {"shut": {"no1-engine"}, "open": {"no1-engine", "no2-engine"}}


def test_the_second_tank_dipped_in_one_go_costs_less_than_the_first() -> None:
    """Steps, stick and gloves are fetched once."""
    b = bench("low-wing-single")
    dips = [
        r
        for r in b.planner.catalogue.readings
        if r.question == "tank-dipped" and r.key[2] == "static"
    ]
    one, both = b.planner.minutes_of(dips[:1]), b.planner.minutes_of(dips[:2])
    assert both == one + b.library.questions["tank-dipped"].next_minutes < 2 * one


def test_every_drain_that_a_strainer_would_empty_is_sampled_in_one_go() -> None:
    """Both tanks lose their water to the open bowl, so both are drained with one jar before it."""
    b = bench("low-wing-twin")
    diagnosis = Diagnosis(b, engine=False)
    step = diagnosis.see([Finding("strainer-drain-sample", "no2-strainer", "water")])
    opened = Action(check="inspect-strainer-element", at="no2-strainer", minutes=45.0)
    first = b.planner.before_it(opened, diagnosis.belief, step.posterior, Situation())
    assert {r.question for r in first.readings} == {"tank-drain-sample"}
    assert [r.place for r in first.readings] == ["starboard-main-tank", "starboard-aux-tank"]


def _with_its_like(check: str, at: str, *told: Finding) -> tuple[str, ...]:
    b = bench("low-wing-twin")
    diagnosis = Diagnosis(b, engine=False)
    step = diagnosis.see(told)
    over = frozenset(r.key for r in b.planner.catalogue.readings)
    one = Action(check=check, at=at, minutes=b.library.checks[check].minutes)
    return with_like_places(
        b.planner, diagnosis.belief, step.posterior, Situation(asked=over), one
    ).places


def test_a_check_carried_on_is_made_only_where_it_is_worth_its_minutes() -> None:
    """Water on the starboard side: both its caps are looked at on one walk, no port one."""
    water = (
        Finding("strainer-drain-sample", "no2-strainer", "water"),
        Finding("rained-on", "aeroplane", "wet"),
    )
    caps = _with_its_like("inspect-cap", "starboard-aux-cap", *water)
    assert caps == ("starboard-main-cap", "starboard-aux-cap")


def test_two_returns_are_timed_in_one_run() -> None:
    """A gain of both returns is looked for with one start, not with two."""
    b = bench(FOUR)
    diagnosis = Diagnosis(b, engine=False)
    step = diagnosis.see([Finding("vapour-return-flow", f"no{n}-engine", "large") for n in (1, 2)])
    over = frozenset(r.key for r in b.planner.catalogue.readings)
    one = Action(check="time-return-gain", at="no1-vapour-return", minutes=90.0)
    wider = with_like_places(
        b.planner, diagnosis.belief, step.posterior, Situation(asked=over), one
    )
    assert wider.places == ("no1-vapour-return", "no2-vapour-return")
    assert wider.minutes < 2 * one.minutes
