"""The page before each action tells what is new, and no line twice."""

from __future__ import annotations

import math
import re

import pytest
from session_kit import LEFT_OUT, Until, a_job, new, resumed

from diagnose.belief import Held, Posterior
from diagnose.cli.job.left_over import left_over
from diagnose.cli.job.page import Page
from diagnose.job.day.closeout import inspect, restore
from diagnose.job.job import Job
from diagnose.model import Finding, State
from diagnose.planner import Plan, Planner, Situation

RUN_UP = State("run-up", {"booster": "off"})


@pytest.fixture
def job() -> Job:
    """Return a job in which low pressure was told."""
    return a_job("low-wing-single", Finding("fuel-pressure", "engine", "low", RUN_UP, "read"))


def shown(page: Page, job: Job) -> str:
    """Return the page for the job as it stands."""
    return "\n".join(page.lines(job.step(), numbers=False))


def test_the_first_page_tells_all_and_the_next_nothing_twice(job: Job) -> None:
    """'Not checked' changes nothing, so nothing is printed again."""
    page = Page(job)
    first = shown(page, job)

    assert first.startswith("Known, 1 finding:")
    assert "Still possible:" in first
    assert shown(page, job) == ""


def test_the_first_page_tells_the_work_that_lifts_what_may_come_of_it(job: Job) -> None:
    """Whoever takes the job up was not there when it was asked what had been worked on."""
    job.record("work", what="seals renewed", place="selector")
    assert "  - work done before: seals renewed, fuel selector" in shown(Page(job), job)


def test_a_new_finding_is_told_with_what_it_changes(job: Job) -> None:
    """The finding, the rule it fires and the new order; not what was known before."""
    page = Page(job)
    shown(page, job)
    job.answer(Finding("engine-behaviour", "engine", "fades", RUN_UP, "told"))
    text = shown(page, job)

    assert text.startswith("Known now, 2 findings ('findings' lists them); new:")
    assert "fuel pressure gauge" not in text
    assert "rule: the engine is starved" in text
    assert "Still possible:" in text


def test_what_is_taken_away_is_told_with_the_rule_that_falls(job: Job) -> None:
    """A finding withdrawn, and a conclusion that no longer holds, do not vanish in silence."""
    page = Page(job)
    told = job.answer(Finding("engine-behaviour", "engine", "fades", RUN_UP, "told"))
    shown(page, job)
    job.record("withdrawn", of=told["n"])
    text = shown(page, job)

    assert "taken away: how the engine runs, engine" in text
    assert "no longer: the engine is starved, engine" in text


def test_a_block_is_told_again_when_it_comes_again(job: Job) -> None:
    """Lifted and back, it is news."""
    page = Page(job)
    gate = next(g for g in job.bench.planner.catalogue.gates if g.question == "fuel-smell")
    job.answer(Finding("fuel-smell", gate.place, "outside", gate.state, "seen"), gate)
    assert "NO RUN, NO PUMP" in shown(page, job)
    job.answer(Finding("fuel-smell", gate.place, "none", gate.state, "seen"), gate)
    assert "NO RUN, NO PUMP" not in shown(page, job)
    job.answer(Finding("fuel-smell", gate.place, "outside", gate.state, "seen"), gate)
    assert "NO RUN, NO PUMP" in shown(page, job)


def test_a_conflict_is_told_once_with_how_it_is_settled(job: Job) -> None:
    """Told unlike in one state: said when it arises and when it is gone, not on every page."""
    page = Page(job)
    shown(page, job)
    later = job.answer(Finding("fuel-pressure", "engine", "high", RUN_UP, "read"))
    text = shown(page, job)

    assert "CONFLICT:" in text
    assert "'change N' or 'withdraw N'" in text
    assert shown(page, job) == ""
    job.record("withdrawn", of=later["n"])
    assert "no longer: told unlike in one state" in shown(page, job)


def test_a_block_says_what_was_found_and_what_lifts_it(job: Job) -> None:
    """Who has smelt fuel is told that, not that it 'is not known to be none'."""
    page = Page(job)
    gate = next(g for g in job.bench.planner.catalogue.gates if g.question == "fuel-smell")
    q = job.bench.library.questions["fuel-smell"]
    job.answer(Finding("fuel-smell", gate.place, "outside", gate.state, "seen"), gate)
    text = " ".join(shown(page, job).split())
    assert f"{q.title}, aeroplane: {q.classes['outside']}. When it is found" in text


def test_what_the_likeliest_cause_waits_on_is_told_where_it_cannot_be_done_here() -> None:
    """One person alone is not sent round other cocks without a word of the second man."""
    job = a_job("four-engine-injection", report="A puddle.")
    valve = "port-inner-jettison-valve"
    job.answer(Finding("jettison-drip", valve, "drips", known_by="seen"))
    job.answer(Finding("fuel-smell", "aeroplane", "outside", known_by="seen"))
    job.record("at-hand", tools=None, hands=1, may_run=True)
    job.checked("inspect-jettison-control", "jettison-control", "latched")
    assert "WAITS" not in shown(Page(job), job), "the dips can still be made"
    job.skip_check("park-level-and-dip", "port-inner-tank")
    page = Page(job)
    assert "WAITS for what is not here: Inspect the jettison valve" in shown(page, job)
    assert "takes 2 people" in " ".join(shown(Page(job), job).split())
    assert "WAITS" not in shown(page, job), "told once"
    job.record("at-hand", tools=None, hands=3, may_run=True)
    assert "WAITS" not in shown(Page(job), job)


def test_others_answers_at_the_cautions_of_the_action_in_hand() -> None:
    """A man asks what else there is before he reads cautions, and never gets silence."""
    result = new("all", *LEFT_OUT, Until("Type 'read'", "0"), "others", "pause")
    after = result.output.rpartition("Type 'read':")[0].rpartition("others")[2]
    assert "Read and understood?" in result.output
    assert "about" in after or "nothing else was weighed" in after


def test_a_check_hardly_worth_its_time_is_not_made_unasked_while_the_settling_one_waits() -> None:
    """With nobody to run an engine, no transfer valve of the other wing is looked at instead."""
    tank = "starboard-inner-tank"
    job = a_job(
        "four-engine-injection",
        Finding("vent-discharge", tank, "streams", State("cruise"), "told"),
        Finding("contents-trend-running", tank, "rises", known_by="told"),
        Finding("fuel-smell", "aeroplane", "outside", known_by="seen"),
    )
    job.checked("dip-every-tank", tank, "gained")
    job.record("first-page", left=0)
    shown = resumed(job, "done", Until("Go on with it all the same", "0"))
    waits, rather = shown.find("WAITS for what is not here"), shown.find("Go on with it all the")
    assert 0 <= waits < rather
    assert "CHECK: Note how the cock or valve was found" not in shown


@pytest.fixture
def unhurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Weigh everything however slow the machine is."""
    weigh = Planner.next

    def however_slow(
        planner: Planner, belief: Held, posterior: Posterior, situation: Situation, _: float
    ) -> Plan:
        return weigh(planner, belief, posterior, situation, math.inf)

    monkeypatch.setattr(Planner, "next", however_slow)


def sender_looked_at_in_vain() -> Job:
    """Return a job whose likeliest cause was looked for and not found, with nothing else near."""
    job = a_job(
        "high-wing-single",
        Finding("contents-gauge", "right-tank", "reads-low", known_by="read"),
        Finding("tank-drain-sample", "right-tank", "flakes", State("static"), "seen"),
        Finding("last-uplift", "aeroplane", "usual", known_by="told"),
        Finding("fuel-smell", "aeroplane", "none", known_by="seen"),
    )
    job.checked("inspect-sender", "right-sender", "sound")
    job.checked("swap-contents-gauges", "right-gauge", "stays-with-tank")
    job.checked("measure-sender-circuit", "right-wiring", "sound")
    for tank in ("left-tank", "right-tank"):
        job.checked("dip-every-tank", tank, "as-booked")
    job.record("first-page", left=0)
    return job


@pytest.mark.usefixtures("unhurried")
def test_where_no_check_left_is_worth_its_time_a_hand_over_is_offered_with_what_is_left() -> None:
    """What is likely, was looked for and not found stands there, and no check is made unasked."""
    job = sender_looked_at_in_vain()
    for item in [d for d in job.state.disturbed.values() if d.joint]:
        restore(job, item.id, "AB")
        inspect(job, item.id, "CD")
    shown = resumed(job, Until("Go on with it all the same", "0"), "no", "no")
    told = " ".join(shown.split())
    assert "Not isolated here: no check left is worth its time by what is known." in told
    assert "no check left here shows it: cork or composition float soaked, right tank" in told
    assert told.index("Left, best first:") < told.index("Go on with it all the same?")
    assert told.index("Not isolated is a result") < told.index("Close the job as not isolated?")
    assert "CHECK:" not in shown


@pytest.mark.usefixtures("unhurried")
def test_what_a_tool_not_here_would_tell_is_told_before_a_hand_over() -> None:
    """'Not isolated here' says what to fetch, so that nobody hands over for want of a voltmeter."""
    job = sender_looked_at_in_vain()
    job.record("at-hand", tools=[], hands=1, may_run=False)
    told = " ".join(left_over(job, job.step())[:20])
    assert "Would tell more, and cannot be done here:" in told
    assert "takes 2 people" in told
    assert "When it can be had, type: at hand" in told


@pytest.mark.usefixtures("unhurried")
def test_who_goes_on_all_the_same_is_led_down_the_ranking_and_not_asked_again() -> None:
    """A yes holds until a check is worth its time again."""
    job = sender_looked_at_in_vain()
    shown = resumed(job, Until("Go on with it all the same", "0"), "yes", *["0"] * 4)
    assert shown.count("Go on with it all the same?") == 1
    assert len(re.findall("^Next: ", shown.partition("Go on with it")[2], re.MULTILINE)) > 2


@pytest.mark.usefixtures("unhurried")
def test_a_joint_is_closed_before_a_job_is_handed_over() -> None:
    """What an open sender bars, a pump or a run, may still tell more."""
    job = sender_looked_at_in_vain()
    shown = resumed(job, Until("Go on with it all the same", "0"), "no")
    assert "Nothing more can be done with a joint open" in shown.partition("Go on with it")[2]
    assert "Close the job as not isolated?" not in shown


def test_what_bars_a_pump_is_told_once_when_it_is_found() -> None:
    """The same two lines twice running are read as two dangers, or not at all."""
    own = ["add measure the bus voltage starboard", "read", "2: damp", "pause"]
    shown = " ".join(new("all", *LEFT_OUT, *own).output.split())
    assert shown.count("NO RUN, NO PUMP: fuel in the engine bay, no. 2 engine") == 1


def test_of_many_findings_what_was_amiss_is_told_before_what_was_well(job: Job) -> None:
    """Whoever takes a job up after a run card sees the low gauge, not twelve good ones."""
    for k in range(15):
        said = State("run-up", {"booster": "off", "tank": ("left-tank", "right-tank")[k % 2]})
        job.answer(Finding("engine-behaviour", "engine", "normal", said, "seen"))
    text = " ".join(shown(Page(job), job).split())
    assert "Known, 16 findings, 12 of them, what was amiss before what was well" in text
    assert "fuel pressure gauge, engine: below the band" in text
