"""The debrief: measured against what could be known, never negative, and fair to the best route."""

from __future__ import annotations

import json

import pytest
from diagnosis.shipped import bench
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from training_kit import SINGLE, STRAINER, attempt, made_safe, plane, reading

from diagnose.model import CauseAt
from diagnose.planner import Action
from diagnose.training.attempt import Attempt
from diagnose.training.debrief import as_json, debrief
from diagnose.training.hints import hint
from diagnose.training.measures import measured
from diagnose.training.route import best_route, work
from diagnose.training.worth import option_of, outlook_of


def solved(a: Attempt) -> Attempt:
    """Return the attempt, given up if it is not over."""
    if not a.state.over:
        a.stop("given up")
    return a


def test_the_planners_own_route_as_the_apprentice_scores_one() -> None:
    """Who works as the planner does takes its time, skips nothing and repeats nothing."""
    a = attempt(plane(seed=3))
    work(a)
    d = debrief(a)
    assert a.state.solved
    assert d.ratio == pytest.approx(1.0)
    assert d.measures.redundant == 0
    assert d.safety == 0
    assert [s.action for s in d.measures.steps] == [s.action for s in d.route_measures.steps]


def test_who_looks_at_everything_twice_is_told_so() -> None:
    """Asked again, the same look tells nothing, and it is counted."""
    a = attempt(plane())
    r = reading("tank-stains", "left-tank", "static")
    for _ in range(3):
        a.ask(r)
    a.check("inspect-strainer-element", "strainer")
    a.check("inspect-strainer-element", "strainer")
    m = measured(solved(a))
    assert [s.again for s in m.steps] == [False, True, True, False, True]
    assert m.redundant >= 3
    assert all(s.bits == 0.0 for s in m.steps if s.again)


def test_gates_are_no_waste() -> None:
    """Looking for leaks is done for safety: it is not held against anybody."""
    a = attempt(plane())
    made_safe(a)
    m = measured(solved(a))
    assert all(s.gate and not s.redundant for s in m.steps)
    assert m.information is None


def test_naming_while_others_are_likelier_is_premature() -> None:
    """At once after the report no part has most of the belief; after its check the part has."""
    a = attempt(plane())
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
    m = measured(solved(a))
    assert [(s.place, s.justified) for s in m.struck] == [("strainer", False)]
    assert "engine-pump" in m.missed
    assert "strainer" not in m.missed
    ruled = next(s.ruled_out for s in m.steps)
    assert "engine-pump" in ruled


def test_without_a_list_nothing_is_held_against_it() -> None:
    """The list is optional."""
    a = attempt(plane())
    a.check("inspect-strainer-element", "strainer")
    assert measured(solved(a)).missed == ()


def test_calling_it_no_fault_is_told() -> None:
    """'Nothing found' while there was something is the dearest answer of all."""
    none = next(c for c in bench(SINGLE).net.instances
                if bench(SINGLE).library.causes[c.cause].outside == "no-fault")  # fmt: skip
    a = attempt(plane())
    a.name(none, 0.7)
    a.stop("given up")
    assert debrief(a).false_no_fault


def test_the_lesson_tells_the_named_from_the_true() -> None:
    """What was named instead is told apart in the words of the knowledge, with file and line."""
    a = attempt(plane())
    a.name(CauseAt("engine-pump-worn", "engine-pump"), 0.8)
    a.stop("given up")
    body = as_json(debrief(a))
    told = body["lesson"]["told_apart"]
    assert [t["from"]["cause"] for t in told] == ["engine-pump-worn"]
    assert "poorest at low speed" in told[0]["text"]
    assert told[0]["file"].startswith("knowledge/causes/contamination/strainer-plugged.yaml:")
    assert told[0]["question"] is not None
    assert body["lesson"]["file"].startswith("knowledge/causes/contamination/strainer-plugged.yaml")
    assert body["lesson"]["because"]
    json.dumps(body)


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


def test_the_best_route_does_not_touch_the_apprentices_log() -> None:
    """It is worked in memory alone."""
    a = attempt(plane())
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


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(ACT, min_size=1, max_size=6), st.integers(0, 50))
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
    m = measured(solved(a))
    shares = [x.share_of_minutes for x in (*m.steps, *m.namings)]
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
    outlook = outlook_of(a.diagnosis, step)
    for r, bits in a.bench.planner.telling(a.diagnosis.belief, step.posterior, READINGS[:20]):
        assert option_of(outlook, Action((r,))).bits == pytest.approx(bits, abs=1e-9)
