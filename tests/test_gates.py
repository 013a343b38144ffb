"""Gates before power and runs: safe when known, open again when the system was disturbed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from diagnosis.shipped import LAYOUTS, bench
from hypothesis import given
from hypothesis import strategies as st
from job.job_kit import all_safe

from diagnose.job.at_hand import WET, barred
from diagnose.job.gates import (
    need_of,
    need_of_check,
    need_of_reading,
    need_of_state,
    pumped_by_hand,
    refused,
    still_open,
)
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.wording import hazards_of
from diagnose.model import Finding, State
from diagnose.planner import Action, Reading

SINGLE = "low-wing-single"
LEAK, SMELL, HOT = "engine-bay-leak", "fuel-smell", "burning-smell"
SAFE = {LEAK: "dry", SMELL: "none", HOT: "none"}
UNSAFE = {LEAK: "damp", SMELL: "outside", HOT: "burning"}


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return a new job on an invented single."""
    return Job.open(Registry(tmp_path), bench(SINGLE), "2026-11-25", "Fades on the run-up.")


def gate(question: str) -> Reading:
    """Return the gate reading of ``question``."""
    return next(g for g in bench(SINGLE).planner.catalogue.gates if g.question == question)


def say(job: Job, question: str, value: str, known_by: Any = "seen") -> None:
    """Answer a gate."""
    g = gate(question)
    job.answer(Finding(question, g.place, value, g.state, known_by), g)


def open_now(job: Job) -> set[str]:
    """Return the questions of the gates still open."""
    return {g.question for g in still_open(job.bench, job.state.findings, job.log.events)}


def test_a_gate_is_open_until_its_safe_class_is_known(job: Job) -> None:
    """Nothing said is not safe."""
    assert open_now(job) == {LEAK, SMELL, HOT}
    all_safe(job)
    assert open_now(job) == set()


def test_no_pump_is_put_on_before_somebody_said_that_no_wiring_smelt_hot(job: Job) -> None:
    """What was smelt then holds, whatever was opened since; told of, it stops all power at once."""
    for question in (LEAK, SMELL):
        say(job, question, SAFE[question])
    assert open_now(job) == {HOT}
    say(job, HOT, "burning")
    assert [s.symptom for s in job.step().outcome.stops] == ["hot-wiring"]
    powered = {r.key for r in job.bench.planner.catalogue.readings if r.question == "booster-noise"}
    assert powered <= job.situation().asked
    job.record("rectified", cause="booster-burnt-out", place="booster", what="pump changed")
    say(job, HOT, "none")
    job.checked("inspect-strainer-element", "strainer", "clean")
    assert HOT not in open_now(job)


def test_assumed_dry_is_not_known_dry(job: Job) -> None:
    """An assumption opens no gate."""
    say(job, LEAK, "dry", "assumed")
    assert LEAK in open_now(job)


def test_a_later_unsafe_answer_shuts_the_gate_again(job: Job) -> None:
    """The last answer counts, and an assumption cannot mend it."""
    all_safe(job)
    say(job, LEAK, "running")
    say(job, LEAK, "dry", "assumed")
    assert open_now(job) == {LEAK}


def test_opening_the_strainer_opens_the_gates_again(job: Job) -> None:
    """What was dry before a seal was broken says nothing of the seal now."""
    all_safe(job)
    job.checked("inspect-strainer-element", "strainer", "clean")
    assert open_now(job) == {LEAK, SMELL}


def test_a_check_that_opens_nothing_leaves_the_gates_shut(job: Job) -> None:
    """Looking at papers or dials does not disturb fuel."""
    quiet = next(
        (c, at)
        for c, at in job.bench.planner.catalogue.checks
        if not job.bench.library.checks[c].disturbs
    )
    all_safe(job)
    job.checked(*quiet, next(iter(job.bench.library.checks[quiet[0]].results)))
    assert open_now(job) == set()


@pytest.mark.parametrize(
    ("kind", "carries"),
    [
        ("rectified", {"cause": "strainer-plugged", "place": "strainer", "what": "cleaned"}),
        ("intervened", {"what": "drained", "place": "left-tank", "lost": "draining"}),
    ],
)
def test_work_opens_the_gates_again_until_it_is_stepped_back(
    job: Job, kind: str, carries: dict[str, str]
) -> None:
    """A repair or a draining makes leak and smell unknown; taken back, they are known again."""
    all_safe(job)
    job.record(kind, **carries)
    assert open_now(job) == {LEAK, SMELL}
    job.step_back()
    assert open_now(job) == set()


@pytest.mark.parametrize("answer", ["damp", "running", ""])
def test_a_gate_unsafe_or_not_checked_shuts_out_runs_pumps_and_checks_under_power(
    job: Job, answer: str
) -> None:
    """With a wet or unseen engine bay nothing is left to propose that needs power or a run."""
    say(job, SMELL, "none")
    if answer:
        say(job, LEAK, answer)
    else:
        job.skip(gate(LEAK))
    situation = job.situation()
    assert not situation.may_run
    catalogue = job.bench.planner.catalogue
    left = [Action((r,)) for r in catalogue.readings if r.key not in situation.asked]
    left += [Action(check=c, at=at) for c, at in catalogue.checks if (c, at) not in situation.done]
    assert left
    assert {need_of(job.bench, a) for a in left} == {""}
    action = job.plan(job.step(), deadline=float("inf")).action
    assert action is None or need_of(job.bench, action) == ""


def test_no_run_wanted_still_leaves_the_pump_on_the_ground(job: Job) -> None:
    """'No engine may be run today' shuts out runs, not the electric pump."""
    job.record("at-hand", tools=None, hands=2, may_run=False)
    situation = job.situation()
    catalogue = job.bench.planner.catalogue
    needs = {
        need_of(job.bench, Action((r,))) for r in catalogue.readings if r.key not in situation.asked
    }
    assert needs == {"", "power"}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_run_state_with_needs_and_every_running_check_has_a_need(layout: str) -> None:
    """No action of a shipped layout turns an engine or wets a pump without its gates."""
    b = bench(layout)
    for r in b.planner.catalogue.readings:
        state = r.run_state
        if state and (state.engine_running or state.stage == "cranking"):
            assert need_of(b, Action((r,))) == "run", r.key
        elif state and state.needs:
            assert need_of(b, Action((r,))) == "power", r.key
    for check in b.library.checks.values():
        if {"runs", "running,"} & set(check.aeroplane["engine"].split()):
            assert need_of_check(check) == "run"
        if check.aeroplane["power"] in ("on", "on, steady supply, tanks closed"):
            assert need_of_check(check)
        off = check.aeroplane["power"] in ("off", "off and tagged")
        if off and check.aeroplane["engine"].startswith("stopped"):
            assert need_of_check(check) == ("power" if pumped_by_hand(check) else "")


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["safe", "unsafe", "assumed", "skip", "work", "look", "back"]),
        st.sampled_from([LEAK, SMELL, HOT]),
    ),
    max_size=14,
)


@given(STEPS)
def test_gates_agree_with_a_plain_reading_of_the_record(steps: list[tuple[str, str]]) -> None:
    """Whatever the order: open = no safe answer since the last work, but for what was smelt."""
    events: list[dict[str, Any]] = [{"n": 1, "event": "opened"}]
    findings: dict[int, Finding] = {}
    for kind, question in steps:
        n = len(events) + 1
        g = gate(question)
        if kind in ("safe", "unsafe", "assumed"):
            value = UNSAFE[question] if kind == "unsafe" else SAFE[question]
            known: Any = "assumed" if kind == "assumed" else "seen"
            findings[n] = Finding(question, g.place, value, g.state, known)
            events.append({"n": n, "event": "answered", "reading": list(g.key)})
        elif kind == "skip":
            events.append({"n": n, "event": "not-checked", "reading": list(g.key)})
        elif kind == "work":
            events.append({"n": n, "event": "intervened"})
        elif kind == "look":
            events.append({"n": n, "event": "checked", "disturbs": []})
        else:
            gone = {e["of"] for e in events if e["event"] == "stepped-back"}
            last = next(
                (
                    e["n"]
                    for e in reversed(events)
                    if e["n"] not in gone and e["event"] not in ("opened", "stepped-back")
                ),
                None,
            )
            if last is not None:
                findings.pop(last, None)
                events.append({"n": n, "event": "stepped-back", "of": last})

    undone = {e["of"] for e in events if e["event"] == "stepped-back"}
    safe: dict[str, bool] = dict.fromkeys(SAFE, False)
    asked: set[str] = set()
    for e in events:
        if e["n"] in undone:
            continue
        if e["event"] == "intervened":
            safe, asked = {LEAK: False, SMELL: False, HOT: safe[HOT]}, set()
        elif e.get("reading"):
            question = e["reading"][0]
            asked.add(question)
            f = findings.get(e["n"])
            if f is not None and not (f.known_by == "assumed" and f.value == SAFE[question]):
                safe[question] = f.value == SAFE[question]
    b = bench(SINGLE)
    want = {q for q, ok in safe.items() if not ok}
    assert {g.question for g in still_open(b, findings, events)} == want
    assert {g.question for g in refused(b, findings, events)} == want & asked


def test_a_question_that_puts_power_on_asks_the_gates_first() -> None:
    """A pump listened to or a lamp tested needs power, whatever the run state; a gate does not."""
    catalogue = bench(SINGLE).planner.catalogue

    def needs(question: str) -> set[str]:
        read = [r for r in catalogue.readings if r.question == question]
        return {need_of(bench(SINGLE), Action((r,))) for r in read}

    assert needs("booster-noise") == {"power"}
    assert needs("booster-amps") == {"power"}
    assert needs("gauge-movement") == {"power"}
    assert {need_of(bench(SINGLE), Action((g,))) for g in catalogue.gates} == {""}
    assert needs("tank-dipped") == {""}
    assert needs("strainer-flow") == {"", "power"}, "a drain runs by its head as well"


def test_with_a_gate_not_safe_no_pump_is_listened_to(job: Job) -> None:
    """Fuel in the engine bay closes off everything that needs power."""
    say(job, SMELL, "none")
    say(job, LEAK, "damp")
    asked = job.situation().asked
    powered = [r.key for r in job.bench.planner.catalogue.readings if r.question == "booster-noise"]

    assert powered
    assert set(powered) <= asked


@pytest.mark.parametrize("layout", LAYOUTS)
def test_where_it_is_wet_is_looked_for_before_anything_of_tanks(
    layout: str, tmp_path: Path
) -> None:
    """With fuel running in the bay that look is not closed off: nothing is powered for it."""
    b = bench(layout)
    job = Job.open(Registry(tmp_path), b, "2026-11-25", "Fuel drips from the cowl.")
    engine = b.places.engines[0]
    job.answer(Finding(LEAK, engine, "running", State(), "told"))
    job.answer(Finding("fuel-smell", "aeroplane", "outside", State(), "told"))
    first = job.plan(job.step(), deadline=60.0).action
    assert first is not None
    asked = {r.question for r in first.readings}
    assert asked <= {"where-wet-first", "days-parked", "good-running-before"}, asked
    situation = job.situation()
    wet = [r.key for r in b.planner.catalogue.readings if r.question == "where-wet-first"]
    assert not set(wet) & situation.asked


def test_a_leak_told_of_is_not_asked_for_again(job: Job) -> None:
    """Found unsafe is known; only 'add' opens it."""
    assert gate(LEAK).key not in job.situation().asked
    job.answer(Finding(LEAK, "engine", "running", State(), "told"))
    assert gate(LEAK).key in job.situation().asked


def test_a_wet_union_is_looked_at_while_pumps_are_barred(job: Job) -> None:
    """The look that finds a loose nut needs no power, so a leak does not shut it out."""
    say(job, SMELL, "none")
    say(job, LEAK, "damp")
    done = {check for check, _ in job.situation().done}
    assert "compare-booster-current" in done
    assert "inspect-unions-witness" not in done


def test_what_a_leak_bars_is_listed_with_its_reason(job: Job) -> None:
    """'Nothing is missing' is never said while pumps and runs are shut out."""
    say(job, SMELL, "none")
    say(job, LEAK, "damp")
    listed = barred(job.bench, job.state, unsafe=True)
    assert listed.checks["compare-booster-current", "booster"] == WET
    assert ("compare-booster-current", "booster") not in barred(job.bench, job.state).checks


def test_a_gate_passed_over_on_the_first_page_is_asked_once_more_before_power(job: Job) -> None:
    """Enter on the first page refuses nothing; the same at the gate itself does."""
    job.record("first-page", left=1)
    job.skip(gate(SMELL))
    job.record("first-page", left=0)
    assert not refused(job.bench, job.state.findings, job.log.events)
    assert SMELL in open_now(job)
    job.skip(gate(SMELL))
    closed = refused(job.bench, job.state.findings, job.log.events)
    assert [g.question for g in closed] == [SMELL]


def test_what_was_found_unsafe_on_the_first_page_is_not_asked_again(job: Job) -> None:
    """A smell told on the first page closes off power at once."""
    job.record("first-page", left=1)
    say(job, SMELL, UNSAFE[SMELL])
    job.record("first-page", left=0)
    closed = refused(job.bench, job.state.findings, job.log.events)
    assert SMELL in [g.question for g in closed]


def test_a_booster_is_power_whatever_its_run_state_says_is_needed() -> None:
    """A layout of one's own that forgets 'needs' still has its leak and smell looked for first."""
    states = bench("radial-single-hand-pump").layout.run_states
    worked = next(s for s in states if s.id == "static-hand-pump-worked")
    still = next(s for s in states if s.id == "static")

    assert need_of_state(replace(worked, needs=())) == "power"
    assert need_of_state(replace(still, needs=())) == ""


def test_what_is_watched_while_taxiing_is_a_run() -> None:
    """Its engine turns as much as at a run-up: gates and cautions come before it."""
    here = bench("low-wing-twin")
    moving = [r for r in here.planner.catalogue.readings if r.question == "contents-gauge-moving"]
    assert moving
    assert {need_of_reading(here, r) for r in moving} == {"run"}
    assert {"running-engine", "propeller-live"} <= set(hazards_of(here, Action((moving[0],))))
