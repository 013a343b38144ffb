"""Evidence that can be had once is lost only where the work reaches."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench, library

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State
from diagnose.planner import Action, Reading, Situation
from diagnose.planner.actions import evidence_lost

FOUR = "four-engine-injection"
SINGLE = "low-wing-single"


def reading(layout: str, question: str, tank: str) -> Reading:
    """Return what ``question`` asks at a tank."""
    readings = bench(layout).planner.catalogue.readings
    return next(r for r in readings if r.key[:2] == (question, tank))


def sample(tank: str) -> Reading:
    """Return the sample from the drain of a tank."""
    return reading(FOUR, "tank-drain-sample", tank)


def hiss(tank: str) -> Reading:
    """Return the hiss at the cap of a tank."""
    return reading(SINGLE, "cap-hiss", tank)


def test_opening_a_strainer_loses_the_samples_of_its_own_tanks_only() -> None:
    """The tanks of the other side keep their sumps; cooling is lost for the whole aeroplane."""
    catalogue = bench(FOUR).planner.catalogue
    lost = evidence_lost(library().checks["inspect-strainer-element"], "no2-strainer")

    assert lost == {"draining at no2-strainer"}
    assert catalogue.gone(sample("port-inner-tank"), lost)
    assert not catalogue.gone(sample("starboard-inner-tank"), lost)
    assert catalogue.gone(sample("starboard-inner-tank"), {"draining"})


def test_before_a_strainer_is_opened_only_what_it_would_lose_is_asked_for() -> None:
    """With dirt in the strainer's sample the tanks that feed it are sampled, then it is opened."""
    diagnosis = Diagnosis(bench(FOUR), engine=False)
    told = [
        Finding("fuel-pressure", "no2-engine", "low", State("run-up", {"booster": "off"}), "read"),
        Finding("strainer-drain-sample", "no2-strainer", "dirt", State("static"), "seen"),
    ]
    step, done = diagnosis.see(told), ""
    asked: set[tuple[str, str, str]] = set()
    while not done:
        action = diagnosis.plan(step, Situation(asked=frozenset(asked)), float("inf")).action
        assert action is not None
        assert len(asked) < 40
        done = action.check
        asked |= {r.key for r in action.readings}

    assert done == "inspect-strainer-element"
    sampled = {place for question, place, _ in asked if question == "tank-drain-sample"}
    assert sampled <= {"port-inner-tank", "port-middle-tank"}


def test_a_tank_once_opened_tells_no_more_of_its_suction() -> None:
    """The hiss is gone with the first dip, at that tank and at no other."""
    catalogue = bench(SINGLE).planner.catalogue
    lost = evidence_lost(library().questions["tank-dipped"], "right-tank")

    assert catalogue.gone(hiss("right-tank"), lost)
    assert not catalogue.gone(hiss("left-tank"), lost)


def test_the_hiss_at_the_cap_is_asked_for_before_the_tank_is_opened() -> None:
    """An engine that stops on one tank may draw a vacuum: that is heard once, or never."""
    diagnosis = Diagnosis(bench(SINGLE), engine=False)
    step = diagnosis.see(
        [
            Finding("engine-behaviour", "engine", "stops", State("cruise", {"tank": "right-tank"})),
            Finding("engine-behaviour", "engine", "normal", State("cruise", {"tank": "left-tank"})),
            Finding("gauge-when-it-came", "right-tank", "fuel-shown"),
        ]
    )
    asked: set[tuple[str, str, str]] = set()
    made: set[tuple[str, str]] = set()
    for _ in range(30):
        now = Situation(asked=frozenset(asked), done=frozenset(made))
        action = diagnosis.plan(step, now, float("inf")).action
        assert action is not None
        if any(
            r.place == "right-tank" and "opening" in library().questions[r.question].destroys
            for r in action.readings
        ):
            break
        if action.is_check:
            assert "opening" not in library().checks[action.check].destroys
            made |= {(action.check, at) for at in action.places}
        asked |= {r.key for r in action.readings}
    else:
        raise AssertionError("the tank was never opened")
    assert [r.question for r in action.readings] == ["cap-hiss"]


@pytest.mark.parametrize(
    ("best", "sample_saves", "first"),
    [
        ("last-uplift", 6.0, "tank-drain-sample"),
        ("last-uplift", 4.0, "last-uplift"),
        ("what-just-before", 9.0, "what-just-before"),
    ],
)
def test_what_stands_on_paper_waits_for_what_does_not_keep(
    best: str, sample_saves: float, first: str
) -> None:
    """A docket says the same tomorrow, so a sample worth half as much is taken before it."""
    asked = Action((reading(FOUR, best, "aeroplane"),), saves=10.0)
    jar = Action((sample("port-inner-tank"),), saves=sample_saves)
    chosen = bench(FOUR).planner._before_it_is_lost(asked, [asked, jar])
    assert [r.question for r in chosen.readings] == [first]


def test_noting_how_a_cock_was_found_leaves_its_valve_to_be_held_against_the_handle() -> None:
    """A note of where it stood spoils nothing: a handle a notch out is still a notch out."""
    catalogue = bench("low-wing-twin").planner.catalogue
    lost = evidence_lost(library().checks["confirm-as-found-position"], "port-selector")
    looks = [r for r in catalogue.readings if r.question in ("cock-position", "vent-outlet-look")]
    assert [r for r in looks if catalogue.gone(r, lost)] == []
    assert len(looks) > 4


def test_the_cap_is_seen_as_found_before_the_tank_is_looked_into_for_its_make() -> None:
    """Whoever looks in at the filler has moved the cap; the look at it comes first, or is lost."""
    catalogue = bench("low-wing-twin").planner.catalogue
    lost = evidence_lost(library().questions["tank-construction"], "port-main-tank")
    cap = [r for r in catalogue.readings if r.question == "cap-as-found"]
    assert [catalogue.gone(r, lost) for r in cap if r.place == "port-main-tank"] == [True]


def test_how_a_cock_was_left_is_noted_before_a_hand_moves_it() -> None:
    """Felt from stop to stop it stands nowhere any more as it was flown."""
    on = {tank: State("run-up", {"tank": f"{tank}-tank"}) for tank in ("left", "right")}
    told = [
        Finding("engine-behaviour", "engine", "stops", on["left"], "told"),
        Finding("engine-behaviour", "engine", "normal", on["right"], "told"),
        Finding("what-just-before", "aeroplane", "tank-change", known_by="told"),
    ]
    diagnosis = Diagnosis(bench(SINGLE), engine=False)
    step = diagnosis.see(told)
    asked: set[tuple[str, str, str]] = set()
    done: set[tuple[str, str]] = set()
    questions, checks = library().questions, library().checks
    moving = {q.id for q in questions.values() if "moving" in q.destroys}
    moving |= {c.id for c in checks.values() if "moving" in c.destroys}
    for _ in range(30):
        situation = Situation(asked=frozenset(asked), done=frozenset(done))
        action = diagnosis.plan(step, situation, float("inf")).action
        assert action is not None
        if moving & {action.check, *(r.question for r in action.readings)}:
            break
        asked |= {r.key for r in action.readings}
        done |= {(action.check, action.at)} if action.check else set()
    assert ("confirm-as-found-position", "selector") in done


def test_the_primer_is_looked_at_before_its_plunger_is_worked() -> None:
    """Three strokes leave nothing of how it was found."""
    catalogue = bench("header-biplane").planner.catalogue
    found = next(r for r in catalogue.readings if r.question == "primer-locked")
    assert catalogue.gone(found, evidence_lost(library().questions["plunger"], found.place))


def test_a_check_whose_evidence_is_gone_settles_nothing_any_more() -> None:
    """How a cock was left is not looked for once it was moved; another check may still settle."""
    planner = bench("four-engine-float").planner
    net = planner.catalogue.net
    offered = "confirm-as-found-position"
    cause = next(
        c
        for c in net.instances
        if (settled := planner.settles(c, Situation())) and settled[0] == offered
    )
    moved = planner.settles(cause, Situation(lost=frozenset({"moving"})))
    assert moved is None or moved[0] != offered
