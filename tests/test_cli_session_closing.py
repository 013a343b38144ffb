"""The last part of a job at the terminal: mended with the cautions first, then verified."""

from __future__ import annotations

import re

import pytest
from diagnosis.shipped import library
from session_kit import a_job, answered, confirmed, events, resumed, run, transfer_pump_found

from diagnose.job.day.closeout import outstanding
from diagnose.job.keeping.finding_data import finding_of
from diagnose.model import Finding, State

RUN_UP = State("run-up", {"booster": "off"})


def repaired_without_a_run() -> str:
    """Return a job whose strainer was cleaned where no engine was to be run."""
    job = a_job(
        "low-wing-single",
        Finding("engine-behaviour", "engine", "fades", State("run-up"), "told"),
        report="Fades on the run-up.",
    )
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
    job = a_job("low-wing-single", report="Fades on the run-up.")
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
    resumed(repaired_without_a_run(), "yes", "read")
    assert events("at-hand")[-1]["may_run"] is True
    kept = {e["hazard"] for e in events("acknowledged")}
    assert {"running-engine", "propeller-live"} <= kept


def test_the_cautions_of_mending_stand_before_the_words_that_mend() -> None:
    """A cock found stiff by hand alone is opened to be mended: what that calls for comes first."""
    job = a_job("low-wing-single", report="The cock is stiff.")
    cock = next(p for p in job.bench.layout.parts.values() if p.kind == "selector-cock").id
    job.checked("feel-cock", cock, "seized")
    shown = resumed(job, "pause")
    found, warned, mended = map(
        shown.find, ("A check confirms", "WARNING Open fuel part", "Rectify")
    )
    assert 0 <= found < warned < mended
    assert "WARNING Engine running" not in shown[found:mended]


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
    shown = resumed(job, *signed, "read", "gone", "pause")
    assert "VERIFICATION, no engine run and no power for it" in shown
    assert "Mended: jettison valve leaks past its seat" in shown
    assert "May it be run now" not in shown
    assert "chocks" not in shown.partition("VERIFICATION")[2].partition("Is the trouble gone")[0]
    assert events("verified")[-1]["gone"] is True
    assert events("run") == []


def test_a_drip_under_the_wing_is_warned_of_as_soon_as_it_is_told() -> None:
    """Nobody has to look at the outlet again before the screen says to keep away from under it."""
    job = a_job(
        "four-engine-injection",
        Finding("jettison-drip", "port-inner-jettison-valve", "drips", known_by="told"),
    )
    shown = resumed(job, "pause")
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
    resumed(job, "AB", "AB", *["none found"] * 5, "0")
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
    resumed(job, "AB", *["none found"] * 10, "0")
    named, _, besides = str(events("finished")[-1]["outcome"]).partition(
        ". Found and mended besides"
    )
    assert named.startswith("confirmed: ")
    assert "vent" in named
    assert "transfer pump" not in named
    assert "transfer pump" in besides


def test_a_part_found_is_found_once_however_often_its_mending_is_put_off() -> None:
    """Whoever resumes reads it again; the record tells it once."""
    job = transfer_pump_found()
    for _ in range(2):
        resumed(job, "later")
    assert len(events("part-found")) == 1


@pytest.mark.parametrize(
    ("told", "kept"),
    [("cruise", State("run-up", {"power": "mid", "booster": "off"})), ("climb", RUN_UP)],
)
def test_what_a_run_on_the_ground_shows_again_is_not_kept_as_seen_in_flight(
    told: str, kept: State
) -> None:
    """The chocks were in: the record says run-up, at the power of the report."""
    job = a_job("low-wing-single", report="Low pressure.")
    state = State(told, {"booster": "off"})
    job.answer(Finding("fuel-pressure", "engine", "low", state, "told"))
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    gates = ["read", "dry", "seen", *["none", "seen"] * 2, "all AB"]
    resumed(job, *gates, "still there", "1", "pause")
    assert [e["gone"] for e in events("verified")] == [False]
    finding = answered()[-1]
    assert finding_of(finding).state == kept


def test_a_handle_loose_to_the_hand_confirms_no_cause() -> None:
    """A sheared pin, a parted rod and a slack cable all feel loose: it says where to look on."""
    told = Finding("cock-handle", "selector", "loose", known_by="told")
    job = confirmed("low-wing-single", told, "feel-cock", "selector", "loose")
    assert job.found(job.step()) is None


def test_what_is_proved_with_the_engine_stopped_asks_for_no_engine_run() -> None:
    """No chocks and fire guard for a cap seal, a dead booster's hum or a drip at the nozzle."""
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
    shown = " ".join(resumed(job, "pause").split())
    confirms, also = shown.split("A check confirms: ")[1].split("What was found fits also: ")
    both = {"chain jumped a tooth", "handle out of step after rigging"}
    assert {x for x in both if x in confirms} | {x for x in both if x in also} == both
    assert "Make sure which" in also


@pytest.mark.parametrize("proved", [False, True])
def test_how_an_answer_is_known_is_not_told_where_only_the_closing_is_left(proved: bool) -> None:
    """Who comes back to sign the follow-up takes no reading any more."""
    stiff = Finding("cock-handle", "selector", "stiff", known_by="told")
    job = confirmed("low-wing-single", stiff, "feel-cock", "selector", "seized")
    job.record("rectified", cause="cock-seized", place="selector", what="freed")
    if proved:
        job.record("verified", gone=True)
    shown = resumed(job)
    assert ("An answer counts as seen" in shown) is not proved
