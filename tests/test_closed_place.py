"""An aeroplane in a closed place: no engine and no pump is run until it stands in the open."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from session_kit import AT_HAND, LEFT_OUT, Typed, events, run

from diagnose.errors import UsageError
from diagnose.job.at_hand import INDOORS, as_kept, barred
from diagnose.job.day.before_run import IN_THE_OPEN, for_a_run
from diagnose.job.day.card import card_of
from diagnose.job.gates import need_of_state, pumps
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.keeping.stands import in_a_closed_place
from diagnose.model import Finding, State
from diagnose.report.runcard import runcard

SINGLE = "low-wing-single"
FADED = ("--report", "The engine faded at the run-up.")


def test_a_job_opened_in_a_hangar_runs_no_engine_and_no_pump() -> None:
    """The place typed when the job is opened bars as one told later does, until it is outside."""
    b = bench(SINGLE)
    job = Job.open(Registry(), b, "2026-11-25", "Fades.", place="hangar 3")
    runs = {r.key for r in b.planner.catalogue.readings if need_of_state(r.run_state) == "run"}
    pumped = {r.key for r in b.planner.catalogue.readings if pumps(r.run_state)}
    assert runs | pumped <= job.situation().asked
    assert {barred(b, job.state).readings[key] for key in runs | pumped} == {INDOORS}
    assert not job.situation().may_run
    job.record("at-hand", **as_kept(job.state, indoors=False))
    assert not (runs | pumped) & barred(b, job.state).readings.keys()
    assert job.situation().may_run


def test_whoever_was_in_a_hangar_confirms_the_open_before_a_run() -> None:
    """'In the open' stands in the list before a run, and only where a closed place was told."""
    b = bench(SINGLE)
    inside = Job.open(Registry(), b, "2026-11-25", "Fades.", place="in the hangar")
    apron = Job.open(Registry(), b, "2026-11-25", "Fades.", place="hangar apron")
    inside.record("at-hand", **as_kept(inside.state, indoors=False))
    assert IN_THE_OPEN in for_a_run(inside)
    assert IN_THE_OPEN not in for_a_run(apron)


def test_the_run_card_asks_for_the_open_where_a_closed_place_was_told() -> None:
    """What is confirmed on screen is confirmed on paper; inside, no card is printed at all."""
    b = bench(SINGLE)
    job = Job.open(Registry(), b, "2026-11-25", "Fades.", place="hangar")
    job.answer(Finding("engine-behaviour", "engine", "fades", State("run-up"), "told"))
    with pytest.raises(UsageError, match="none can be made here"):
        card_of(job)
    job.record("at-hand", **as_kept(job.state, indoors=False))
    text, _ = runcard(card_of(job), "text")
    assert IN_THE_OPEN in " ".join(text.split())


@pytest.mark.parametrize(
    ("said", "closed"),
    [
        ("Hangar 3", True),
        ("hangar, north field", True),
        ("indoors", True),
        ("apron", False),
        ("outside the hangar", False),
        ("in front of hangar 2", False),
        ("hangar apron", False),
        ("Upper Marsh", None),
        ("", None),
    ],
)
def test_a_closed_place_is_known_by_its_word(said: str, closed: bool | None) -> None:
    """Beside a hangar is not in it; a name that is no known place says nothing."""
    assert in_a_closed_place(said) is closed


IN_HANGAR_2 = ("job", "new", "--layout", SINGLE, "--place", "hangar 2")


@pytest.mark.parametrize(
    ("typed", "indoors"), [("", True), ("1, no mirror", True), ("apron", False), ("all", True)]
)
def test_a_job_opened_in_a_hangar_stays_there_until_it_is_told_outside(
    typed: str, indoors: bool
) -> None:
    """Enter at what is here allows no run in a closed place; the page says so in one line."""
    shown = run(*IN_HANGAR_2, *FADED, typed=["all", AT_HAND, typed, "pause"]).output
    kept = events("at-hand")[-1]
    assert (kept["indoors"], kept["may_run"]) == (indoors, not indoors)
    assert ("NO RUN, NO PUMP: it stands in a closed place" in shown) is indoors


def test_a_check_that_runs_the_engine_is_refused_in_a_hangar() -> None:
    """Chosen by its name it waits for the open air as one that is offered does."""
    typed: list[Typed] = ["all", *LEFT_OUT, "add run on the cross-feed", "pause"]
    place = ("job", "new", "--layout", "low-wing-twin", "--place", "hangar")
    faded = ("--report", "No. 1 engine faded at the run-up.")
    shown = run(*place, *faded, typed=typed).output.partition("add run on")[2]
    assert "NO RUN, NO PUMP: it stands in a closed place" in shown
    assert "Before any engine run" not in shown
    assert not events("run")
