"""What mending opened: named, asked after, on the list, and signed for before anything runs."""

from __future__ import annotations

import pytest
from session_kit import a_job, confirmed, events, resumed, run, transfer_pump_found

from diagnose.job.day.closeout import outstanding
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State

RUN_UP = State("run-up", {"booster": "off"})


def test_a_fuel_part_exchanged_is_on_the_list_without_being_named_again() -> None:
    """Enter at the question of joints must not let a new pump run with unions nobody looked at."""
    job = transfer_pump_found()
    shown = resumed(job, "brushes worn, pump changed", "S/N 11", "S/N 12", "", "pause")
    assert "on the list: part exchanged, right transfer pump" in shown
    assert shown.index("fuel line or part open: part exchanged") > shown.index(
        "VERIFICATION with power"
    )
    assert [d["kind"] for d in events("rectified")[-1]["disturbs"]] == ["line"]


@pytest.mark.parametrize(("said", "on_the_list"), [("yes", 1), ("no", 0), ("1", 1), ("2", 0)])
def test_whether_mending_opened_a_fuel_part_is_asked_and_not_left_to_enter(
    said: str, on_the_list: int
) -> None:
    """Enter is no answer to it; a word or the number shown is, kept in the entry of the repair."""
    job = transfer_pump_found()
    shown = resumed(job, "wire mended at the plug", "", "", "", said, "", "pause")
    assert "Type yes or no." in shown
    assert len(events("rectified")[-1]["disturbs"]) == on_the_list


def test_none_is_an_answer_where_a_joint_may_have_been_disturbed() -> None:
    """What the prompt offers as Enter may be typed, and is no part to look for."""
    job = transfer_pump_found()
    shown = resumed(job, "wire mended at the plug", "none", "none", "no", "none", "pause")
    assert "Which part is meant?" not in shown
    assert "VERIFICATION" in shown


def test_changing_a_pump_shows_the_caution_of_an_open_fuel_part_first() -> None:
    """No check opens a transfer pump, mending it does: its own file says so."""
    shown = resumed(transfer_pump_found(), "pause")
    assert 0 < shown.find("WARNING Open fuel part") < shown.find("Rectify:")


def test_a_record_put_right_asks_for_no_part_and_no_joint() -> None:
    """A ledger is mended with the pen: nothing came off, nothing was opened, nothing is kept."""
    told = Finding("ledger-check", "left-tank", "one-fifth-out", known_by="read")
    job = confirmed("low-wing-single", told, "audit-ledger", "ledger", "gallons-mixed")
    shown = resumed(job, "record corrected", "pause")
    assert "what was done" in shown
    assert "part off" not in shown
    assert "joint" not in shown
    assert events("rectified")[-1]["disturbs"] == []
    owed = [x.item for x in outstanding(Job(job.name, JobLog(job.log.path), job.bench, Registry()))]
    assert "root-question ledger-gallons-mixed@ledger" in owed
    assert "part-kept ledger-gallons-mixed@ledger" not in owed


@pytest.mark.parametrize(("said", "asked"), [("no", 0), ("yes", 1)])
def test_what_opens_no_fuel_part_is_asked_once_whether_anything_came_off(
    said: str, asked: int
) -> None:
    """A placard fitted or a drill changed takes one 'no'; where more was done, all is asked."""
    told = Finding("engine-behaviour", "engine", "stops", State("cruise"), known_by="told")
    job = confirmed("low-wing-single", told, "check-placard", "selector", "wrong")
    mended = ["record rectified selector-placard-wrong@selector", "new placard", said]
    shown = run("job", "resume", job.name, typed=[*mended, "", "", "no", "no", "", "pause"])
    assert "Did a part come off or on, or was a joint or a control opened" in shown.output
    assert shown.output.count("part off, number and serial") == asked
    assert shown.output.count("feed or control joint disturbed by it") == asked


def dirt_in_the_fuel_found() -> Job:
    """Return a job in which dirt that came with the fuel was found in a sump."""
    job = a_job(
        "four-engine-injection", Finding("last-uplift", "aeroplane", "doubtful", known_by="told")
    )
    for tank in ("port-inner-tank", "starboard-inner-tank"):
        job.answer(Finding("tank-drain-sample", tank, "dirt", State("static"), "seen"))
    job.checked("drain-and-settle-sample", "port-inner-tank", "dirt")
    return job


@pytest.mark.parametrize(("said", "due"), [("yes", True), ("no", False)])
def test_strainers_opened_to_clean_the_fuel_out_are_asked_for_and_leak_checked(
    said: str, due: bool
) -> None:
    """Fuel has no joint of its own; the strainers that were opened for it are not run unseen."""
    job = dirt_in_the_fuel_found()
    shown = resumed(job, "all drained, strainers cleaned", "", "", "", said, "", "pause")
    assert "A check confirms: dirt or rust delivered" in shown
    assert "Type yes or no." in shown
    left = [x.step for x in outstanding(Job(job.name, JobLog(job.log.path), job.bench, Registry()))]
    assert ("leak-check" in left) is due
    assert ("fuel line or part open: fuel parts opened to be mended" in shown) is due


def test_what_the_list_has_open_is_shown_before_more_joints_are_asked_for() -> None:
    """A return line on the list is no carburettor cover: whoever mended it sees what is missing."""
    job = transfer_pump_found()
    shown = resumed(job, "brushes worn, pump changed", "S/N 11", "S/N 12", "", "pause")
    listed = shown.index("on the list: part exchanged")
    assert listed < shown.index("feed or control joint disturbed by it, not on the list yet")


def test_the_cautions_of_the_leak_check_stand_before_it() -> None:
    """A pump is switched on to look for a leak: what that calls for is read before, not after."""
    job = transfer_pump_found()
    mended = ["pump changed", "S/N 11", "S/N 12", ""]
    shown = resumed(job, *mended, "AB", "CD", "pause")
    warned = shown.index("WARNING Power on a fuel system", shown.index("VERIFICATION"))
    assert warned < shown.index("leak check before any cowling")


@pytest.mark.parametrize(("came_to_it", "kinds"), [("no", set()), ("yes", {"line"})])
def test_a_check_that_may_open_a_line_asks_whether_it_did(came_to_it: str, kinds: set[str]) -> None:
    """Nothing stands on the list as open that was only looked at."""
    job = a_job("low-wing-twin")
    add = "add trace the lines at the cock at port fuel selector"
    resumed(job, add, "read", "1", "", came_to_it, "", "pause")
    kept = {d["kind"] for d in events("checked")[-1]["disturbs"]}
    assert kept & {"line"} == kinds


def test_who_takes_a_gauge_off_reads_why_its_joint_is_signed_again() -> None:
    """The union was closed round the master gauge: the same line comes back with its reason."""
    told = Finding("fuel-pressure", "engine", "low", RUN_UP, "read")
    job = confirmed("low-wing-single", told, "compare-master-gauge", "pressure-gauge", "reads-low")
    job.record(
        "rectified", cause="pressure-gauge-reads-low", place="pressure-gauge", what="changed"
    )
    job.record("verified", gone=True)
    typed = ["AB", "CD", "dry AB", "AB", "later"]
    shown = " ".join(run("job", "close", job.name, typed=typed).output.split())
    assert shown.index("test gear fitted: ") < shown.index("The gear came off a joint")
    assert "fuel line or part open: " in shown.partition("The gear came off a joint")[2]
