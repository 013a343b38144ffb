"""Part found is not finished: what is disturbed, who signs it, and what is at hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import bench as shipped
from job.job_kit import PRESSURE_LOW, again, open_job, opened_up

from diagnose.errors import UsageError
from diagnose.job.at_hand import not_possible
from diagnose.job.day.closeout import (
    FOLLOW_UPS,
    disturb,
    finish,
    flight,
    follow_up,
    inspect,
    leak_check,
    outstanding,
    restore,
)
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import CauseAt

PART = CauseAt("strainer-plugged", "strainer")


def rectified(home: Path, bench: Bench) -> Job:
    """Return a job whose part is found and rectified, everything still open."""
    job = opened_up(home, bench)
    job.record("part-found", cause=PART.cause, place=PART.at)
    job.record("rectified", cause=PART.cause, place=PART.at, what="cleaned")
    return job


def ids(job: Job) -> dict[str, str]:
    """Return kind -> id of what is disturbed."""
    return {d.kind: d.id for d in job.state.disturbed.values()}


def signed(job: Job) -> None:
    """Sign the joint, the leak check and the panel."""
    restore(job, ids(job)["line"], "AB")
    inspect(job, ids(job)["line"], "CD")
    leak_check(job, dry=True, by="AB")
    restore(job, ids(job)["panel"], "AB")


def steps(job: Job) -> list[str]:
    """Return what is outstanding, by step."""
    return [x.step for x in outstanding(job)]


def test_a_check_fills_the_list_with_what_it_disturbs_opens_and_takes_out(
    tmp_path: Path, bench: Bench
) -> None:
    """Its own disturbances with their close-out, its panel and its tools; the panel only once."""
    job = open_job(tmp_path, bench)
    check = bench.library.checks["inspect-strainer"]
    job.checked("inspect-strainer", "strainer", "clean")
    listed = {(d.kind, d.what) for d in job.state.disturbed.values()}
    assert set(check.disturbs.items()) <= listed
    before = len(job.state.disturbed)
    job.checked("inspect-strainer", "strainer", "plugged")
    again_listed = [d.kind for d in job.state.disturbed.values()][before:]
    assert "panel" not in again_listed
    assert "tool" not in again_listed


def test_what_was_restored_and_is_opened_again_stands_on_the_list_again(
    tmp_path: Path, bench: Bench
) -> None:
    """A second look through an open cowling adds no cowling; one after it was closed does."""
    job = open_job(tmp_path, bench)
    for _ in range(2):
        job.checked("inspect-strainer", "strainer", "clean")
    (cowling,) = [d for d in job.state.disturbed.values() if d.kind == "panel"]
    restore(job, cowling.id, "AB")
    job.checked("inspect-strainer", "strainer", "clean")
    assert [d.restored for d in job.state.disturbed.values() if d.kind == "panel"] == ["AB", ""]


def test_while_a_joint_is_open_nothing_runs_and_no_pump_is_offered(
    tmp_path: Path, bench: Bench
) -> None:
    """The run is not planned, and the list of what is not possible says why."""
    job = open_job(tmp_path, bench)
    job.answer(PRESSURE_LOW)
    ran = {r.key for r in bench.planner.catalogue.readings if r.run_state and r.run_state.needs}
    assert not ran <= job.situation().asked
    disturb(job, "line", "strainer opened", "strainer")
    assert ran <= job.situation().asked
    step = job.step()
    missing = not_possible(bench, job.diagnosis.belief, step, job.state)
    assert {x.why_not for x in missing} == {"a feed or control joint is open"}
    restore(job, ids(job)["line"], "AB")
    assert not ran <= job.situation().asked


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"may_run": False}, "no engine may be run here"),
        ({"indoors": True}, "in the hangar"),
        ({"wind_too_strong": True}, "wind too strong for a run-up"),
    ],
)
def test_what_is_not_at_hand_is_not_offered_and_says_what_it_would_tell(
    tmp_path: Path, bench: Bench, said: dict[str, bool], why: str
) -> None:
    """Hangar, wind, or no run today: run readings are left out, with the reason."""
    job = open_job(tmp_path, bench)
    job.answer(PRESSURE_LOW)
    job.record("at-hand", **{"tools": None, "hands": 2, "may_run": True, **said})
    missing = not_possible(bench, job.diagnosis.belief, job.step(), job.state)
    assert why in {x.why_not for x in missing}
    plan = job.plan(job.step(), deadline=5.0)
    assert plan.action is None or not plan.action.is_run


def test_what_is_not_possible_names_the_causes_it_would_tell_apart(tmp_path: Path) -> None:
    """'Would tell X from Y', of causes the layout has; and only what is barred is listed."""
    single = shipped("low-wing-single")
    job = Job.open(Registry(tmp_path), single, "2026-11-25", "pressure sagged at the run-up")
    job.answer(PRESSURE_LOW)
    job.record("at-hand", tools=None, hands=2, may_run=True, indoors=True)
    missing = not_possible(single, job.diagnosis.belief, job.step(), job.state)
    told = [x.tells for x in missing if x.tells.startswith("would tell")]
    assert told
    titles = {c.title for c in single.library.causes.values()}
    assert all(sum(said.count(t) for t in titles) >= 2 for said in told)
    assert {x.why_not for x in missing} == {"in the hangar"}


def test_the_one_who_restored_a_joint_cannot_inspect_it(tmp_path: Path, bench: Bench) -> None:
    """Other initials; letters in another case are the same person."""
    job = opened_up(tmp_path, bench)
    with pytest.raises(UsageError, match="not restored yet"):
        inspect(job, ids(job)["line"], "CD")
    restore(job, ids(job)["line"], "AB")
    with pytest.raises(UsageError, match="another person"):
        inspect(job, ids(job)["line"], "a.b.")
    inspect(job, ids(job)["line"], "CD")
    with pytest.raises(UsageError, match="no feed or control joint"):
        inspect(job, ids(job)["panel"], "CD")


def test_the_cowling_is_closed_after_the_leak_check_and_that_after_the_inspection(
    tmp_path: Path, bench: Bench
) -> None:
    """Joint, second person, leak check, panel: in this order and in no other."""
    job = opened_up(tmp_path, bench)
    with pytest.raises(UsageError, match="no panel is closed"):
        restore(job, ids(job)["panel"], "AB")
    restore(job, ids(job)["line"], "AB")
    with pytest.raises(UsageError, match="first restore and inspect"):
        leak_check(job, dry=True, by="AB")
    inspect(job, ids(job)["line"], "CD")
    leak_check(job, dry=True, by="AB")
    restore(job, ids(job)["panel"], "AB")
    assert not job.state.leak_due


def test_a_joint_that_leaks_stands_open_again_until_it_is_made_and_seen_anew(
    tmp_path: Path, bench: Bench
) -> None:
    """Its initials are of a joint that did not hold; one proved dry before stays shut."""
    job = opened_up(tmp_path, bench)
    first = ids(job)["line"]
    restore(job, first, "AB")
    inspect(job, first, "CD")
    leak_check(job, dry=True, by="AB")
    disturb(job, "line", "union undone", "engine", "remade")
    second = next(d.id for d in job.state.disturbed.values() if d.what == "union undone")
    restore(job, second, "AB")
    inspect(job, second, "CD")
    leak_check(job, dry=False, by="AB")
    assert [d.id for d in job.state.disturbed.values() if d.joint and d.open] == [second]
    with pytest.raises(UsageError, match="first restore and inspect"):
        leak_check(job, dry=True, by="AB")
    with pytest.raises(UsageError, match="no panel is closed"):
        restore(job, ids(job)["panel"], "AB")
    restore(job, second, "EF")
    inspect(job, second, "AB")
    leak_check(job, dry=True, by="AB")
    assert not again(job).state.leak_due


def test_a_job_is_not_finished_until_the_list_is_empty_whatever_was_found(
    tmp_path: Path, bench: Bench
) -> None:
    """Not isolated is a result, an open strainer is not."""
    job = opened_up(tmp_path, bench)
    with pytest.raises(UsageError, match="strainer opened"):
        finish(job, "not isolated")
    signed(job)
    finish(job, "not isolated")
    assert again(job).state.phase == "finished"


def test_found_rectified_verified_and_flown_are_different_states(
    tmp_path: Path, bench: Bench
) -> None:
    """Each step leaves the next outstanding; the last flight clear ends it."""
    job = rectified(tmp_path, bench)
    assert steps(job)[:2] == ["restore", "leak-check"]
    signed(job)
    assert steps(job) == ["verify", *["follow-up"] * len(FOLLOW_UPS), "watch"]
    job.record("verified", gone=True)
    for x in outstanding(job):
        if x.step == "follow-up":
            follow_up(job, x.item, "none found", "AB")
    job.record("watch-set", flights=2)
    with pytest.raises(UsageError, match="watched flights: 0 of 2"):
        finish(job, "confirmed: strainer plugged")
    flight(job, True, "EF")
    flight(job, True, "EF")
    assert steps(job) == []
    finish(job, "confirmed: strainer plugged")


def test_a_flight_on_which_it_came_back_opens_the_job_again(tmp_path: Path, bench: Bench) -> None:
    """What was verified is not any more, and the count begins anew."""
    job = rectified(tmp_path, bench)
    signed(job)
    job.record("verified", gone=True)
    job.record("watch-set", flights=3)
    flight(job, True, "EF")
    flight(job, False, "EF", "lamp again in the climb")
    assert (job.state.phase, job.state.flown) == ("open", 0)
    assert "verify" in steps(job)


@pytest.mark.parametrize("typed", ["", "  ", "1234", "LONGNAME"])
def test_initials_are_letters_and_few(tmp_path: Path, bench: Bench, typed: str) -> None:
    """A number or a name is no initials, and nothing is kept."""
    job = opened_up(tmp_path, bench)
    before = len(job.log.events)
    with pytest.raises(UsageError, match="no initials"):
        restore(job, ids(job)["line"], typed)
    assert len(job.log.events) == before
    with pytest.raises(UsageError, match=r"^(?!'\s*')"):  # nothing typed is not told back
        restore(job, ids(job)["line"], typed)


def test_a_pump_in_a_line_has_no_tank_drained_nor_tank_panel_off_for_it(tmp_path: Path) -> None:
    """The list says what was done: a pump at its engine is got at under the cowling."""
    pumps = {"low-wing-twin": "no2-booster", "four-engine-float": "port-inner-booster"}
    seen = {}
    for layout, pump in pumps.items():
        job = Job.open(Registry(tmp_path / layout), shipped(layout), "2026-11-25", "Pump weak.")
        job.checked("inspect-booster", pump, "backwards")
        seen[layout] = {d.kind: d.what for d in job.state.disturbed.values()}
    assert "tank" not in seen["low-wing-twin"]
    assert seen["low-wing-twin"]["panel"] == "cowling off"
    assert seen["four-engine-float"]["tank"] == "tank drained"
    assert seen["four-engine-float"]["panel"] == "tank panel off"


def test_a_fire_guard_and_a_fitted_gauge_are_not_counted_back_as_tools(tmp_path: Path) -> None:
    """A person who stands by, and an instrument that is part of the aeroplane, are left nowhere."""
    job = Job.open(Registry(tmp_path), shipped("low-wing-twin"), "2026-11-25", "Pump weak.")
    job.checked("compare-booster-current", "no2-booster", "normal")
    assert not job.state.disturbed
