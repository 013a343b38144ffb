"""The debrief: measured against what could be known, never negative, and fair to the best route."""

from __future__ import annotations

import json

import pytest
from diagnosis.shipped import bench
from hypothesis import given, settings
from hypothesis import strategies as st
from training.training_kit import (
    PRIMER,
    PRIMER_TOLD,
    SINGLE,
    STRAINER,
    attempt,
    made_safe,
    plane,
    reading,
)

from diagnose.cli.exercise.debrief_view import debrief_lines
from diagnose.job.day.before_run import FOR_A_RUN
from diagnose.model import CauseAt, Finding, State
from diagnose.planner import Action
from diagnose.planner.outlook import Outlook
from diagnose.training.attempt import Attempt
from diagnose.training.debrief import as_json, debrief
from diagnose.training.hints import hint
from diagnose.training.lesson import WITHOUT, met, not_looked_for, risked
from diagnose.training.measures import measured
from diagnose.training.route import best_route, settled, work
from diagnose.training.worth import name_of, option_of


def over(a: Attempt) -> Attempt:
    """Return the attempt, given up if it is not over."""
    if not a.state.over:
        a.stop("given up")
    return a


def quick() -> Attempt:
    """Return an attempt on a fault that the planner finds in a few steps."""
    return attempt(plane(PRIMER, "half", told=PRIMER_TOLD), told=PRIMER_TOLD)


def test_the_planners_own_route_as_the_apprentice_scores_one() -> None:
    """Who works as the planner does takes its time and its luck, and repeats nothing."""
    a = quick()
    work(a)
    d = debrief(a)
    assert a.state.solved
    assert d.ratio == pytest.approx(1.0)
    assert d.measures.redundant == 0
    assert not a.state.skipped
    assert d.measures.luck == d.route.luck
    body = as_json(d)
    mine, tools = body["work"], body["best_route"]
    assert [s["label"] for s in mine["steps"]] == [
        s["label"] for s in tools["steps"] if "answer" in s
    ]
    first = next(s for s in mine["steps"] if not s["safety_look"])
    assert first["tool_would"]["label"] == first["label"]


def test_the_tool_stops_when_the_part_is_settled() -> None:
    """It names the part as soon as a check confirms it, or nine parts in ten stand on it."""
    a = quick()
    step = a.step()
    assert settled(a.bench, step, {}) is None
    a.check("inspect-primer", "primer")
    found = settled(a.bench, a.step(), {})
    assert found is not None
    assert found.at == "primer"
    assert settled(a.bench, a.step(), dict.fromkeys(a.bench.net.instances, 0)) is None


def test_a_look_is_dear_where_another_tells_as_much_for_less() -> None:
    """The verdict holds cost against what was known then, and says what to do instead."""
    a = attempt(plane())
    a.check("inspect-line-bore", "hose")
    (step,) = measured(over(a)).steps
    assert step.worth == "dear"
    assert step.better is not None
    assert step.better.bits >= step.bits
    assert step.better.minutes < step.minutes
    b = quick()
    b.check("inspect-primer", "primer")
    b.ask(reading("days-parked", "aeroplane"))
    first, second = measured(over(b)).steps
    assert first.worth == "good"
    assert first.tells_apart
    assert first.raised is None or first.raised[0] == "primer"
    assert second.worth == "settled"
    assert second.settled == PRIMER


def test_what_was_left_out_is_held_against_one_look() -> None:
    """One cheap question forgotten is one lesson, and no blot on every look after it."""
    a = attempt(plane())
    for look in (("tank-dipped", "left-tank", "static"), ("tank-dipped", "right-tank", "static"),
                 ("cock-handle", "selector", "static"), ("primer-locked", "primer", "static"),
                 ("strainer-drain-sample", "strainer", "static")):  # fmt: skip
        a.ask(reading(*look))
    held = [
        name_of(s.better.action) for s in measured(over(a)).steps if s.worth == "dear" and s.better
    ]
    assert len(held) > 1
    assert len(held) == len(set(held))


def test_the_same_run_by_another_name_tells_nothing_new() -> None:
    """Who ran it up on the tank the cocks stand at is not told to run it up on that tank."""
    a = attempt(plane())
    made_safe(a)
    a.ask(reading("engine-behaviour", "engine", "run-up-booster-off"))
    twin = reading("engine-behaviour", "engine", "run-up-left")
    assert twin.key in a.situation().asked
    a.confirm()
    a.ask(twin)
    assert measured(over(a)).steps[-1].worth == "again"


def test_a_guess_that_was_right_is_called_luck() -> None:
    """The chance of the part when it was named and at the look that settled it are told."""
    a = quick()
    made_safe(a)
    a.name(CauseAt("float-level-high", "carburettor"), 0.9)
    a.check("inspect-primer", "primer")
    a.name(PRIMER, 0.9)
    luck = as_json(debrief(a))["luck"]
    assert luck["chance_when_named"] > 0.5
    b = attempt(plane())
    made_safe(b)
    b.name(STRAINER, 0.9)
    (named,) = measured(b).namings
    assert named.premature
    assert b.state.namings[0].chance == pytest.approx(named.chance)


def test_dangers_met_run_into_and_not_looked_for_are_told() -> None:
    """Who names a part without a look at the engine bay is told what was to be seen there."""
    leak = CauseAt("hose-cracked", "hose")
    smell = Finding("fuel-smell", "aeroplane", "cabin", known_by="told")
    seeds = (s for s in range(40)
             if plane(leak, seed=s).reading(reading("engine-bay-leak", "engine", "static")).value
             != "dry")  # fmt: skip
    a = attempt(plane(leak, seed=next(seeds), told=(smell,)), told=(smell,))
    assert not_looked_for(a) == (), "nobody has run anything yet"
    a.heed()
    a.ask(reading("fuel-pressure", "engine", "run-up-booster-off"))
    a.name(leak, 0.9)
    (missed, wiring) = not_looked_for(a)
    assert (wiring.gate.question, wiring.safe) == ("burning-smell", True)
    assert missed.gate.question == "engine-bay-leak"
    assert not missed.safe
    assert len(met(a)) == 1
    assert len(a.state.skipped) == 1


def test_who_looks_at_everything_twice_is_told_so() -> None:
    """Asked again, the same look tells nothing, and it is counted."""
    a = attempt(plane())
    r = reading("tank-stains", "left-tank", "static")
    for _ in range(3):
        a.ask(r)
    a.check("inspect-strainer-element", "strainer")
    a.check("inspect-strainer-element", "strainer")
    m = measured(over(a))
    assert [s.again for s in m.steps] == [False, True, True, False, True]
    assert m.redundant >= 3
    assert all(s.bits == 0.0 for s in m.steps if s.again)


def test_gates_are_no_waste() -> None:
    """Looking for leaks is done for safety: it is not held against anybody."""
    a = attempt(plane())
    made_safe(a)
    m = measured(over(a))
    assert all(s.gate and not s.redundant for s in m.steps)
    assert m.information is None


def test_naming_while_others_are_likelier_is_premature() -> None:
    """At once after the report no part has most of the belief; after its check the part has."""
    a = attempt(plane())
    made_safe(a)
    a.name(CauseAt("engine-pump-worn", "engine-pump"), 1.0)
    a.check("inspect-strainer-element", "strainer")
    a.name(STRAINER, 0.9)
    m = measured(a)
    assert [n.premature for n in m.namings] == [True, False]
    assert m.brier == pytest.approx((1.0 + 0.01) / 2)


def test_eliminations_missed_and_not_justified_are_told() -> None:
    """A part ruled out and kept is missed; one struck off without ground is not justified."""
    a = attempt(plane())
    a.clear("strainer")
    a.check("inspect-strainer-element", "strainer")
    m = measured(over(a))
    assert [(s.place, s.justified) for s in m.struck] == [("strainer", False)]
    assert "engine-pump" in m.missed
    assert "strainer" not in m.missed
    ruled = next(s.ruled_out for s in m.steps)
    assert "engine-pump" in ruled


def test_without_a_list_nothing_is_held_against_it() -> None:
    """The list is optional."""
    a = attempt(plane())
    a.check("inspect-strainer-element", "strainer")
    assert measured(over(a)).missed == ()


def test_calling_it_no_fault_is_told() -> None:
    """'Nothing found' while there was something is the dearest answer of all."""
    none = next(c for c in bench(SINGLE).net.instances
                if bench(SINGLE).library.causes[c.cause].outside == "no-fault")  # fmt: skip
    a = quick()
    made_safe(a)
    a.name(none, 0.7)
    a.stop("given up")
    assert debrief(a).false_no_fault


def test_the_lesson_tells_the_named_from_the_true() -> None:
    """What was named instead is told apart in the words of the knowledge, with file and line."""
    a = quick()
    made_safe(a)
    a.name(CauseAt("idle-mixture-misadjusted", "carburettor"), 0.8)
    a.check("inspect-primer", "primer")
    a.stop("given up")
    body = as_json(debrief(a))
    told = body["lesson"]["told_apart"]
    assert told[0]["from"]["cause"] == "idle-mixture-misadjusted"
    assert [t["named"] for t in told] == [True] + [False] * (len(told) - 1)
    assert told[0]["text"].startswith("Locking the primer changes nothing")
    assert told[0]["file"].startswith("knowledge/causes/priming/primer-not-locked.yaml:")
    assert told[0]["question"] is not None
    assert told[0]["ruled_out_by"] in (0, 3, 7), "by the report, the smell or the primer itself"
    assert body["lesson"]["file"].startswith("knowledge/causes/priming/primer-not-locked.yaml")
    assert body["lesson"]["because"]
    json.dumps(body)


def test_a_look_alike_is_followed_until_it_is_ruled_out() -> None:
    """Likely by the report, gone with the look that tells; one never looked at stays open."""
    a = attempt(plane())
    pump, gauge = (CauseAt("engine-pump-worn", "engine-pump"),
                   CauseAt("pressure-gauge-reads-low", "pressure-gauge"))  # fmt: skip
    before = measured(a, (pump, gauge)).followed
    assert [f.out for f in before] == [None, None]
    a.check("inspect-strainer-element", "strainer")
    after = measured(a, (pump, gauge)).followed
    assert [f.first for f in after] == [f.first for f in before]
    assert after[0].last < 0.1 * after[0].first
    assert after[0].out == a.log.events[-1]["n"]


def test_a_hint_teaches_the_split_and_not_the_answer() -> None:
    """The first names what to think of, the second where; neither names a cause."""
    a = attempt(plane())
    titles = [c.title for c in bench(SINGLE).library.causes.values()]
    for said in ("think of", "is expected of"):
        text = hint(a)
        assert said in text
        assert not any(t in text for t in titles)
        a.hinted(text)
    a.ask(reading("days-parked", "aeroplane"))
    assert "think of" in hint(a), "after an answer it begins anew"


def test_a_hint_speaks_of_halves_only_where_there_are_some() -> None:
    """What one in ten answers otherwise is no split in half, and is not called one."""
    told = (Finding("engine-behaviour", "engine", "fades", State("run-up"), known_by="told"),)
    said = set()
    for p in (plane(), plane(CauseAt("cap-left-off", "left-cap"))):
        a = attempt(p, told=told)
        for look in (("when-it-comes", "aeroplane"), ("cock-handle", "selector", "static"),
                     ("strainer-drain-sample", "strainer", "static"),
                     ("fuel-pressure", "engine", "run-up-booster-off")):  # fmt: skip
            first = hint(a)
            a.hinted(first)
            share = float(hint(a).partition("index ")[2].partition(";")[0])
            assert ("about half" in first) == (share >= 0.5)
            said.add(share >= 0.5)
            a.ask(reading(*look))
    assert said == {True, False}


def test_the_best_route_does_not_touch_the_apprentices_log() -> None:
    """It is worked in memory alone."""
    a = quick()
    a.stop("given up")
    before = list(a.log.events)
    best_route(a)
    assert a.log.events == before


READINGS = bench(SINGLE).planner.catalogue.readings
CHECKS = bench(SINGLE).planner.catalogue.checks
CAUSES = bench(SINGLE).net.instances
ACT = st.one_of(
    st.integers(0, len(READINGS) - 1).map(lambda k: ("ask", k)),
    st.integers(0, len(CHECKS) - 1).map(lambda k: ("check", k)),
    st.integers(0, len(CAUSES) - 1).map(lambda k: ("name", k)),
)


@settings(max_examples=3)
@given(st.lists(ACT, min_size=1, max_size=4), st.integers(0, 50))
def test_no_measure_is_negative_and_shares_are_whole(
    acts: list[tuple[str, int]], seed: int
) -> None:
    """Whatever is done: information is not negative, shares lie in 0 to 1 and sum to 1."""
    a = attempt(plane(seed=seed))
    made_safe(a)
    for kind, k in acts:
        if a.state.over:
            break
        if kind == "ask":
            a.ask(READINGS[k])
        elif kind == "check":
            a.check(*CHECKS[k])
        else:
            a.name(CAUSES[k], 0.5)
    m = measured(over(a))
    shares = [x.share_of_minutes for x in m.steps] + [x.share_of_minutes for x in m.namings]
    assert sum(shares) == pytest.approx(1.0)
    assert all(0.0 <= s.bits <= s.best + 1e-9 for s in m.steps)
    assert all(s.share is None or 0.0 <= s.share <= 1.0 for s in m.steps)
    assert all(0.0 <= s.half_split <= 1.0 for s in m.steps)
    assert sum(m.left.values()) == pytest.approx(1.0)
    assert m.brier is None or 0.0 <= m.brier <= 1.0


def test_expected_bits_are_those_of_the_planner() -> None:
    """The debrief weighs a question as the planner does."""
    a = attempt(plane())
    step = a.step()
    outlook = Outlook(a.diagnosis.belief, step.posterior)
    for r, bits in a.bench.planner.telling(a.diagnosis.belief, step.posterior, READINGS[:20]):
        assert option_of(outlook, Action((r,))).bits == pytest.approx(bits, abs=1e-9)


def test_who_gives_up_is_told_what_came_next_and_what_he_risked() -> None:
    """What the planner would have done where he stopped, what it parts, and what a gate is for."""
    a = attempt(plane())
    a.ask(reading("fuel-pressure", "engine", "run-up-booster-off"))
    a.stop("given up")
    body = as_json(debrief(a))
    assert body["next"]["look"]["label"]
    assert len(body["next"]["tells_apart"]) == 2
    (refusal,) = body["refusals"]
    assert "A leak with the engine running is a fire." in refusal["risked"]
    assert len(refusal["risked"]) == 3
    text = "\n".join(debrief_lines(body))
    assert "Next, by what you knew where you stopped: " in text
    assert "what it risks: A leak with the engine running is a fire." in text
    assert risked(a.bench, FOR_A_RUN) == [*WITHOUT.values()]
