"""Signs joined by 'all-in-one-state' count only where they are of one and the same run state."""

from __future__ import annotations

from typing import Any

import pytest
from diagnosis.shipped import bench
from rules.meaning_kit import concluded
from rules.rules_kit import (
    FakePlaces,
    both,
    either,
    found,
    library,
    lower,
    no,
    question,
    sign,
    symptom,
    together,
    two_sides,
)

from diagnose.chart.start import from_symptom
from diagnose.errors import KnowledgeError
from diagnose.job.diagnosis import Diagnosis
from diagnose.model import Condition, Finding, State
from diagnose.rules import PlainRules, what_would_change, why_not

PRESSURE = question("pressure", ("normal", "low"), depends_on=("power", "booster"))
RUNNING = question("running", ("normal", "fades"), depends_on=("power",))
SOOT = question("soot", ("normal", "black"), depends_on=())
LAYOUT = two_sides()
STARVED = together(sign("pressure", "low"), sign("running", "fades"))


def verdict(when: Condition, *findings: Finding) -> str | None:
    """Return what is known of a symptom under ``when``; engine and plain evaluator must agree."""
    book = library([PRESSURE, RUNNING, SOOT], [symptom("it", when)])
    return concluded(book, *findings).verdict("it", "engine-1")


@pytest.mark.parametrize(
    ("pressure", "running", "said"),
    [
        ({"power": "high"}, {"power": "high"}, "true"),
        ({"power": "high", "booster": "off"}, {"power": "high"}, "true"),  # it minds no booster
        ({"power": "high"}, {"power": "mid"}, None),
        ({"power": "high"}, {}, None),  # perhaps in that state, perhaps not
        ({}, {}, "true"),  # neither states any: told of one occasion
    ],
)
def test_two_signs_join_only_in_the_state_both_state(
    pressure: dict[str, Any], running: dict[str, Any], said: str | None
) -> None:
    """Of the settings that matter to a sign, it must state what the other states."""
    findings = (found("pressure", "low", **pressure), found("running", "fades", **running))

    assert verdict(STARVED, *findings) == said
    plain_all = both(sign("pressure", "low"), sign("running", "fades"))
    assert verdict(plain_all, *findings) == "true"


def test_false_needs_every_state_looked_at_to_be_false() -> None:
    """Normal at idle does not deny what the run-up may show; normal in both states does."""
    idle = found("pressure", "normal", power="low")
    high = found("running", "fades", power="high")

    assert verdict(STARVED, idle, found("running", "fades", power="low")) == "false"
    assert verdict(STARVED, idle, high) is None
    assert verdict(STARVED, idle, high, found("pressure", "normal", power="high")) == "false"


def test_all_any_and_not_are_read_within_the_state() -> None:
    """'Low, and the engine does not fade' is met at idle though it fades at full power."""
    rule = together(sign("pressure", "low"), no(sign("running", "fades")))
    at_power = (found("pressure", "low", power="high"), found("running", "fades", power="high"))
    at_idle = (found("pressure", "low", power="low"), found("running", "normal", power="low"))

    assert verdict(rule, *at_power) == "false"
    assert verdict(rule, *at_power, *at_idle) == "true"
    assert verdict(no(rule), *at_idle) == "false"
    wide = together(
        sign("pressure", "low"), either(sign("running", "fades"), sign("soot", "black"))
    )
    assert verdict(wide, at_idle[0], found("soot", "black", power="high")) == "true"


def test_another_epoch_is_another_run() -> None:
    """What was read after the repair does not join what was told before it."""
    low = found("pressure", "low", power="high")

    assert verdict(STARVED, low, found("running", "fades", power="high", epoch=1)) is None


def test_the_trace_rests_on_the_findings_of_that_state_alone() -> None:
    """The reading of another run state is no ground of the rule."""
    book = library([PRESSURE, RUNNING], [symptom("it", STARVED, stops="stop")])
    plain = PlainRules.of(book, LAYOUT, FakePlaces(LAYOUT))
    findings = (
        found("pressure", "low", power="low"),
        found("pressure", "low", power="high"),
        found("running", "fades", power="high"),
    )

    assert plain.outcome(dict(enumerate(findings))).leaves("it", "engine-1") == (1, 2)


def test_what_would_change_asks_in_the_run_state_already_looked_at() -> None:
    """Low at full power: fading at full power would make the rule true, at idle it would not."""
    book = library([PRESSURE, RUNNING], [symptom("it", STARVED)])
    plain = PlainRules.of(book, LAYOUT, FakePlaces(LAYOUT))
    findings = {0: found("pressure", "low", power="high")}
    answers = what_would_change(plain, findings, "it", "engine-1", 0)

    assert ("running", "fades", {"power": "high"}, "true") in [
        (a.finding.question, a.finding.value, dict(a.finding.state.settings), a.after)
        for a in answers
    ]
    assert [m.atom for s in why_not(plain, findings, "it", "engine-1", 0) for m in s.missing] == [
        STARVED
    ]


@pytest.mark.parametrize(
    ("when", "said"),
    [
        (together(lower("under"), sign("soot", "black")), "'under' is of no run state"),
        (together(STARVED, sign("soot", "black")), "cannot stand in another"),
        (
            together(sign("pressure", "low", power="low"), sign("running", "fades", power="high")),
            "can never be of one run state",
        ),
    ],
)
def test_what_has_no_common_run_state_is_refused_at_load(when: Condition, said: str) -> None:
    """A symptom, a nested list and states that exclude each other are told with the way out."""
    under = symptom("under", sign("soot", "black"))
    book = library([PRESSURE, RUNNING, SOOT], [under, symptom("it", when)])

    with pytest.raises(KnowledgeError) as told:
        PlainRules.of(book, LAYOUT, FakePlaces(LAYOUT))
    assert said in str(told.value)


# ------------------------------------------------------------------ the shipped rules

ENGINE = "no2-engine"
OFF, ON = State("run-up", {"booster": "off"}), State("run-up", {"booster": "on"})
IDLE = State("idle", {"booster": "off"})
LIT = Finding("pressure-lamp", ENGINE, "lit", OFF, "seen")


@pytest.mark.parametrize("engine", [True, False])
@pytest.mark.parametrize(
    ("gauge", "symptom_id", "holds"),
    [
        (Finding("fuel-pressure", ENGINE, "normal", OFF, "read"), "lamp-against-gauge", True),
        (Finding("fuel-pressure", ENGINE, "normal", ON, "read"), "lamp-against-gauge", False),
        (Finding("fuel-pressure", ENGINE, "normal", IDLE, "read"), "lamp-against-gauge", False),
        (Finding("fuel-pressure", ENGINE, "low", OFF, "read"), "true-low-pressure", True),
        (Finding("fuel-pressure", ENGINE, "low", IDLE, "read"), "true-low-pressure", False),
    ],
)
def test_a_lamp_in_one_state_says_nothing_of_the_gauge_in_another(
    gauge: Finding, symptom_id: str, holds: bool, engine: bool
) -> None:
    """Lit with the booster off and normal with it on is a weak supply, not a false lamp."""
    outcome = Diagnosis(bench("four-engine-injection"), engine=engine).see((LIT, gauge)).outcome

    assert (outcome.verdict(symptom_id, ENGINE) == "true") is holds


def test_a_chart_that_starts_at_such_a_rule_says_that_the_run_state_is_one() -> None:
    """Paper, too, must not let a lamp at idle be held against the gauge at the run-up."""
    start = from_symptom(bench("four-engine-injection"), "lamp-against-gauge", ENGINE)

    assert start is not None
    assert len(start.says) == 2
    assert all("[in one and the same run state]" in line for line in start.says)
