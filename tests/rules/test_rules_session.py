"""Sessions: answers come, change and go; every conclusion is traced down to findings."""

from __future__ import annotations

import gc
import random
import weakref

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rules.rules_kit import (
    FakePlaces,
    both,
    cause,
    found,
    library,
    lower,
    no,
    question,
    sign,
    symptom,
    two_sides,
)

from diagnose.errors import UsageError
from diagnose.model import Finding, Literal
from diagnose.rules import Ground, RuleBase, Session, Trace

BOOK = library(
    [
        question("pressure", ("normal", "low", "high"), instruments=("pressure-gauge",)),
        question("contents", ("some", "none"), at="tank"),
    ],
    [
        symptom("restored", both(sign("pressure", "low", booster="off"),
                                 sign("pressure", "normal", booster="on")), stops="stop"),
        symptom("alone", both(lower("restored"), no(lower("restored", at="other-engines"))),
                points_to=("pump-worn",)),
        symptom("with-fuel", both(lower("alone"), sign("contents", "some", at="its-tank"))),
    ],
    [
        cause("pump-worn", "engine-pump", ("pressure", "low", "its-engine", {})),
        cause("gauge-off", "pressure-gauge", distorts=("pressure",)),
    ],
)  # fmt: skip
LAYOUT = two_sides()
BASE = RuleBase.compile(BOOK, LAYOUT, FakePlaces(LAYOUT))
JOB = (
    found("pressure", "low", booster="off"),
    found("pressure", "normal", booster="on"),
    found("pressure", "normal", at="engine-2", booster="off"),
    found("contents", "some", at="tank-1"),
)


def started() -> Session:
    """Return a session with the findings of the job."""
    session = BASE.session()
    for key, finding in enumerate(JOB):
        session.set(key, finding)
    return session


def test_symptoms_chain_three_deep_from_findings() -> None:
    """The third stratum is reached, and its stop and causes with it."""
    outcome = started().outcome()

    assert [outcome.verdict(s, "engine-1") for s in ("restored", "alone", "with-fuel")] == [
        "true",
        "true",
        "true",
    ]
    assert [c.symptom for c in outcome.stops] == ["restored"]
    assert [str(c) for p in outcome.points for c in p.to] == ["pump-worn@pump-1"]


def test_the_chain_leads_from_the_conclusion_to_every_finding_with_file_and_line() -> None:
    """Each step names its rule's place in the files, and the leaves are exactly the findings."""
    outcome = started().outcome()
    steps = list(outcome.chain("with-fuel", "engine-1"))
    rules = [s for s in steps if isinstance(s.item, Trace)]

    assert [(s.depth, s.item.symptom, s.item.at) for s in rules if isinstance(s.item, Trace)] == [
        (0, "with-fuel", "engine-1"),
        (2, "alone", "engine-1"),
        (4, "restored", "engine-1"),
        (4, "restored", "engine-2"),
    ]
    for step in rules:
        assert isinstance(step.item, Trace)
        assert str(step.item.origin) == f"symptoms/{step.item.symptom}.yaml:1:1"
        assert step.item.epoch == 0
    assert outcome.leaves("with-fuel", "engine-1") == (0, 1, 2, 3)


def test_every_trace_rests_on_something_and_its_findings_bear_it_out() -> None:
    """No ground is empty; a positive ground's findings have one of the classes it asks for."""
    outcome = started().outcome()
    grounds: list[Ground] = [
        g for s in outcome.symptoms.values() for t in s.traces for g in t.grounds
    ]

    assert grounds
    for ground in grounds:
        assert isinstance(ground.atom, Literal)
        assert ground.findings or ground.symptoms
        for key in ground.findings:
            finding = outcome.findings[key]
            assert finding.question == ground.atom.name
            assert (finding.value in ground.atom.value) == ground.holds
        for lower_symptom, place in ground.symptoms:
            assert outcome.verdict(lower_symptom, place) == ("true" if ground.holds else "false")


def test_a_changed_answer_takes_everything_with_it() -> None:
    """When the first reading is corrected, all three strata turn, and only the new is traced."""
    session = started()
    session.outcome()
    session.set(0, found("pressure", "high", booster="off"))
    outcome = session.outcome()

    assert [outcome.verdict(s, "engine-1") for s in ("restored", "alone", "with-fuel")] == [
        "false",
        "false",
        "false",
    ]
    assert (outcome.stops, outcome.points) == ((), ())


def test_the_rules_stay_while_the_findings_they_rest_on_change() -> None:
    """A second low reading takes over from the first: same verdict, new finding in the trace."""
    session = started()
    session.set(7, found("pressure", "low", booster="off", power="high"))
    session.set(0, None)
    outcome = session.outcome()

    assert outcome.verdict("with-fuel", "engine-1") == "true"
    assert outcome.leaves("with-fuel", "engine-1") == (1, 2, 3, 7)


@settings(max_examples=25)
@given(st.permutations(range(len(JOB))), st.randoms(use_true_random=False))
def test_order_of_answers_does_not_matter_and_withdrawing_all_leaves_nothing(
    order: list[int], rng: random.Random
) -> None:
    """Any order of the same answers, with detours, gives one outcome; taken back, none is left."""
    straight = BASE.plain.outcome(dict(enumerate(JOB)))
    session = BASE.session()
    for key in order:
        session.set(key, JOB[rng.randrange(len(JOB))])
    for key in order:
        session.set(key, JOB[key])
    assert session.outcome() == straight
    for key in order:
        session.set(key, None)
    assert session.outcome() == BASE.plain.outcome({})
    assert session.outcome().symptoms == {}


def test_a_session_let_go_gives_its_engine_to_the_next_without_its_findings() -> None:
    """Engines are built once and reused; nobody closes the session of a job that was left."""
    first = BASE.session()
    first.set(0, JOB[0])
    engine = first._engine
    del first
    second = BASE.session()

    assert second._engine is engine
    assert second.outcome().findings == {}


def test_two_sessions_at_once_do_not_mix() -> None:
    """Each job has its own engine."""
    one, two = BASE.session(), BASE.session()
    one.set(0, JOB[0])
    two.set(0, JOB[2])

    assert list(one.outcome().symptoms) == []
    assert {at for _, at in two.outcome().symptoms} == {"engine-2"}


@pytest.mark.parametrize(
    ("finding", "message"),
    [
        (found("presure", "low"), "'presure' is not a known question"),
        (found("pressure", "lo"), "'lo' is not an answer to 'pressure': use one of normal, low"),
        (found("pressure", "low", at="engine-9"), "'engine-9' is not a part of layout"),
        (Finding("look", "engine-1", "x", check=True), "'look' is not a known check"),
    ],
)
def test_an_answer_that_makes_no_sense_is_refused_and_changes_nothing(
    finding: Finding, message: str
) -> None:
    """Unknown question, class, place or check: told by name, and the session stays as it was."""
    session = BASE.session()
    session.set(0, JOB[0])
    before = session.outcome()
    with pytest.raises(UsageError, match=message):
        session.set(0, finding)

    assert session.outcome() == before


def test_withdrawing_what_was_never_given_is_no_change() -> None:
    """None for an unused key does nothing."""
    session = BASE.session()
    session.set(3, None)

    assert session.outcome() == BASE.plain.outcome({})


def test_what_is_alive_while_rules_are_compiled_can_be_let_go_afterwards() -> None:
    """A job that is open then refers to itself, so only a later collection lets go of it."""

    class Open:
        def __init__(self) -> None:
            self.itself = self

    job = Open()
    seen = weakref.ref(job)
    RuleBase.compile(BOOK, LAYOUT, FakePlaces(LAYOUT))
    del job
    gc.collect()
    assert seen() is None


def test_compiling_leaves_garbage_collection_as_it_was() -> None:
    """The pause in collection ends with the compilation, also when the rules are refused."""
    bad = library([question("a")], [symptom("s", lower("s"))])
    for was_on in (True, False):
        (gc.enable if was_on else gc.disable)()
        try:
            RuleBase.compile(BOOK, LAYOUT, FakePlaces(LAYOUT))
            assert gc.isenabled() == was_on
            with pytest.raises(Exception, match="rests on itself"):
                RuleBase.compile(bad, LAYOUT, FakePlaces(LAYOUT))
            assert gc.isenabled() == was_on
        finally:
            gc.enable()
