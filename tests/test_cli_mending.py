"""At the terminal once a part is found: looked on first, mended, checked for leaks, proved."""

from __future__ import annotations

import pytest
from session_kit import a_job, answered, confirmed, events, resumed, run, transfer_pump_found

from diagnose.cli.job.left_over import left_over
from diagnose.cli.job.read_already import taken_as_made
from diagnose.cli.job.talk import Talk
from diagnose.job import confirming
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.job.read_as_check import count_as_check, read_before
from diagnose.model import CauseAt, Finding, KnownBy, State
from diagnose.planner import Action


def test_no_engine_is_asked_about_where_none_was_run_to_prove_a_repair() -> None:
    """Rocking the wings showed the water again; how the engine runs nobody has seen."""
    told = Finding("engine-behaviour", "engine", "stops", State("approach"), "told")
    water = ("rock-wings-and-drain", "left-tank", "water")
    job = confirmed("high-wing-single", told, *water)
    job.answer(Finding("strainer-drain-sample", "strainer", "water", State("static"), "seen"))
    cause = {"cause": "water-behind-tank-fold", "place": "left-tank"}
    job.record("rectified", **cause, what="re-hung")
    shown = resumed(job, "AB", "AB", "dry AB", "read", "still there", "water", "pause").partition(
        "still there\n"
    )[2]
    assert "What does the strainer drain give?" in shown
    assert "How does the engine run?" not in shown
    assert [f["value"] for f in answered()][-1] == "water"


def test_who_found_a_part_can_look_on_before_anything_is_mended() -> None:
    """What was found may not be the whole story; whoever takes the job up is shown it again."""
    job = transfer_pump_found()
    shown = resumed(job, "look on", "pause")
    before, _, after = shown.partition("look on\n")
    assert "A check confirms: transfer pump" in before
    assert "A check confirms" not in after
    assert events("rectified") == []
    assert "A check confirms" in resumed(job, "pause")


@pytest.mark.parametrize("early", ["all AB", "read", "go on", "1", ""])
def test_what_answers_another_prompt_is_kept_as_no_work(early: str) -> None:
    """Typed one prompt too early it would stand in the record as the repair."""
    shown = resumed(transfer_pump_found(), early, "pause")
    assert "Say what was done in a few words" in shown
    assert "Did a part come off" not in shown


def test_a_leak_at_the_leak_check_is_told_what_it_means() -> None:
    """The joint is listed again, and the cautions read a line before are not told whole again."""
    job = confirmed(
        "low-wing-single",
        Finding("fuel-pressure", "engine", "low", State("run-up"), "read"),
        "inspect-strainer-element",
        "strainer",
        "plugged",
    )
    signed = ["AB", "CD", "AB", "AB", "leak AB", "AB", "CD", "dry AB", "later"]
    shown = run("job", "close", job.name, typed=signed).output
    before, _, after = shown.partition("leak AB\n")
    assert "WARNING Sources of ignition:" in before
    assert "It leaks" in after
    assert "strainer opened, main strainer: NOT RESTORED" in after
    assert "WARNING Sources of ignition:" not in after
    assert [e["by"] for e in events("inspected")] == ["CD", "CD"]


@pytest.mark.parametrize(("answered", "phase"), [("all AB", "verified"), ("no", "rectified")])
def test_water_found_is_answered_for_where_no_run_proves_the_repair(
    answered: str, phase: str
) -> None:
    """Rocking the wings proves the bladder; the water in the strainer would still fly."""
    told = Finding("engine-behaviour", "engine", "stops", State("approach"), "told")
    job = confirmed("high-wing-single", told, "rock-wings-and-drain", "left-tank", "water")
    job.answer(Finding("strainer-drain-sample", "strainer", "water", State("static"), "seen"))
    cause = {"cause": "water-behind-tank-fold", "place": "left-tank"}
    job.record("rectified", **cause, what="re-hung")
    shown = resumed(job, "AB", "AB", "dry AB", "read", "gone", answered, "pause")
    asked = " ".join(shown.partition("Before the next run or flight")[2].split())
    assert "no water comes from any drain any more" in asked
    registry = Registry()
    assert Job(job.name, JobLog(registry.path(job.name)), job.bench, registry).state.phase == phase


def test_what_was_found_and_left_is_never_said_to_be_shown_by_no_check() -> None:
    """Who looks on beside it is told that it is found, not that it is likely and cannot be."""
    low = Finding("fuel-pressure", "no2-engine", "low", State("run-up"), "told")
    valve = ("check-reducing-valve", "no2-reducing-valve", "sticks")
    job = confirmed("four-engine-float", low, *valve)
    step = job.step()
    found = job.found(step)
    assert found is not None
    told = " ".join(" ".join(left_over(job, step, {found})).split())
    assert "no check left here shows it" not in told
    assert "Found, and not mended yet: pressure reducing valve" in told


def streaming(known_by: KnownBy) -> Job:
    """Return a job in which a vapour return was read as streaming, and its line closed since."""
    at = "no3-engine"
    job = a_job("four-engine-injection", report="A tank fills.")
    reading = next(
        r
        for r in job.bench.planner.catalogue.readings
        if (r.question, r.place) == ("vapour-return-flow", at)
    )
    job.answer(Finding(reading.question, at, "large", reading.state, known_by), reading)
    return job


def test_a_return_that_was_measured_is_not_led_into_a_can_again() -> None:
    """The reading is taken as what the check shows, counts once, and opens nothing more."""
    job = streaming("read")
    read = read_before(job, "measure-vapour-return", ["no3-carburettor"])
    opened = set(job.state.disturbed)
    count_as_check(job, "measure-vapour-return", read)
    assert [(f.question, f.value, f.check) for f in job.findings] == [
        ("measure-vapour-return", "large", True)
    ]
    assert set(job.state.disturbed) == opened
    cause = CauseAt("vapour-float-stuck-open", "no3-carburettor")
    assert confirming.confirmed(job.bench, cause, job.findings)


def test_a_return_only_told_of_is_measured_all_the_same() -> None:
    """What the crew says of a return settles nothing."""
    assert read_before(streaming("told"), "measure-vapour-return", ["no3-carburettor"]) == []


def test_the_check_is_offered_as_made_before_anything_is_opened() -> None:
    """One question stands for an hour: yes keeps it as the check, no makes it."""
    job = streaming("read")
    talk = Talk()
    talk.line = lambda prompt: "yes"  # type: ignore[method-assign]  # the one answer typed
    action = Action(check="measure-vapour-return", at="no3-carburettor")
    assert taken_as_made(talk, job, action)
    assert events("checked")[-1]["finding"]["value"] == "large"
    assert not taken_as_made(talk, job, action), "it was made"


@pytest.mark.parametrize(("said", "found"), [("yes", True), ("no", False)])
def test_what_was_read_and_would_settle_the_likeliest_cause_is_offered_at_once(
    said: str, found: bool
) -> None:
    """Water in the jar is not followed by caps and papers before its own check is asked about."""
    job = a_job("low-wing-single", report="It cut in the climb.")
    told = State("climb", {"tank": "left-tank"})
    job.answer(Finding("engine-behaviour", "engine", "stops", told, "told"))
    job.answer(Finding("tank-drain-sample", "left-tank", "water", State("static"), "seen"))
    job.answer(Finding("tank-drain-sample", "right-tank", "clean", State("static"), "seen"))
    shown = resumed(job, said, "pause")
    assert shown.count("Take that as what the check shows") == 1
    assert ("A check confirms: water in the tank" in shown) == found


def test_what_the_part_found_tells_nothing_of_is_named_before_it_is_mended() -> None:
    """Of two faults on two sides the second is looked for first, and one run proves both."""
    rich = Finding("mixture-signs", "no4-engine", "rich", State("idle"), "told")
    needle = ("inspect-float-and-needle", "no4-carburettor", "needle-dirty")
    job = confirmed("four-engine-float", rich, *needle)
    low = State("run-up", {"booster": "off"})
    job.answer(Finding("fuel-pressure", "no1-engine", "low", low, "told"))
    shown = " ".join(resumed(job, "later").split())
    beside = shown.partition("It tells nothing of: ")[2].partition("'look on'")[0]
    assert "fuel pressure gauge, no. 1 engine" in beside
    assert "rich" not in beside


def test_a_cock_that_was_re_rigged_is_a_control_for_a_second_person_to_see() -> None:
    """No fuel line was opened, and yet nothing runs before somebody else has looked at it."""
    told = Finding("cock-shut-test", "selector", "passes", State("static"), "told")
    job = confirmed("low-wing-single", told, "check-cock-rigging", "selector", "out-of-step")
    typed = ["re-rigged", "yes", "", "", "no", "yes", "", "pause"]
    shown = run("job", "resume", job.name, typed=typed).output
    assert "on the list: worked on to be mended, fuel selector" in shown
    kept = [d for e in events("rectified") for d in e["disturbs"]]
    assert [d["kind"] for d in kept] == ["control"]


def test_what_was_typed_for_another_prompt_is_not_kept_as_found_or_as_left() -> None:
    """'1' and 'read', typed too early, would stand in the record as the state of a part."""
    told = Finding("engine-behaviour", "engine", "stops", State("cruise"), known_by="told")
    job = a_job("low-wing-single", told)
    check = "add read the placard against the approved data"
    shown = resumed(job, check, "1", "1", "read", "", "pause")
    assert "'1' tells nothing of it" in shown
    assert "'read' tells nothing of it" in shown
    assert [e["as_found"] for e in events("checked")] == [""]
