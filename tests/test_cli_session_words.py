"""Small words of the session: an entry stepped back from in the middle, what is not worth it."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo
from typing import Self

import pytest
from diagnosis.shipped import bench
from session_kit import LEFT_OUT, a_job, answered, events, last, new, resumed

from diagnose.cli.job import start
from diagnose.cli.job.prompts import NOT_NOW, Commands
from diagnose.cli.job.talk import Again, Talk
from diagnose.errors import UsageError
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State
from diagnose.planner import Action, Plan, Reading


def test_back_inside_an_entry_takes_nothing_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """'back' at the second prompt begins the entry anew; what stood before it stays."""
    taken: list[str] = []
    talk = Talk({"back": taken.append})
    monkeypatch.setattr(talk, "line", lambda _: "back")
    with pytest.raises(Again), talk.half_typed():
        talk.ask("as left:", str, own_words=True)
    assert not taken


def test_back_after_the_entry_is_the_command_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once the entry is whole, 'back' takes back what was kept last."""
    taken: list[str] = []
    talk = Talk({"back": taken.append})
    with talk.half_typed():
        pass
    typed = iter(["back", "dry"])
    monkeypatch.setattr(talk, "line", lambda _: next(typed))
    assert talk.ask("answer:", str) == "dry"
    assert taken == [""]


def test_what_saves_nothing_is_said_not_to_be_worth_its_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """'others' prints no negative saving and no '-0 min'."""
    lines: list[str] = []
    reading = Reading("fuel-smell", "aeroplane")
    idle = Action((reading,), minutes=2.0, saves=-0.3)
    good = Action((reading,), minutes=2.0, saves=4.2)
    commands = Commands(Job.open(Registry(), bench("low-wing-single"), "2026-01-01", "fades"))
    commands.plan = Plan(None, (idle, good), greedy=False)
    monkeypatch.setattr(commands.talk, "say", lambda text="": lines.append(str(text)))
    commands.words()["others"]("")
    assert [line.split("min, ")[1] for line in lines] == [NOT_NOW, "would save about 4 min"]


def test_what_was_not_understood_is_shown_and_may_be_picked_by_number() -> None:
    """Words that were not taken stay in sight, and what they may mean is taken by number."""
    report = "Pressure low on the run-up. Loss was slow in the climb. My cousin laughed."
    left = new("all", layout="low-wing-single", report=report)
    assert "'loss was slow in the climb'" in left.output.lower()
    assert "kept as words only: 'my cousin laughed'" in left.output
    assert [f["question"] for f in answered()] == ["fuel-pressure"]
    number = left.output.lower().split("'loss was slow in the climb'")[1].split()[0]
    new(number, layout="low-wing-single", report=report)
    (kept,) = events("answered")
    assert "loss was slow" in str(kept)


def stopped() -> Job:
    """Return a job with two findings, one of them a sample."""
    return a_job(
        "high-wing-single",
        Finding("engine-behaviour", "engine", "stops", State("climb"), "told"),
        Finding("strainer-drain-sample", "strainer", "dirt", State("static"), "seen"),
    )


def test_a_finding_is_changed_by_words_that_mean_it_alone() -> None:
    """Numbers run over the whole log; 'change sample' says it as well."""
    name = stopped().name
    resumed(name, "change sample", "clean", "pause")
    assert [e["finding"]["question"] for e in events("changed")] == ["strainer-drain-sample"]
    shown = resumed(name, "withdraw engine strainer", "pause")
    assert "is the number or the words of no one finding or work" in shown
    assert events("withdrawn") == []


def test_what_was_mended_is_asked_for_where_it_can_be_at_two_places() -> None:
    """The repair of one tank must not stand in the record as that of the other."""
    shown = resumed(stopped(), "record rectified water-behind-tank-fold", "left-tank", "later")
    assert "which was mended:" in shown
    assert "rectified: water trapped behind a bladder fold, left tank" in shown


def test_a_page_pasted_at_the_wrong_prompt_is_told_back_by_its_beginning() -> None:
    """What is wrong with it must not be pushed off the screen by what was typed."""
    shown = resumed(stopped(), f"why {'x' * 3000}", "pause")
    assert f"no cause here is called '{'x' * 60} ...'" in shown
    pasted = "nothing about an engine " * 100
    shown = resumed(stopped(), "change sample", pasted, "pause")
    refused = shown.rpartition(pasted.strip())[2].splitlines()[1]
    assert refused.startswith("  'nothing about an engine nothing")
    assert "is not one of the answers" in refused
    assert len(refused) < 400


def test_enter_at_an_answer_asks_again_and_keeps_nothing() -> None:
    """A slip of a cold hand must not be kept as 'not checked', and the question asked no more."""
    shown = resumed(stopped(), "change sample", "", "pause")
    assert "0 where it was not looked at" in shown
    assert events("changed") == []
    assert events("not-checked") == []


def test_what_was_taken_back_is_asked_again() -> None:
    """A slip of the finger is put right at the very prompt, whatever else could be asked now."""
    new("all", *LEFT_OUT, "pause")
    four = bench("four-engine-injection")
    name = last()
    job = Job(name, JobLog(Registry().path(name)), four, Registry())
    rain = next(r for r in four.planner.catalogue.readings if r.question == "rained-on")
    dry = next(iter(four.library.questions[rain.question].classes))
    job.answer(Finding(rain.question, rain.place, dry, known_by="told"), rain)
    job.let_go()
    shown = resumed(job, "back", "pause")
    assert four.library.questions[rain.question].ask in " ".join(shown.split())


@pytest.mark.parametrize(("words", "asked"), [(" at left tank", False), ("", True)])
def test_a_place_told_with_what_is_added_is_not_asked_for(words: str, asked: bool) -> None:
    """'Add sample from the tank drain at left tank' names its tank already."""
    typed = [f"add sample from the tank drain{words}", *(["1"] if asked else []), "2", "pause"]
    shown = new("none", "", *typed, layout="low-wing-single", report="Look it over.").output
    assert ("where (1 or 2" in shown) == asked
    (kept,) = answered()
    assert (kept["at"], kept["value"]) == ("left-tank", "water")


def test_a_question_is_found_by_its_name_beside_the_place_it_is_added_at() -> None:
    """The place is no word of the question, and a check of the gauge is not what was meant."""
    typed = ["add tank dipped at left tank", "2", "add contents gauge at left tank", "0", "pause"]
    shown = new("none", "", *typed, layout="low-wing-single", report="Look it over.").output
    (kept,) = answered()
    assert (kept["question"], kept["at"], kept["value"]) == ("tank-dipped", "left-tank", "low")
    assert "contents gauge against the stick" in shown
    assert "Change the contents gauge over" not in shown


@pytest.mark.parametrize(("typed", "kept"), [("yes", ["free"]), ("no", ["weak", "free"])])
def test_what_is_added_against_an_answer_is_asked_whether_it_replaces_it(
    typed: str, kept: list[str]
) -> None:
    """'Freely' after 'weakly' at the same drain, no state said, does not count beside it unseen."""
    job = a_job("four-engine-injection")
    state = State("static", {"booster": "off"})
    job.answer(Finding("strainer-flow", "no3-strainer", "weak", state, "seen"))
    job.let_go()
    add = "add no. 3 strainer drain runs freely"
    shown = resumed(job, add, "all", typed, "pause")
    assert "says otherwise: flow at the strainer drain" in shown
    held = Job(job.name, JobLog(Registry().path(job.name)), job.bench, Registry())
    assert [f.value for f in held.findings] == kept


def test_what_is_added_of_another_tank_replaces_nothing() -> None:
    """Each tank has its own answer: nobody is asked which of the two is so."""
    job = a_job("four-engine-injection")
    state = State("static", {"tank": "starboard-inner-tank"})
    job.answer(Finding("strainer-flow", "no3-strainer", "weak", state, "seen"))
    job.let_go()
    add = "add no. 3 strainer drain runs freely on no. 5 tank"
    shown = resumed(job, add, "all", "pause")
    assert "Does this stand instead of it" not in shown


def test_an_answer_that_begins_with_back_takes_nothing_back() -> None:
    """'Back in the band' tells what a gauge shows; it must not undo what was told before."""
    commands = Commands(Job.open(Registry(), bench("low-wing-single"), "2026-01-01", "fades"))
    commands.job.answer(Finding("fuel-smell", "aeroplane", "none", State(), "seen"))
    with pytest.raises(UsageError, match="typed alone"):
        commands.words()["back"]("in the band")
    assert [f.value for f in commands.job.findings] == ["none"]


def test_who_comes_back_after_a_week_is_asked_what_was_done_meanwhile(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """An aeroplane that was flown or filled since is not the one that was left."""
    job = a_job("low-wing-single")

    class InAWeek(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> Self:
            return super().now(tz) + timedelta(days=7)

    assert "Was it flown, filled" not in resumed(job, "pause")
    monkeypatch.setattr(start, "datetime", InAWeek)
    told = " ".join(resumed(job, "pause").split())
    assert "7 days ago. Was it flown, filled, worked on or left in the rain since?" in told
