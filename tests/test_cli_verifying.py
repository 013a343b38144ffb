"""What was mended is proved whole, what bars the proof is looked into, and a mend can fail."""

from __future__ import annotations

import pytest
from job.job_kit import all_safe
from session_kit import Until, a_job, again, events, resumed, run

from diagnose.job.gates import still_open
from diagnose.job.job import Job
from diagnose.model import CauseAt, Finding, State

TWIN = "low-wing-twin"
VENT = CauseAt("vent-nest", "port-aux-vent")
LINE = CauseAt("gauge-line-leaks", "no2-gauge-line")
AT_SWITCH = State("static", {"booster": "on"})
BUS = CauseAt("booster-bus-voltage-low", "starboard-bus")


def mended(job: Job, *causes: CauseAt) -> Job:
    """Keep each cause as found by a check and put right."""
    for c in causes:
        job.record("part-found", cause=c.cause, place=c.at)
        job.record("rectified", cause=c.cause, place=c.at, what="put right")
    return job


def fades() -> Job:
    """Open a job of a twin that fades on one auxiliary tank."""
    state = State("cruise", {"tank": "port-aux-tank"})
    return a_job(TWIN, Finding("engine-behaviour", "no1-engine", "fades", state, "told"))


def leaks(job: Job, second: str) -> None:
    """Answer the leak gates: dry at the first engine, ``second`` at the other."""
    gates = still_open(job.bench, job.state.findings, job.log.events)
    for g, seen in zip([g for g in gates if g.place != "aeroplane"], ["dry", second], strict=True):
        job.answer(Finding(g.question, g.place, seen, g.state, "seen"), g)


def nothing_smelt(job: Job) -> None:
    """Answer that neither fuel nor hot wiring was smelt."""
    for g in job.bench.planner.catalogue.gates:
        if g.place == "aeroplane":
            job.answer(Finding(g.question, g.place, "none", g.state, "seen"), g)


def test_what_each_mended_part_asks_for_is_shown_before_the_trouble_is_called_gone() -> None:
    """Proving the last of two faults does not prove the first: both proofs stand on the screen."""
    job = mended(fades(), VENT, LINE)
    shown = " ".join(resumed(job, "pause").split())
    for cause in (VENT, LINE):
        assert job.bench.library.causes[cause.cause].verify in shown
    again(job).record("verified", gone=True)
    told = " ".join(run("job", "report", job.name).output.split())
    assert all(job.bench.library.causes[c.cause].verify[:40] in told for c in (VENT, LINE))


def test_what_bars_the_verification_is_looked_into_where_it_was_not_put_right() -> None:
    """A wet engine beside the repair is a second fault: the job goes on to it, and then proves."""
    job = mended(fades(), VENT)
    leaks(job, "damp")
    shown = resumed(job, "no", "pause")
    assert "where it comes from is looked for first" in shown
    assert "VERIFICATION" not in shown.split("looked for first")[1]
    assert "Next:" in shown.split("looked for first")[1]
    job = again(job)
    assert job.state.phase == "rectified"
    gate = next(g for g in job.bench.planner.catalogue.gates if g.place == "no2-engine")
    job.answer(Finding(gate.question, gate.place, "dry", gate.state, "seen"), gate)
    assert "VERIFICATION" in resumed(job, "pause")


def test_one_trouble_of_two_gone_does_not_call_the_mending_vain() -> None:
    """'Partly' goes on with the other, and what was mended stays mended, to be proved with it."""
    job = mended(a_job(TWIN), CauseAt("booster-bus-voltage-low", "port-bus"))
    leaks(job, "dry")
    nothing_smelt(job)
    shown = resumed(job, "read", "all AB", "partly", "pause")
    assert "not the whole story" in shown
    job = again(job)
    assert (job.state.phase, job.state.in_vain) == ("open", frozenset())
    assert job.state.mended == (CauseAt("booster-bus-voltage-low", "port-bus"),)


def test_what_is_looked_at_again_says_in_which_state() -> None:
    """A pressure told with the boosters off is read again with them off, and says so."""
    low = Finding("fuel-pressure", "no1-engine", "low", State("run-up", {"booster": "off"}), "told")
    job = mended(a_job(TWIN, low), CauseAt("engine-pump-worn", "no1-engine-pump"))
    leaks(job, "dry")
    nothing_smelt(job)
    shown = resumed(job, "read", "all AB", "partly", "pause")
    asked = shown.split("Looked at again:")[1].split("How:")[0]
    assert "run-up, booster off" in asked


def labouring() -> Job:
    """Return a job whose bus was mended after a check had found it low, in vain."""
    sounds = [
        Finding("booster-noise", at, "labouring", AT_SWITCH, "seen")
        for at in ("starboard-inner-booster", "starboard-middle-booster")
    ]
    job = a_job("four-engine-injection", *sounds)
    job.checked("measure-bus-voltage", BUS.at, "low")
    mended(job, BUS)
    job.record("verified", gone=False)
    for f in sounds:
        job.answer(f)
    return job


def test_a_part_mended_is_found_again_by_the_same_check() -> None:
    """The bus measured low again was not mended, and two pumps at once are not the likelier."""
    job = labouring()
    assert job.found(job.step()) != BUS, "not before it is measured again"
    job.checked("measure-bus-voltage", BUS.at, "normal")
    assert job.found(job.step()) != BUS
    job.checked("measure-bus-voltage", BUS.at, "low")
    assert job.found(job.step()) == BUS
    shown = resumed(job, "later")
    assert "The same check finds it again: bus voltage low" in shown
    assert shown.index("The mending did not take") < shown.index("Rectify:")
    job = mended(again(job), BUS)
    assert job.found(job.step()) != BUS


def test_a_danger_of_before_the_repair_is_told_no_more_once_the_trouble_is_gone() -> None:
    """Who has verified the repair is not told to stop the engines, nor does the record say so."""
    job = a_job(
        "four-engine-injection",
        Finding("vent-discharge", "starboard-inner-tank", "streams", State("climb"), "told"),
        Finding("contents-trend-running", "starboard-inner-tank", "rises", known_by="told"),
    )
    assert job.stops(job.step())
    mended(job, CauseAt("vapour-float-stuck-open", "no3-carburettor"))
    job.record("verified", gone=True)
    shown = resumed(job, "pause")
    assert "STOP" not in shown
    assert "STOP:" not in run("job", "report", job.name).output


def test_the_last_watched_flight_closes_the_job() -> None:
    """Nobody need take a job up again only to have it called finished."""
    job = mended(fades(), VENT)
    job.record("verified", gone=True)
    typed = ["AB", "mud wasps", "none", "looked, none", "nothing came off", "chief says no", "1"]
    run("job", "close", job.name, typed=[*typed, "later"])
    said = run("job", "flight", job.name, "clear", "AB").output
    assert "the job is finished" in said
    assert again(job).state.phase == "finished"
    assert events("finished")[-1]["outcome"].startswith("confirmed: vent tube blocked")


def test_whoever_goes_on_reads_every_complaint_that_is_worked() -> None:
    """A complaint added or merged in stands beside the report, at the resume and at the proof."""
    job = mended(fades(), VENT)
    words = "Right needle low all week."
    run("job", "complaint", job.name, "--at", "no. 2 engine", "--text", words)
    shown = resumed(job, "pause")
    assert shown.count(f"  And: {words}") == 2


def proving(job: Job, *typed: str) -> str:
    """Type lines at the verification of a job whose gates are safe; return what is shown."""
    leaks(job, "dry")
    nothing_smelt(job)
    return resumed(job, "read", *typed)


def test_a_verification_without_its_fire_guard_waits_and_says_so() -> None:
    """Nothing else is looked for where the repair alone is left to prove."""
    job = mended(a_job(TWIN), CauseAt("booster-bus-voltage-low", "port-bus"))
    shown = proving(job, "all but nobody", "1: AB, 2: AB")
    assert "The verification waits for it." in shown
    assert "Other ways are looked for" not in shown


def test_by_whom_the_repair_was_proved_and_what_was_seen_stand_in_the_record() -> None:
    """'Trouble gone' without a name would be the one line of the record nobody answers for."""
    job = mended(a_job(TWIN), CauseAt("booster-bus-voltage-low", "port-bus"))
    proving(job, "all AB", "gone CD 12.9 V under load", "pause")
    kept = events("verified")[-1]
    assert (kept["gone"], kept["by"], kept["text"]) == (True, "CD", "12.9 V under load")
    told = " ".join(run("job", "report", job.name).output.split())
    assert "trouble gone (CD) 12.9 V under load" in told


@pytest.mark.parametrize(("seen", "asked"), [("dry", False), ("damp", True)])
def test_where_it_begins_to_be_wet_is_asked_again_only_where_it_is_wet(
    seen: str, asked: bool
) -> None:
    """Nobody wipes dry and waits for fuel in an engine bay that he has just called dry."""
    still = State("static", {"booster": "off"})
    job = a_job(
        "low-wing-single",
        Finding("where-wet-first", "engine", "hose", still, "seen"),
        Finding("engine-bay-leak", "engine", "damp", still, "seen"),
    )
    mended(job, CauseAt("hose-cracked", "hose"))
    all_safe(job)
    shown = resumed(job, "read", "all AB", "still there", seen, "pause")
    again_ = shown.partition("Then it was not the whole story")[2]
    assert "fresh fuel stain" in again_
    assert ("where in the engine bay does fuel first come" in again_) == asked


def test_the_follow_up_can_be_left_for_later_before_it_is_begun() -> None:
    """'Later' at the initials leaves the job as at every other line of it."""
    job = mended(fades(), VENT)
    job.record("verified", gone=True)
    shown = resumed(job, "later")
    assert "Paused; nothing is lost" in shown
    assert "are no initials" not in shown


def test_fuel_seen_running_after_the_repair_stops_before_anything_else_is_asked() -> None:
    """Nobody is asked how the engine ran while fuel runs in its bay."""
    still = State("static", {"booster": "off"})
    job = a_job(
        "low-wing-single",
        Finding("engine-behaviour", "engine", "rough", State("idle"), "told"),
        Finding("engine-bay-leak", "engine", "damp", still, "seen"),
    )
    mended(job, CauseAt("hose-cracked", "hose"))
    all_safe(job)
    shown = resumed(job, "read", "all AB", "still there", "running", "done", "rough", "pause")
    assert shown.index("STOP: ") < shown.index("How does the engine run?")


def test_a_danger_said_to_be_put_right_stands_in_the_record_with_what_was_done() -> None:
    """A bare yes opens the way to a run; what was hot, what was done and by whom is asked."""
    job = mended(fades(), VENT)
    job.answer(Finding("burning-smell", "aeroplane", "burning", known_by="seen"))
    asked = Until("Has that been put right", "done")
    shown = resumed(job, asked, "yes", "yes", "chafed booster wire renewed, AB", "pause")
    assert "Say in a few words what it was" in shown
    (kept,) = events("intervened")
    assert kept["what"].endswith("chafed booster wire renewed, AB")


def test_what_is_proved_by_putting_fuel_in_is_cautioned_before_it_is_filled() -> None:
    """The cautions of fuelling stand before the filling, and not only before the mending."""
    told = Finding("contents-gauge", "left-tank", "reads-high", known_by="told")
    job = mended(a_job("low-wing-single", told), CauseAt("sender-arm-bent", "left-sender"))
    shown = resumed(job, "pause")
    assert 0 < shown.find("Fill in known steps") < shown.find("WARNING Fuelling:")
