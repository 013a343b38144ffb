"""A short look that may well settle the job goes before a long engine run."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from diagnosis.shipped import bench

from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Finding, State
from diagnose.planner import Situation
from diagnose.planner.worth import HAND_OVER, JOINT, check_minutes, hardly_worth


@pytest.mark.parametrize(
    ("layout", "question", "at", "check"),
    [
        ("low-wing-twin", "cock-handle", "crossfeed-cock", "feel-cock"),
        ("four-engine-float", "cock-handle", "crossfeed-cock", "feel-cock"),
    ],
)
def test_what_is_stiff_in_the_hand_is_felt_before_an_engine_is_run(
    layout: str, question: str, at: str, check: str
) -> None:
    """Three quarters of an hour of running can wait for five minutes at the stiff part itself."""
    diagnosis = Diagnosis(bench(layout), engine=False)
    step = diagnosis.see([Finding(question, at, "stiff", State("static"), "seen")])
    situation = Situation()
    while True:
        action = diagnosis.plan(step, situation, deadline=math.inf).action
        assert action is not None
        assert not action.is_run
        if (action.check, action.at) == (check, at):
            break
        # what costs a glance, or tells more a minute, may come first, and may remain unanswered
        done = frozenset({(action.check, p) for p in (action.at, *action.also) if action.check})
        asked = situation.asked | {r.key for r in action.readings}
        situation = replace(situation, asked=asked, done=situation.done | done)


def test_access_is_paid_for_once() -> None:
    """What lies behind a cowling that is off already costs its own minutes alone."""
    net = bench("low-wing-single").net
    hoses = net.library.checks["inspect-hoses"]
    closed = check_minutes(net, hoses.id, "hose", frozenset())
    opened = net.library.opened_by(net.layout, [("inspect-unions-witness", "engine-pump")])
    behind = check_minutes(net, hoses.id, "hose", opened)
    assert closed - behind == pytest.approx(hoses.access_minutes)


def test_the_cowling_of_one_engine_lets_nobody_in_at_the_next() -> None:
    """A floor is one floor; each engine has a cowling of its own, to be opened and paid for."""
    net = bench("four-engine-injection").net
    opened = net.library.opened_by(net.layout, [("inspect-strainer-element", "no3-strainer")])
    own, other = (
        check_minutes(net, "inspect-strainer-seal", at, opened)
        for at in ("no3-strainer", "no4-strainer")
    )
    assert other - own == net.library.checks["inspect-strainer-seal"].access_minutes
    floor = net.library.opened_by(net.layout, [("inspect-cock-outside", "no1-shut-off-cock")])
    assert floor == {"floor-panel"}


def test_a_disturbed_joint_is_priced_with_the_check_that_opens_it_and_once() -> None:
    """The second person's look and the leak check are paid for with the first joint opened."""
    net = bench("low-wing-single").net
    seal, hoses = (net.library.checks[c] for c in ("inspect-strainer-seal", "inspect-hoses"))
    shut = net.library.opened_by(net.layout, [(hoses.id, "hose")])
    opened = net.library.opened_by(net.layout, [(seal.id, "strainer")])
    of_seal, of_hoses = (
        [check_minutes(net, c, at, paid) for paid in (shut, opened)]
        for c, at in ((seal.id, "strainer"), (hoses.id, "hose"))
    )
    assert of_seal[0] - of_seal[1] == JOINT
    assert of_hoses[0] == of_hoses[1]


def test_a_joint_opened_for_a_reading_is_priced_as_that_of_a_check() -> None:
    """A delivery line led into a can is looked at by a second person too, and is paid for once."""
    planner = bench("low-wing-single").planner
    questions = planner.catalogue.net.library.questions
    into_a_can = [r for r in planner.catalogue.readings if r.question == "delivery-test"][:2]
    opened = questions["delivery-test"].opens
    assert planner.minutes_of(into_a_can) - planner.minutes_of(into_a_can, opened) == JOINT


def test_a_check_is_hardly_worth_its_minutes_where_a_hand_over_is_cheaper() -> None:
    """A hand-over costs a day; a bench test of two days that very likely settles it is made."""
    assert hardly_worth(8.0, 0.001)
    assert not hardly_worth(8.0, 0.1)
    assert hardly_worth(2.0 * HAND_OVER, 0.3)
    assert not hardly_worth(2.0 * HAND_OVER, 0.8)
