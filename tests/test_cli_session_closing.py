"""The last part of a job at the terminal: mended with the cautions first, then verified."""

from __future__ import annotations

import re

import pytest
from session_kit import events, run

from diagnose.job.day.closeout import outstanding
from diagnose.job.job import Job
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State

RUN_UP = State("run-up", {"booster": "off"})


def repaired_without_a_run() -> str:
    """Return a job whose strainer was cleaned where no engine was to be run."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-single"), "2026-11-25", "Fades on the run-up.")
    job.answer(Finding("engine-behaviour", "engine", "fades", State("run-up"), "told"))
    job.record("at-hand", tools=None, hands=2, may_run=False)
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    return job.name


def test_no_verification_run_begins_where_no_engine_may_be_run() -> None:
    """It is asked again first; on no the job waits, and nothing of a run is confirmed."""
    result = run("job", "resume", repaired_without_a_run(), typed=["no"])
    assert "No engine was to be run here. May it be run now?" in result.output
    assert "the repair is not verified yet" in result.output
    assert "Before any engine run" not in result.output
    assert events()[-1]["event"] == "paused"


def test_where_an_engine_was_run_since_it_is_not_asked_whether_one_may_be() -> None:
    """'No run here' was said of then; a run card read back since says more than any answer."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-single"), "2026-11-25", "Fades on the run-up.")
    job.record("at-hand", tools=None, hands=2, may_run=False, indoors=True)
    assert not job.state.runs_here
    job.record("run", readings=[])
    assert job.state.runs_here


def test_no_verification_run_begins_in_a_hangar() -> None:
    """Told to stand in one after the repair, it is asked whether it is in the open first."""
    name = repaired_without_a_run()
    run("job", "at-hand", name, "--hangar")
    run("job", "at-hand", name, "--people", "1")
    assert events("at-hand")[-1]["indoors"] is True, "not said otherwise"
    result = run("job", "resume", name, typed=["no"])
    assert "It stood in a closed place. Is it in the open now" in result.output
    assert "Before any engine run" not in result.output


def test_the_cautions_of_the_verification_run_are_read_and_kept() -> None:
    """As before any other run: shown, acknowledged, in the record."""
    run("job", "resume", repaired_without_a_run(), typed=["yes", "read"])
    assert events("at-hand")[-1]["may_run"] is True
    kept = {e["hazard"] for e in events("acknowledged")}
    assert {"running-engine", "propeller-live"} <= kept


def test_the_cautions_of_mending_stand_before_the_words_that_mend() -> None:
    """A cock found stiff by hand alone is opened to be mended: what that calls for comes first."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-single"), "2026-11-25", "The cock is stiff.")
    cock = next(p for p in job.bench.layout.parts.values() if p.kind == "selector-cock").id
    job.checked("feel-cock", cock, "seized")
    shown = run("job", "resume", job.name, typed=["pause"]).output
    found, warned, mended = map(
        shown.find, ("A check confirms", "WARNING Open fuel part", "Rectify")
    )
    assert 0 <= found < warned < mended
    assert "WARNING Engine running" not in shown[found:mended]


def confirmed(layout: str, told: Finding, check: str, at: str, result: str) -> Job:
    """Return a job in which a check has confirmed what was told to be amiss."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench(layout), "2026-11-25", "As it was reported.")
    job.answer(told)
    job.checked(check, at, result)
    return job


def transfer_pump_found() -> Job:
    """Return a job in which the right transfer pump moved nothing."""
    told = Finding("contents-trend-running", "right-tip-tank", "stays", known_by="told")
    pump = ("time-transfer", "right-transfer-pump", "nothing")
    return confirmed("low-wing-single-tip-tanks", told, *pump)


def test_a_fuel_part_exchanged_is_on_the_list_without_being_named_again() -> None:
    """Enter at the question of joints must not let a new pump run with unions nobody looked at."""
    job = transfer_pump_found()
    typed = ["brushes worn, pump changed", "S/N 11", "S/N 12", "", "pause"]
    shown = run("job", "resume", job.name, typed=typed).output
    assert "on the list: part exchanged, right transfer pump" in shown
    assert shown.index("fuel line or part open: part exchanged") > shown.index(
        "VERIFICATION with power"
    )
    assert [d["kind"] for d in events("rectified")[-1]["disturbs"]] == ["line"]


@pytest.mark.parametrize(("said", "on_the_list"), [("yes", 1), ("no", 0)])
def test_whether_mending_opened_a_fuel_part_is_asked_and_not_left_to_enter(
    said: str, on_the_list: int
) -> None:
    """Enter is no answer to it; what is said is kept in the same entry as the repair."""
    job = transfer_pump_found()
    typed = ["wire mended at the plug", "", "", "", said, "", "pause"]
    shown = run("job", "resume", job.name, typed=typed).output
    assert "Type yes or no." in shown
    assert len(events("rectified")[-1]["disturbs"]) == on_the_list


def test_none_is_an_answer_where_a_joint_may_have_been_disturbed() -> None:
    """What the prompt offers as Enter may be typed, and is no part to look for."""
    job = transfer_pump_found()
    typed = ["wire mended at the plug", "none", "none", "no", "none", "pause"]
    shown = run("job", "resume", job.name, typed=typed).output
    assert "Which part is meant?" not in shown
    assert "VERIFICATION" in shown


def test_a_fault_that_is_not_fuel_is_handed_over_once_the_cowling_is_signed_for() -> None:
    """The panel opened for the look is asked for in the session, and the job ends without error."""
    told = Finding("magneto-check", "engine", "excessive", known_by="told")
    leads = ("hand-over-ignition", "engine", "leads-leak")
    job = confirmed("low-wing-single-injected", told, *leads)
    result = run("job", "resume", job.name, typed=["AB", "AB", "AB"])
    assert result.exit_code == 0
    assert "panel off: cowling off, engine: NOT RESTORED" in result.output
    assert str(events("finished")[-1]["outcome"]).startswith("handed over: ignition leads")


def test_a_repair_proved_by_looking_asks_for_no_engine_run() -> None:
    """A jettison outlet wiped dry is looked at after half an hour: no chocks, no fire guard."""
    told = Finding("jettison-drip", "port-inner-jettison-valve", "drips", known_by="told")
    seal = ("inspect-jettison-valve", "port-inner-jettison-valve", "seal-bad")
    job = confirmed("four-engine-injection", told, *seal)
    job.record("at-hand", tools=None, hands=2, may_run=False)
    cause = {"cause": "jettison-valve-passes", "place": "port-inner-jettison-valve"}
    job.record("rectified", **cause, what="new seal, seat cleaned")
    signed = ["AB", "CD", "AB", "AB", "dry AB", "AB"]
    shown = run("job", "resume", job.name, typed=[*signed, "read", "gone", "pause"]).output
    assert "VERIFICATION, no engine run and no power for it" in shown
    assert "Mended: jettison valve leaks past its seat" in shown
    assert "May it be run now" not in shown
    assert "chocks" not in shown.partition("VERIFICATION")[2].partition("Is the trouble gone")[0]
    assert events("verified")[-1]["gone"] is True
    assert events("run") == []


def test_changing_a_pump_shows_the_caution_of_an_open_fuel_part_first() -> None:
    """No check opens a transfer pump, mending it does: its own file says so."""
    shown = run("job", "resume", transfer_pump_found().name, typed=["pause"]).output
    assert 0 < shown.find("WARNING Open fuel part") < shown.find("Rectify:")


def test_a_drip_under_the_wing_is_warned_of_as_soon_as_it_is_told() -> None:
    """Nobody has to look at the outlet again before the screen says to keep away from under it."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("four-engine-injection"), "2026-11-25", "A puddle.")
    job.answer(Finding("jettison-drip", "port-inner-jettison-valve", "drips", known_by="told"))
    shown = run("job", "resume", job.name, typed=["pause"]).output
    assert 0 < shown.find("from under the wing") < shown.find("Still possible:")


def test_a_guess_that_cured_nothing_is_not_asked_why_it_failed() -> None:
    """A vent cleared on a guess did not fail; the follow-up is of what a check has found."""
    job = transfer_pump_found()
    for cause, place, found, gone in (
        ("vent-nest", "right-tip-vent", False, False),
        ("transfer-pump-dead", "right-transfer-pump", True, True),
    ):
        if found:
            job.record("part-found", cause=cause, place=place)
        job.record("rectified", cause=cause, place=place, what="mended")
        job.record("verified", gone=gone)
    asked = " ".join(x.text for x in outstanding(job) if x.step == "follow-up")
    assert "transfer pump gives nothing" in asked
    assert "vent" not in asked
    run("job", "resume", job.name, typed=["AB", "AB", *["none found"] * 5, "0"])
    outcome = str(events("finished")[-1]["outcome"])
    named, _, vain = outcome.partition(". Mended, and did not cure: ")
    assert named.startswith("confirmed: transfer pump")
    assert "vent" not in named, "what cured nothing is not written down as confirmed"
    assert "vent" in vain


def test_what_a_check_found_and_its_mending_did_not_cure_is_told_besides_the_outcome() -> None:
    """The pump was dead, and yet the trouble stayed: its reasons are owed once that is gone."""
    job = transfer_pump_found()
    of = {"cause": "transfer-pump-dead", "place": "right-transfer-pump"}
    job.record("part-found", **of)
    line = {"kind": "line", "what": "part exchanged", "place": of["place"], "restore": ""}
    job.record("rectified", **of, what="new pump", disturbs=[line])
    job.record("verified", gone=False)
    assert {x.step for x in outstanding(job)} == {"restore", "leak-check", "verify"}
    assert not job.state.mended

    vent = {"cause": "vent-nest", "place": "right-tip-vent"}
    job.record("rectified", **vent, what="nest out")
    for d in job.state.disturbed.values():
        job.record("restored", item=d.id, by="AB")
        job.record("inspected", item=d.id, by="CD")
    job.record("leak-checked", dry=True, by="AB")
    job.record("verified", gone=True)
    run("job", "resume", job.name, typed=["AB", *["none found"] * 10, "0"])
    named, _, besides = str(events("finished")[-1]["outcome"]).partition(
        ". Found and mended besides"
    )
    assert named.startswith("confirmed: ")
    assert "vent" in named
    assert "transfer pump" not in named
    assert "transfer pump" in besides


def test_a_record_put_right_asks_for_no_part_and_no_joint() -> None:
    """A ledger is mended with the pen: nothing came off, nothing was opened, nothing is kept."""
    told = Finding("ledger-check", "left-tank", "one-fifth-out", known_by="read")
    job = confirmed("low-wing-single", told, "audit-ledger", "ledger", "gallons-mixed")
    shown = run("job", "resume", job.name, typed=["record corrected", "pause"]).output
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
    shown = run("job", "resume", job.name, typed=[*mended, "", "", "no", "", "pause"])
    assert "Did a part come off or on, or was a joint or a control opened" in shown.output
    assert shown.output.count("part off, number and serial") == asked
    assert shown.output.count("feed or control joint disturbed by it") == asked


def test_a_part_found_is_found_once_however_often_its_mending_is_put_off() -> None:
    """Whoever resumes reads it again; the record tells it once."""
    job = transfer_pump_found()
    for _ in range(2):
        run("job", "resume", job.name, typed=["later"])
    assert len(events("part-found")) == 1


def dirt_in_the_fuel_found() -> Job:
    """Return a job in which dirt that came with the fuel was found in a sump."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("four-engine-injection"), "2026-11-25", "Fuel from drums.")
    job.answer(Finding("last-uplift", "aeroplane", "doubtful", known_by="told"))
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
    typed = ["all drained, strainers cleaned", "", "", "", said, "", "pause"]
    shown = run("job", "resume", job.name, typed=typed).output
    assert "A check confirms: dirt or rust delivered" in shown
    assert "Type yes or no." in shown
    left = [x.step for x in outstanding(Job(job.name, JobLog(job.log.path), job.bench, Registry()))]
    assert ("leak-check" in left) is due
    assert ("fuel line or part open: fuel parts opened to be mended" in shown) is due


def test_what_the_list_has_open_is_shown_before_more_joints_are_asked_for() -> None:
    """A return line on the list is no carburettor cover: whoever mended it sees what is missing."""
    job = transfer_pump_found()
    typed = ["brushes worn, pump changed", "S/N 11", "S/N 12", "", "pause"]
    shown = run("job", "resume", job.name, typed=typed).output
    listed = shown.index("on the list: part exchanged")
    assert listed < shown.index("feed or control joint disturbed by it, not on the list yet")


def test_the_cautions_of_the_leak_check_stand_before_it() -> None:
    """A pump is switched on to look for a leak: what that calls for is read before, not after."""
    job = transfer_pump_found()
    mended = ["pump changed", "S/N 11", "S/N 12", ""]
    shown = run("job", "resume", job.name, typed=[*mended, "AB", "CD", "pause"]).output
    warned = shown.index("WARNING Power on a fuel system", shown.index("VERIFICATION"))
    assert warned < shown.index("leak check before any cowling")


@pytest.mark.parametrize(
    ("told", "kept"),
    [("cruise", State("run-up", {"power": "mid", "booster": "off"})), ("climb", RUN_UP)],
)
def test_what_a_run_on_the_ground_shows_again_is_not_kept_as_seen_in_flight(
    told: str, kept: State
) -> None:
    """The chocks were in: the record says run-up, at the power of the report."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-single"), "2026-11-25", "Low pressure.")
    state = State(told, {"booster": "off"})
    job.answer(Finding("fuel-pressure", "engine", "low", state, "told"))
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    gates = ["read", "dry", "seen", *["none", "seen"] * 2, "all AB"]
    run("job", "resume", job.name, typed=[*gates, "still there", "1", "pause"])
    assert [e["gone"] for e in events("verified")] == [False]
    finding = events("answered")[-1]["finding"]
    assert finding_of(finding).state == kept


def test_a_handle_loose_to_the_hand_confirms_no_cause() -> None:
    """A sheared pin, a parted rod and a slack cable all feel loose: it says where to look on."""
    told = Finding("cock-handle", "selector", "loose", known_by="told")
    job = confirmed("low-wing-single", told, "feel-cock", "selector", "loose")
    assert job.found(job.step()) is None


def test_what_is_proved_with_the_engine_stopped_asks_for_no_engine_run() -> None:
    """No chocks and fire guard for a cap seal, a dead booster's hum or a drip at the nozzle."""
    from diagnosis.shipped import library

    runs = re.compile(r"\b(?:run|runs|idle|start|generator)\b", re.IGNORECASE)
    stopped = re.compile(r"engine stopped|wipe .* dry", re.IGNORECASE)
    asked = [
        c.id
        for c in library().causes.values()
        if stopped.search(c.verify) and not runs.search(c.verify) and c.verify_needs == "run"
    ]
    assert asked == []


def test_what_a_finding_fits_as_well_is_told_with_the_cause_it_confirms() -> None:
    """A valve out of step by a fixed amount: the chain jumped, or the rod was set a hole out."""
    told = Finding("cock-position", "selector", "out-of-step", known_by="told")
    job = confirmed("low-wing-single", told, "check-cock-rigging", "selector", "out-of-step")
    shown = " ".join(run("job", "resume", job.name, typed=["pause"]).output.split())
    confirms, also = shown.split("A check confirms: ")[1].split("What was found fits also: ")
    both = {"chain jumped a tooth", "handle out of step after rigging"}
    assert {x for x in both if x in confirms} | {x for x in both if x in also} == both
    assert "Make sure which" in also


@pytest.mark.parametrize(("came_to_it", "kinds"), [("no", set()), ("yes", {"line"})])
def test_a_check_that_may_open_a_line_asks_whether_it_did(came_to_it: str, kinds: set[str]) -> None:
    """Nothing stands on the list as open that was only looked at."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-twin"), "2026-11-25", "As it was reported.")
    add = "add trace the lines at the cock at port fuel selector"
    run("job", "resume", job.name, typed=[add, "read", "1", "", came_to_it, "", "pause"])
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
