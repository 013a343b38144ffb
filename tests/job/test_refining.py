"""How low a pressure was: asked once it was low, heard in the words that said so."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis.shipped import CASES, bench
from job.hearing.hearing_kit import FOUR, heard, told
from training.training_kit import attempt, plane

from diagnose.job.diagnosis import Diagnosis, Step
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.refining import nothing_to_refine
from diagnose.knowledge_files import load_case
from diagnose.model import Finding, State
from diagnose.planner import Situation
from diagnose.replay.guided import play

SINGLE = "low-wing-single"
RUN_UP = State("run-up", {"booster": "off"})
LOW = Finding("fuel-pressure", "engine", "low", RUN_UP, "read")
LEFT = ("pressure-left", "engine", "")
NOTHING = Finding("pressure-left", "engine", "nothing", known_by="read")


def test_what_was_left_is_asked_only_where_it_was_low_and_no_figure_says_so() -> None:
    """Of a pressure in the band, or read as 4 psi, nobody is asked whether any was left."""
    b = bench(SINGLE)
    assert LEFT in {r.key for r in b.planner.catalogue.readings}
    normal = Finding("fuel-pressure", "engine", "normal", RUN_UP, "read")
    figure = Finding("fuel-pressure", "engine", "low", RUN_UP, "read", number=27579.0)
    told_of = {"none": [], "normal": [normal], "figure": [figure], "low": [LOW]}
    asked_of = {name: LEFT not in nothing_to_refine(b, told_of[name]) for name in told_of}
    assert asked_of == {"none": False, "normal": False, "figure": False, "low": True}


def test_neither_a_replay_nor_an_exercise_goes_on_to_it_unless_it_was_low() -> None:
    """What a job would not ask costs a played case no minutes and an apprentice no regret."""
    b = bench(SINGLE)
    case = load_case(CASES / "invented" / "inv-accelerator-pump-weak.yaml", b.library, b.layout)
    seen: list[bool] = []

    def watch(_: Diagnosis, __: Step, now: Situation) -> None:
        seen.append(LEFT in now.asked)

    play(b, replace(case, findings=()), watch)
    play(b, replace(case, findings=(replace(LOW, known_by="told"),)), watch)
    assert seen == [True, False]
    for told_of, barred in (([], True), ([LOW], False)):
        a = attempt(plane(), told=told_of)
        assert (LEFT in a.situation().asked) is barred


def test_a_figure_of_nothing_answers_both_at_once(tmp_path: Path) -> None:
    """Who typed 0 psi has said that nothing was left."""
    job = Job.open(Registry(tmp_path), bench(SINGLE), "2026-11-25", "Pressure lost at the run-up.")
    job.answer(Finding("fuel-pressure", "engine", "low", RUN_UP, "read", number=0.0, typed="0 psi"))
    kept = [(f.question, f.value, f.typed) for f in job.findings]
    assert kept == [("fuel-pressure", "low", "0 psi"), ("pressure-left", "nothing", "0 psi")]


@pytest.mark.parametrize(
    ("report", "left"),
    [
        ("No. 2 pressure went to nothing at the run-up", ["nothing"]),
        ("Fuel pressure 0 psi on no. 2", ["nothing"]),
        ("Hardly any pressure on no. 2", ["some"]),
        ("Pressure low on no. 2", []),
        ("No. 2 fuel pressure 4 psi at the run-up", []),
        ("No loss of pressure on no. 2", []),
    ],
)
def test_the_words_that_say_low_say_how_low(report: str, left: list[str]) -> None:
    """'No pressure' tells that it was low and that none was left; 'low' tells no more than that."""
    assert [value for question, value in heard(report, FOUR) if question == "pressure-left"] == left


def test_what_the_words_say_more_is_told_at_the_same_engine() -> None:
    """Nothing on one engine's gauge says nothing of another's."""
    (s,) = told("No. 2 pressure went to nothing at the run-up", FOUR, "pressure-left")
    assert (s.places, s.state) == (("no2-engine",), State())


def shares(findings: list[Finding], layout: str = SINGLE) -> dict[str, float]:
    """Return the belief in each cause."""
    posterior = Diagnosis(bench(layout)).see(findings).posterior
    out: dict[str, float] = {}
    for at, p in posterior.ranking():
        out[at.cause] = out.get(at.cause, 0.0) + p
    return out


def test_nothing_left_tells_a_sheared_drive_from_a_worn_pump() -> None:
    """A worn pump leaves some of its pressure; a sheared drive leaves none."""
    low, nothing = shares([LOW]), shares([LOW, NOTHING])
    sheared, worn = "engine-pump-drive-sheared", "engine-pump-worn"
    assert nothing[sheared] / nothing[worn] > 4 * low[sheared] / low[worn]


def test_nothing_on_the_gauge_of_an_engine_that_runs_well_is_the_gauge() -> None:
    """An engine fed under pressure does not run on none."""
    well = Finding("engine-behaviour", "engine", "normal", RUN_UP, "seen")
    step = Diagnosis(bench(SINGLE)).see([LOW, NOTHING, well])
    assert step.outcome.verdict("no-pressure-engine-well", "engine") == "true"
