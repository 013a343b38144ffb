"""What would be lost unseen: a complaint taken back, a bare yes, a job open twice."""

from __future__ import annotations

import pytest
from session_kit import a_job, events, new, resumed

from diagnose.job.epochs import told_otherwise
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State
from diagnose.planner import Action, Plan, Reading

GAUGE = "contents-gauge"


def sticking_gauge() -> Job:
    """Return a job whose whole report is a gauge that sticks, and which asks for it next."""
    return a_job(
        "low-wing-single",
        Finding(GAUGE, "left-tank", "erratic", known_by="told"),
        report="Left gauge stuck on half.",
    )


@pytest.mark.parametrize(("said", "stands"), [("yes", True), ("no", False)])
def test_well_now_takes_no_complaint_back_unless_it_is_said_to(
    said: str, stands: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A gauge that agrees once may stick again; a stick put into the wrong tank is seen to be."""
    job = sticking_gauge()
    only = Reading(GAUGE, "left-tank")
    plans = [Plan(None, (), greedy=False), Plan(Action((only,)), (), greedy=False)]
    monkeypatch.setattr(Job, "plan", lambda *_, **__: plans.pop() if plans[1:] else plans[0])
    monkeypatch.setattr("diagnose.cli.job.doing.safe_to_go", lambda *_: True)
    monkeypatch.setattr("diagnose.cli.job.doing.Doing.tell", lambda *_, **__: True)
    shown = resumed(job, "agrees", said, "pause")
    assert "It was told otherwise: contents gauge against the stick, left tank" in " ".join(
        shown.split()
    )
    after = shown.partition("this stands instead of it)?")[2]
    assert ("rule: contents gauge and stick disagree" in shown) is True
    assert ("no longer: contents gauge and stick disagree" in after) is not stands
    assert ("CONFLICT" in after) is not stands


def test_only_what_is_read_where_and_as_it_was_told_amiss_is_asked_about() -> None:
    """Another tank, another state, a look of one's own or a normal report ask nothing."""
    job = sticking_gauge()

    def asked(reading: Reading) -> bool:
        return told_otherwise(job.bench, job.state, reading) is not None

    assert asked(Reading(GAUGE, "left-tank"))
    assert not asked(Reading(GAUGE, "right-tank"))
    idle = next(
        r
        for r in job.bench.planner.catalogue.readings
        if r.question == "fuel-pressure" and r.state.stage == "idle"
    )
    job.answer(Finding("fuel-pressure", "engine", "low", State("climb"), "told"))
    assert not asked(idle)
    job.answer(Finding("fuel-pressure", "engine", "low", idle.state, "read"))
    assert not asked(idle), "what was read here oneself may be read again"
    job.answer(Finding(GAUGE, "left-tank", "agree", known_by="told"))
    assert not asked(Reading(GAUGE, "left-tank"))


def test_a_bare_yes_to_what_was_worked_on_is_no_work() -> None:
    """It answers whether, not what: nothing is kept of it, and the prompt says what is asked."""
    typed = ["all", "yes", "", "pause"]
    shown = new(*typed, layout="low-wing-single", report="Left gauge stuck on half.").output
    assert "Say what was worked on, and at which part" in shown
    assert not events("note")
    assert not events("work")


def test_a_job_that_may_be_open_in_another_window_says_so_when_it_is_taken_up() -> None:
    """Two windows on one job: what is typed in the first is kept no more, and nobody is told."""
    job = sticking_gauge()
    said = "Note: it was not left by 'pause'."
    assert said in resumed(job, "pause")
    assert said not in resumed(job, "pause")
    taken = Job(job.name, JobLog(job.log.path), job.bench, Registry())
    taken.record("resumed")
    assert said in resumed(job, "pause")
