"""Two faults at once: what the first part found does not explain is not forgotten with it."""

from __future__ import annotations

import pytest
from session_kit import a_job, confirmed, events, resumed

from diagnose.cli.job.closing import Closing
from diagnose.cli.job.talk import Talk
from diagnose.job.day.last_good import well_since
from diagnose.job.job import Job
from diagnose.model import Finding, State
from diagnose.planner import Plan

NEST = {"cause": "vent-nest", "place": "left-vent"}
GATES = ["read", "dry", "none", "no", "all AB"]


def nest_found() -> Job:
    """Return a job whose blocked vent says nothing of the streak behind the other tank's cap."""
    job = a_job(
        "high-wing-single",
        Finding("engine-behaviour", "engine", "fades", State("cruise"), "told"),
        Finding("tank-stains", "right-tank", "behind-cap", known_by="told"),
    )
    job.checked("inspect-vent-outlet", "left-vent", "nest")
    return job


def nest_alone() -> Job:
    """Return such a job in which the nest tells of all that is amiss."""
    fades = Finding("engine-behaviour", "engine", "fades", State("cruise"), "told")
    job = a_job("high-wing-single", fades)
    job.checked("inspect-vent-outlet", "left-vent", "nest")
    return job


def nest_cleared() -> Job:
    """Return that job with the vent cleared and not proved yet."""
    job = nest_found()
    job.record("part-found", **NEST)
    job.record("rectified", **NEST, what="nest drawn out")
    for d in job.state.disturbed.values():
        job.record("restored", item=d.id, by="AB")
    return job


def test_a_stain_told_in_no_state_is_named_beside_the_part_that_does_not_explain_it() -> None:
    """It can be looked at with everything off, so nobody need know when it was seen."""
    shown = resumed(nest_found(), "later")
    told = " ".join(shown.split())
    assert "It tells nothing of: stain at the tank, right tank: behind the filler cap" in told


def test_what_was_in_order_when_looked_at_since_is_not_to_be_looked_for_first() -> None:
    """A streak told of and wiped, with none come back, is kept in mind, and no more."""
    job = nest_found()
    job.answer(Finding("tank-stains", "right-tank", "none", State("static"), "seen"))
    told = " ".join(resumed(job, "later").split())
    assert "It tells nothing of" not in told
    well = told.partition("In order when looked at since")[2].partition("Heed it")[0]
    assert "behind the filler cap" in well


def test_gone_leaves_no_complaint_that_nothing_mended_explains() -> None:
    """It is asked about by name; on no the rest is proved and the job looks for it."""
    job = nest_cleared()
    shown = " ".join(
        resumed(job, *GATES, "gone AB", "no", "behind the filler cap", "pause").split()
    )
    assert "What was mended tells nothing of: stain at the tank, right tank" in shown
    assert events("verified")[-1] | {"gone": False, "partly": True} == events("verified")[-1]
    assert shown.count("Looked at again") == 1, "what is gone is not asked again"
    assert "filler cap" in shown.partition("going on")[2]


def test_what_was_put_right_besides_stands_in_the_record() -> None:
    """Whoever says that the stain was dealt with too has said so in the entry of the proof."""
    job = nest_cleared()
    resumed(job, *GATES, "gone AB steady", "yes", "pause")
    proved = events("verified")[-1]
    assert proved["gone"] is True
    assert proved["text"].startswith("steady; put right too: stain at the tank, right tank")


def test_a_sign_explained_by_what_was_found_before_is_not_called_unexplained() -> None:
    """A coat peeling in one tank explains its flakes, whatever a screen downstream holds."""
    job = a_job("header-biplane", report="Flakes.")
    for tank in ("upper-tank", "header-tank"):
        job.answer(Finding("tank-drain-sample", tank, "flakes", State("static"), "seen"))
    job.record("part-found", cause="tank-coating-peeling", place="upper-tank")
    job.checked("inspect-outlet-screen", "header-screen", "plugged")
    shown = resumed(job, "later")
    assert "A check confirms: finger screen" in shown
    assert "It tells nothing of" not in shown


def test_what_was_found_and_did_not_cure_still_explains_what_it_gives() -> None:
    """The dirty strainer was no cure for the loss of power, and yet the dirt came from it."""
    job = nest_cleared()
    job.record("part-found", cause="cap-seal-perished", place="right-cap")
    job.record("rectified", cause="cap-seal-perished", place="right-cap", what="seal renewed")
    job.record("verified", gone=False)
    job.record("rectified", **NEST, what="nest drawn out again")
    shown = resumed(job, *GATES, "gone AB", "pause")
    assert "What was mended tells nothing of" not in shown
    assert events("verified")[-1]["gone"] is True


def test_what_was_cured_in_part_can_be_proved_gone_after_all(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """'Partly' is no dead end: where nothing more is left to look at, the proof is offered anew."""
    job = nest_cleared()
    job.record("verified", gone=False, partly=True)
    monkeypatch.setattr(Job, "plan", lambda *_, **__: Plan(None, (), greedy=False))
    shown = resumed(job, "yes", *GATES, "gone AB", "yes", "pause")
    assert "Is it gone after all, by what was mended?" in shown
    assert events("verified")[-1]["gone"] is True
    assert "Close the job as not isolated?" not in shown


@pytest.mark.parametrize(("engine", "asked"), [("runs normally", True), ("2", False)])
def test_still_there_and_nothing_amiss_seen_again_asks_what_is(engine: str, asked: bool) -> None:
    """Whoever says that the trouble stayed and then finds all well is asked what it was."""
    job = nest_cleared()
    shown = resumed(job, *GATES, "still there", engine, "none", "pause")
    assert "Looked at again" in shown
    assert ("Nothing amiss was seen again. Say what is still wrong with: add" in shown) is asked


def test_what_was_told_and_then_read_in_one_of_the_states_it_may_mean_is_one_thing() -> None:
    """A low pressure told of the run-up, low with the booster off and good with it on, is found."""
    told = Finding("fuel-pressure", "engine", "low", State("run-up"), "told")
    job = confirmed("low-wing-single", told, "inspect-strainer-element", "strainer", "plugged")
    for booster, value in (("off", "low"), ("on", "normal")):
        state = State("run-up", {"booster": booster})
        job.answer(Finding("fuel-pressure", "engine", value, state, "read"))
        assert not well_since(job, told)
    shown = resumed(job, "later")
    assert "A check confirms: main strainer element plugged" in shown
    assert "It tells nothing of" not in shown


def test_looking_on_looks_for_what_the_part_found_does_not_tell_of() -> None:
    """With a nest in the left vent found, the streak behind the right cap is planned for.

    Where the part found tells of all that is amiss, another that fits as well is looked for.
    """
    for job, beside in ((nest_found(), True), (nest_alone(), False)):
        step = job.step()
        found = job.found(step)
        assert found is not None
        closing = Closing(job, Talk())
        assert closing.planned_on(step) is step
        closing.left.add(found)
        assert closing.planned_on(step).mended == ({found} if beside else frozenset())
