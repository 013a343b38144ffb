"""What may be asked at a prompt once something was mended."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from diagnosis.shipped import bench
from job.job_kit import PRESSURE_LOW, open_job, tiny_bench

from diagnose.cli.job.prompts import Commands
from diagnose.job.epochs import complaints
from diagnose.job.gates import refused
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.wording import cause_words
from diagnose.model import CauseAt, Finding, KnownBy, State
from diagnose.planner.outlook import Outlook


def test_why_not_asks_of_the_aeroplane_as_it_is_now(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was read before a repair no longer counts towards what a rule still lacks."""
    job = open_job(tmp_path / "home", tiny_bench(tmp_path))
    job.answer(PRESSURE_LOW)
    commands = Commands(job).words()

    commands["why not"]("booster-restores@engine")
    before = capsys.readouterr().out
    job.record("rectified", cause="strainer-plugged", place="strainer")
    commands["why not"]("booster-restores@engine")
    after = capsys.readouterr().out

    assert before.count("(now ") == 1
    assert after.count("(now unknown)") == 2


def test_gauge_against_stick_is_looked_at_again_after_a_repair() -> None:
    """It is read in any state, and is a complaint like one of the run-up: told once, asked anew."""
    told = {
        1: Finding("contents-gauge", "left-tank", "reads-low", known_by="read"),
        2: Finding("what-just-before", "aeroplane", "tank-change", known_by="told"),
    }
    assert complaints(bench("low-wing-single"), told, epoch=1) == (told[1],)


def test_no_answer_of_before_a_repair_is_offered_after_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A verdict of before the repair stands; no answer given now can change it."""
    job = open_job(tmp_path / "home", tiny_bench(tmp_path))
    job.answer(PRESSURE_LOW)
    job.answer(replace(PRESSURE_LOW, state=State("run-up", {"booster": "on"})))
    commands = Commands(job).words()

    commands["what would change"]("")
    assert "would be" in capsys.readouterr().out
    job.record("rectified", cause="strainer-plugged", place="strainer")
    commands["what would change"]("")
    assert "would be" not in capsys.readouterr().out


def test_what_was_put_right_no_longer_leads_the_list(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A part just renewed is named as mended, not as the likeliest to strip again."""
    job = open_job(tmp_path / "home", tiny_bench(tmp_path))
    job.answer(PRESSURE_LOW)
    commands = Commands(job).words()
    first = job.step().posterior.ranking()[0][0]

    job.record("rectified", cause=first.cause, place=first.at)
    commands["ranking"]("")
    shown = capsys.readouterr().out.splitlines()

    words = cause_words(job.bench, first)
    assert [line for line in shown if words in line] == [
        line for line in shown if line.startswith("  mended") and words in line
    ]
    commands["why"]("")
    assert not capsys.readouterr().out.startswith(words)


def test_a_leak_seen_bars_a_start_whatever_is_opened_or_sampled_after_it(tmp_path: Path) -> None:
    """A strainer opened makes 'dry' unknown again, not 'dripping'; only mending does that."""
    job = Job.open(Registry(tmp_path), bench("low-wing-single"), "2026-11-25", "It drips.")
    leak = next(g for g in job.bench.planner.catalogue.gates if g.question == "engine-bay-leak")
    job.answer(Finding(leak.question, leak.place, "running", leak.state, "seen"), leak)
    job.checked("inspect-strainer-element", "strainer", "clean")
    assert leak in refused(job.bench, job.state.findings, job.log.events)
    job.record("rectified", cause="strainer-bowl-leaks", place="strainer", what="resealed")
    assert leak not in refused(job.bench, job.state.findings, job.log.events)


FOLD = CauseAt("water-behind-tank-fold", "left-tank")
ROCKED = ("rock-wings-and-drain", "left-tank", "water")


def water_found(home: Path) -> Job:
    """Return a job in which rocking the wings brought water that no drain gave before."""
    job = Job.open(Registry(home), bench("high-wing-single"), "2026-11-25", "It nearly stopped.")
    stopped = Finding("engine-behaviour", "engine", "stops", State("approach"), "told")
    job.answer(stopped)
    job.answer(Finding("tank-construction", "left-tank", "bladder", known_by="seen"))
    job.answer(Finding("strainer-drain-sample", "strainer", "water", State("static"), "seen"))
    job.answer(Finding("rained-on", "aeroplane", "wet", known_by="told"))
    job.checked(*ROCKED)
    return job


def test_what_was_mended_and_is_found_again_is_found_once_more(tmp_path: Path) -> None:
    """The bladder came off its studs again: the search goes on there and not beside it."""
    job = water_found(tmp_path)
    assert job.found(job.step()) == FOLD
    mended = {"cause": FOLD.cause, "place": FOLD.at, "what": "re-hung"}
    job.record("rectified", **mended)
    job.record("verified", gone=False)
    assert job.found(job.step()) is None
    job.checked(*ROCKED)
    assert job.found(job.step()) == FOLD
    job.record("rectified", **mended)
    assert job.found(job.step()) is None


def test_nothing_is_planned_for_what_was_put_right(tmp_path: Path) -> None:
    """A lab test of fuel that was drained away tells nothing of the trouble that stayed."""
    job = water_found(tmp_path)
    outlook = Outlook(job.diagnosis.belief, job.step().posterior)
    at = job.step().posterior.causes.index(FOLD)
    assert at in outlook.causes
    assert outlook.mass_on(np.array([at])) > 0.3
    job.record("rectified", cause=FOLD.cause, place=FOLD.at, what="re-hung")
    outlook = Outlook(job.diagnosis.belief, job.step().posterior)
    assert outlook.mass_on(np.array([at])) == 0.0


def test_what_a_tank_is_made_of_is_no_complaint_to_look_at_again(tmp_path: Path) -> None:
    """A bladder is a bladder after the repair; the water in the strainer is looked for again."""
    job = water_found(tmp_path)
    job.record("rectified", cause=FOLD.cause, place=FOLD.at, what="re-hung")
    again = {f.question for f in complaints(job.bench, job.state.findings, 1)}
    assert again == {"engine-behaviour", "strainer-drain-sample"}


@pytest.mark.parametrize(
    ("known_by", "one_of", "asked_again"),
    [("told", (), False), ("assumed", (), True), ("told", ("wet", "dry"), True)],
)
def test_a_history_told_with_the_report_is_not_asked_for_again(
    tmp_path: Path, known_by: KnownBy, one_of: tuple[str, ...], asked_again: bool
) -> None:
    """Who told of the rain would only tell it again, before a repair or after it."""
    job = Job.open(Registry(tmp_path), bench("high-wing-single"), "2026-11-25", "It rained.")
    told = Finding("rained-on", "aeroplane", "wet", known_by=known_by, one_of=one_of)
    job.answer(told)
    for _ in range(2):
        asked = {question for question, _, _ in job.situation().asked}
        assert ("rained-on" not in asked) is asked_again
        job.record("rectified", cause=FOLD.cause, place=FOLD.at, what="re-hung")


def test_how_a_cock_was_found_is_not_asked_once_the_report_was_repeated(tmp_path: Path) -> None:
    """Whoever proved the repair set the cocks himself: nothing is left of how they stood."""
    job = Job.open(Registry(tmp_path), bench("four-engine-float"), "2026-11-25", "as it was")
    cock = ("confirm-as-found-position", "port-selector")
    assert cock in job.bench.planner.catalogue.offers
    assert not job.bench.planner.catalogue.check_gone(*cock, job.state.lost)
    job.record("rectified", cause="strainer-plugged", place="no1-strainer", what="cleaned")
    job.record("verified", gone=False, partly=True)
    assert job.bench.planner.catalogue.check_gone(*cock, job.state.lost)
