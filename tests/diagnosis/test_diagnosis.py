"""Rules, belief and planner together on the shipped knowledge."""

from __future__ import annotations

import random

import numpy as np
import pytest
from diagnosis.shipped import LAYOUTS, bench, library

from diagnose.belief import Belief
from diagnose.job.diagnosis import Diagnosis, open_gates
from diagnose.job.explain import explain_cause, word_for
from diagnose.model import Finding, State
from diagnose.planner import Reading, Situation

FOUR = "four-engine-injection"


def read(question: str, at: str, value: str, others: bool = False, **state: str) -> Finding:
    """Return a finding read in a run state (``stage`` and settings)."""
    stage = state.pop("stage", "")
    return Finding(question, at, value, State(stage, state), "read", others_normal=others)


def random_findings(layout: str, seed: int, count: int = 8) -> list[Finding]:
    """Return answers to random readings of the layout's catalogue."""
    rng = random.Random(seed)
    readings = rng.sample(bench(layout).planner.catalogue.readings, count)
    return [
        Finding(
            r.question,
            r.place,
            rng.choice(list(library().questions[r.question].classes)),
            r.state,
            rng.choice(["read", "seen", "told"]),
        )
        for r in readings
    ]


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("seed", range(3))
def test_belief_weighs_exactly_the_evidence_the_rules_fired(layout: str, seed: int) -> None:
    """For every sign, the causes the rules name as evidence are the causes the belief weighs."""
    findings = random_findings(layout, seed)
    diagnosis = Diagnosis(bench(layout))
    step = diagnosis.see(findings)
    fired: dict[int, set[str]] = {}
    for e in step.outcome.evidence:
        fired.setdefault(e.finding, set()).add(str(e.cause))
    weighed: dict[int, set[str]] = {}
    assert isinstance(diagnosis.belief, Belief)
    for key, factor in diagnosis.belief.factors.items():
        for i, f in enumerate(findings):
            effect = library().questions[f.question].reads
            if (effect, f.at) == key[:2]:
                names = {str(diagnosis.belief.prior.causes[c]) for c in factor.active.tolist()}
                weighed.setdefault(i, set()).update(names)
    for i, causes in fired.items():
        assert causes <= weighed[i]
    assert set().union(*fired.values(), set()) == set().union(*weighed.values(), set())


def test_engine_and_plain_evaluator_lead_to_the_same_step() -> None:
    """Whether compiled or plain, rules and belief end alike."""
    for seed in range(4):
        findings = random_findings(FOUR, seed)
        one = Diagnosis(bench(FOUR)).see(findings)
        two = Diagnosis(bench(FOUR), engine=False).see(findings)
        assert one.outcome.symptoms == two.outcome.symptoms
        assert np.allclose(one.posterior.marginal, two.posterior.marginal, atol=1e-12, rtol=0)


def test_pressure_low_only_without_booster_puts_pump_and_suction_first() -> None:
    """Booster off low, on normal, the others sound: engine pump or suction side, not the lamp."""
    step = Diagnosis(bench(FOUR)).see(
        [
            read("fuel-pressure", "no2-engine", "low", True, stage="run-up", booster="off"),
            read("fuel-pressure", "no2-engine", "normal", stage="run-up", booster="on"),
            read("pressure-lamp", "no2-engine", "lit", stage="run-up", booster="off"),
        ]
    )
    best = [c for c, _ in step.posterior.ranking() if c.at != "aeroplane"][:10]
    assert any(c.at.startswith("no2") for c in best[:2])
    assert not any("lamp" in c.cause or "switch" in c.cause for c in best)
    assert step.outcome.verdict("booster-restores", "no2-engine") == "true"


def test_lamp_lit_with_a_sound_gauge_puts_switch_and_circuit_first() -> None:
    """Gauge in the band, engine sweet, lamp lit at all powers: the indication is at fault."""
    step = Diagnosis(bench(FOUR)).see(
        [
            read("pressure-lamp", "no2-engine", "lit", True, stage="run-up", booster="off"),
            read("fuel-pressure", "no2-engine", "normal", stage="run-up", booster="off"),
            read("pressure-lamp", "no2-engine", "lit", stage="run-up", booster="on"),
            read("engine-behaviour", "no2-engine", "normal", stage="run-up", booster="off"),
        ]
    )
    first = step.posterior.ranking()[0][0]
    kind = bench(FOUR).layout.parts[first.at].kind
    assert kind in {"pressure-switch", "warning-circuit", "warning-lamp"}


def test_a_run_waits_for_gates_and_unknown_blocks() -> None:
    """Smell and leak must be known to be absent; unknown keeps every gate open."""
    b = bench(FOUR)
    closed = open_gates(b, [])
    assert {g.question for g in closed} >= {"fuel-smell", "engine-bay-leak"}
    known = [
        Finding(g.question, g.place, library().questions[g.question].gate, State(), "seen")
        for g in closed
    ]
    assert open_gates(b, known) == ()
    wet = [*known, Finding("fuel-smell", "aeroplane", "cabin", State(), "seen")]
    assert [g.question for g in open_gates(b, wet)] == ["fuel-smell"]


def test_the_planner_repeats_itself_and_never_asks_twice() -> None:
    """The same findings give the same plan, and what was asked is not asked again."""
    diagnosis = Diagnosis(bench(FOUR))
    step = diagnosis.see([read("fuel-pressure", "no2-engine", "low", True, stage="run-up")])
    situation = Situation()
    asked: set[tuple[str, str, str]] = set()
    for _ in range(6):
        one = diagnosis.plan(step, situation, deadline=60.0)
        two = diagnosis.plan(step, situation, deadline=60.0)
        assert one.action == two.action
        assert one.action is not None
        keys = {r.key for r in one.action.readings}
        assert not keys & asked
        asked |= keys
        done = situation.done | ({(one.action.check, one.action.at)} if one.action.check else set())
        situation = Situation(asked=frozenset(asked), done=frozenset(done))


def test_without_hands_or_tools_only_what_can_be_done_is_offered() -> None:
    """With no tools and one man nothing needing either is proposed."""
    diagnosis = Diagnosis(bench(FOUR))
    step = diagnosis.see([read("fuel-pressure", "no2-engine", "low", True, stage="run-up")])
    plan = diagnosis.plan(step, Situation(tools=frozenset(), hands=1, may_run=False), deadline=60.0)
    lib = library()
    for action in (plan.action, *plan.others):
        if action is None:
            continue
        if action.is_check:
            assert not lib.checks[action.check].tools
            assert lib.checks[action.check].hands == 1
        for r in action.readings:
            assert isinstance(r, Reading)
            assert not lib.questions[r.question].tools
            assert lib.questions[r.question].hands == 1
        assert not action.is_run


def test_why_leads_from_a_cause_to_file_line_and_source() -> None:
    """Every factor that moved a cause names its findings, and rows name their file and line."""
    diagnosis = Diagnosis(bench(FOUR))
    step = diagnosis.see(
        [read("fuel-pressure", "no2-engine", "low", True, stage="run-up", booster="off")]
    )
    cause = next(c for c, _ in step.posterior.ranking() if c.cause == "strainer-plugged")
    why = explain_cause(diagnosis, step, cause)
    moved = [s for s in why.speaks if s.rows]
    assert moved
    assert all(s.findings for s in why.speaks)
    for s in moved:
        for origin, says in s.rows:
            assert origin.file.endswith("strainer-plugged.yaml")
            assert origin.line > 1
            assert says
    assert why.sources
    assert why.said_by


@pytest.mark.parametrize(
    ("p", "word"),
    [
        (0.9, "likely"),
        (0.4, "likely"),
        (0.39, "possible"),
        (0.05, "possible"),
        (0.049, "unlikely"),
        (0.0, "unlikely"),
    ],
)
def test_words_for_probabilities(p: float, word: str) -> None:
    """The three words cover all of 0 to 1 and change where stated."""
    assert word_for(p, leading=1.0) == word
