"""A job: what it keeps, what it refuses to take up, and when a part counts as found."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from job.job_kit import (
    DAY,
    FADES,
    PRESSURE_LOW,
    SMELL_NONE,
    again,
    every_kind,
    lines_of,
    open_job,
    write_lines,
)
from tiny_library import PUMP

from diagnose.errors import CaseError
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.model import CauseAt
from diagnose.planner import Reading

STRAINER = CauseAt("strainer-plugged", "strainer")


@pytest.fixture
def job(tmp_path: Path, bench: Bench) -> Job:
    """Return a job just opened."""
    return open_job(tmp_path / "home", bench, aeroplane="X-ONE", asked_by="A. Fitter")


def pressure_reading(bench: Bench) -> Reading:
    """Return the pressure reading in the run-up with the booster off."""
    state = next(s for s in bench.layout.run_states if s.id == "run-up-off")
    return Reading("fuel-pressure", "engine", state)


def test_opening_keeps_what_was_typed_word_for_word(job: Job) -> None:
    """The report and who asked stand in the first event, with both editions."""
    first = lines_of(job)[0]
    assert job.name == f"{DAY}-01"
    assert first["reported"] == "Power faded at take-off."
    assert (first["aeroplane"], first["asked_by"]) == ("X-ONE", "A. Fitter")
    assert first["edition"] == job.bench.library.edition
    assert first["layout_edition"] == job.bench.layout.edition


def test_a_job_taken_up_again_is_the_job_that_was_left(job: Job) -> None:
    """State, findings and their numbers come back from the log alone."""
    every_kind(job)
    later = again(job)
    assert later.state == job.state
    assert later.findings == job.findings
    assert later.finding_numbers() == job.finding_numbers()


def test_a_job_taken_up_again_ranks_as_it_did(job: Job) -> None:
    """The same log gives the same belief."""
    job.answer(FADES)
    job.answer(PRESSURE_LOW)
    assert again(job).step().posterior.ranking() == job.step().posterior.ranking()


def test_stepping_back_ranks_as_if_it_had_not_been_answered(job: Job) -> None:
    """An answer taken back leaves no trace in the belief."""
    job.answer(FADES)
    before = job.step().posterior.ranking()
    job.answer(PRESSURE_LOW)
    assert job.step().posterior.ranking() != before
    assert job.step_back() is not None
    assert job.step().posterior.ranking() == before


def test_a_part_found_is_found_no_more_once_its_check_is_taken_back(job: Job) -> None:
    """Neither the record nor a repair made in vain later may lean on a check that never stood."""
    job.checked("inspect-strainer", "strainer", "plugged")
    job.record("part-found", cause="strainer-plugged", place="strainer")
    job.step_back()
    assert job.state.part_found == frozenset()
    assert job.state.phase == "open"


def test_stepping_back_with_nothing_to_take_back_writes_nothing(job: Job) -> None:
    """The opening is never taken back."""
    assert job.step_back() is None
    assert len(lines_of(job)) == 1


def test_other_edition_of_the_knowledge_is_told(job: Job, tmp_path: Path) -> None:
    """A job taken up with changed knowledge says so; with its own it does not."""
    from tiny_library import tiny_library

    from diagnose.knowledge_files import load_layout

    assert not again(job).edition_differs()
    other = tmp_path / "other"
    changed = PUMP.replace("uncommon", "common")
    library = tiny_library(other, {"causes/pump/engine-pump-worn.yaml": changed})
    layout = load_layout(other / "knowledge" / "layouts" / "tiny-single.yaml")
    later = again(job, Bench(library, layout))
    assert later.edition_differs()
    assert later.state_edition() == job.bench.library.edition


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("question", "oil-pressure", "'oil-pressure' is not a question"),
        ("at", "no-such-part", "'no-such-part' is not a part of layout 'tiny-single'"),
        ("value", "purple", "'purple' is not an answer to 'fuel-pressure'"),
        ("stage", "loop", "'loop' is not a stage"),
        ("settings", {"booster": "perhaps"}, "'booster perhaps' is not a run state"),
        ("settings", {"moon": "full"}, "'moon full' is not a run state"),
        ("settings", {"tank": "centre-tank"}, "'centre-tank' is not a part"),
        ("check", True, "'fuel-pressure' is not a check"),
    ],
)
def test_a_finding_that_names_the_unknown_is_one_clear_error(
    job: Job, key: str, value: object, said: str
) -> None:
    """The line, the name and the edition it was kept with are told together."""
    job.answer(SMELL_NONE)
    job.answer(PRESSURE_LOW)
    events = lines_of(job)
    events[2]["finding"][key] = value
    write_lines(job, events)
    assert_refused(job, said)


@pytest.mark.parametrize(
    ("event", "said"),
    [
        ({"event": "rectified", "cause": "gremlin", "place": "strainer"}, "not a cause"),
        ({"event": "rectified", "cause": "strainer-plugged", "place": "x"}, "not a part"),
        ({"event": "work", "what": "repainted", "place": "x"}, "not a part"),
        ({"event": "not-checked", "check": ["look", "strainer"]}, "not a check"),
        ({"event": "not-checked", "check": ["test-gauge", "x"]}, "not a part"),
        ({"event": "checked", "check": ["x", "y"], "finding": None}, "not a check"),
        ({"event": "not-checked", "reading": ["x", "engine", ""]}, "not a question"),
        ({"event": "part-found", "cause": "gremlin", "place": "strainer"}, "not a cause"),
        ({"event": "run", "readings": [["x", "engine", ""]]}, "not a question"),
    ],
)
def test_any_event_that_names_the_unknown_is_one_clear_error(
    job: Job, event: dict[str, Any], said: str
) -> None:
    """Nothing in a log is taken up half understood."""
    job.answer(SMELL_NONE)
    job.checked("inspect-strainer", "strainer", "clean")
    events = lines_of(job)
    sound = events[2]["finding"]
    events[2] = {"n": 3, "at": events[1]["at"], **event}
    if "finding" in event:
        events[2]["finding"] = sound
    write_lines(job, events)
    assert_refused(job, said)


def assert_refused(job: Job, said: str) -> None:
    """Assert that the job is refused with one problem, at line 3, saying ``said``."""
    with pytest.raises(CaseError) as caught:
        again(job)
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].origin.line == 3
    assert said in str(caught.value)
    assert job.bench.library.edition in str(caught.value)


def test_a_job_of_another_layout_is_refused(job: Job) -> None:
    """A log is never read against a layout it was not kept on."""
    events = lines_of(job)
    events[0]["layout"] = "other-single"
    write_lines(job, events)
    with pytest.raises(CaseError, match="'other-single'"):
        again(job)


def test_an_answer_or_a_skip_is_not_asked_again(job: Job, bench: Bench) -> None:
    """Both are asked once; 'not checked' leaves no finding and no belief."""
    reading = pressure_reading(bench)
    before = job.step().posterior.ranking()
    job.skip(reading)
    assert reading.key in job.situation().asked
    assert job.findings == ()
    assert job.step().posterior.ranking() == before
    job.step_back()
    assert reading.key not in job.situation().asked
    job.answer(PRESSURE_LOW, reading)
    assert reading.key in job.situation().asked


def test_a_check_made_or_refused_is_not_proposed_again(job: Job) -> None:
    """What was opened for it needs no opening for the next."""
    job.skip_check("test-gauge", "pressure-gauge")
    job.checked("inspect-strainer", "strainer", "clean")
    situation = job.situation()
    assert {("test-gauge", "pressure-gauge"), ("inspect-strainer", "strainer")} <= situation.done
    assert "cowling of engine" in situation.opened


def test_answers_after_a_repair_belong_to_the_next_epoch(job: Job) -> None:
    """A normal reading after the repair does not argue with the low one before it."""
    job.answer(PRESSURE_LOW)
    job.record("rectified", cause=STRAINER.cause, place=STRAINER.at)
    job.answer(PRESSURE_LOW)
    assert [f.epoch for f in job.findings] == [0, 1]
    assert job.state.rectified == {STRAINER: 1}


def test_a_rectified_cause_no_longer_explains_what_is_still_there(job: Job) -> None:
    """The same low pressure after the strainer was cleaned speaks for another cause."""
    job.answer(PRESSURE_LOW)
    job.record("rectified", cause=STRAINER.cause, place=STRAINER.at)
    job.answer(PRESSURE_LOW)
    ranked = [c for c, _ in job.step().posterior.ranking()]
    pump = CauseAt("engine-pump-worn", "engine-pump")
    assert ranked.index(pump) < ranked.index(STRAINER)


def test_belief_alone_finds_no_part(job: Job) -> None:
    """However likely a cause, it is not called found before a check has confirmed it."""
    for _ in range(3):
        job.answer(FADES)
    job.answer(PRESSURE_LOW)
    step = job.step()
    assert step.posterior.ranking()[0][0] == STRAINER
    assert job.found(step) is None


def test_a_check_that_confirms_finds_the_part_once(job: Job) -> None:
    """The plugged element is the part; once put right it is not found again."""
    job.answer(FADES)
    job.answer(PRESSURE_LOW)
    job.checked("inspect-strainer", "strainer", "plugged")
    assert job.found(job.step()) == STRAINER
    job.record("rectified", cause=STRAINER.cause, place=STRAINER.at)
    assert job.found(job.step()) is None


def test_a_check_that_finds_nothing_finds_no_part(job: Job) -> None:
    """A clean element confirms nothing."""
    job.answer(FADES)
    job.answer(PRESSURE_LOW)
    job.checked("inspect-strainer", "strainer", "clean")
    assert job.found(job.step()) is None


def test_a_ranking_is_kept_only_when_it_has_changed(job: Job) -> None:
    """Looking twice leaves one entry."""
    job.keep_ranking(job.step())
    job.keep_ranking(job.step())
    job.answer(PRESSURE_LOW)
    job.keep_ranking(job.step())
    assert [e["event"] for e in lines_of(job)].count("ranked") == 2
    job.keep_ranking(again(job).step())
    assert [e["event"] for e in lines_of(job)].count("ranked") == 2


def test_the_index_follows_the_job(job: Job) -> None:
    """What a list shows is the state after the last event."""
    job.record("stopped", reason="rain")
    assert job.registry.entries()[0].state == "stopped"
