"""``diagnose exercise`` at the terminal: played, killed, resumed, debriefed; bad input."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from diagnosis.shipped import ROOT, bench
from session_kit import as_json, run

from diagnose.errors import CaseError, UsageError
from diagnose.job.hearing.asked_for import asked_for
from diagnose.training.events import Exercises

START = ["exercise", "start", "low-wing-single", "--seed", "3", "--fault",
         "primer-not-locked@primer", "--apprentice", "AB"]  # fmt: skip
"""A fault that the tool finds in three steps, so that a debrief is quick."""
SAFE = ["engine bay leak", "1", "smell of fuel", "burning smell", "ready", "yes"]


def last() -> str:
    """Return the name of the exercise begun last."""
    return Exercises().ids()[-1]


def test_an_exercise_is_played_to_its_debrief() -> None:
    """Asked in the trade's words, refused for safety, checked, named; the debrief follows."""
    played = run(*START, typed=["fuel pressure idle", "2", *SAFE, "fuel presure, idle, booster off",
                                "check look at the primer, its seals", "name primer",
                                "primer not locked", "90"])  # fmt: skip
    assert "The hand primer was found unlocked." in played.output
    assert played.exit_code == 0, played.output
    assert "REFUSED: not known safe" in played.output
    assert "in the band (" in played.output
    assert "Open fuel part" in played.output.split("CHECK:")[0], "cautions come before the step"
    assert "SOLVED: the part and its failure were named." in played.output
    assert "The tool's own way on the same aeroplane" in played.output
    assert "would have told" in played.output, "what a dear look could have been instead"
    assert "What it is easily taken for:" in played.output
    assert "asked for before it was safe: fuel pressure gauge" in played.output
    assert played.output.count("SIMULATED") > 5
    assert "certifies nothing" in played.output
    told = run("exercise", "debrief", last(), "--json")
    body = json.loads(told.output)
    assert next(iter(body)) == "schema_version"
    assert (body["solved"], body["safety_steps_skipped"]) == ("cause", 1)
    assert body["truth"]["cause"] == "primer-not-locked"
    assert body["work"]["minutes"] > 0
    listed = as_json("exercise", "list")["exercises"]
    assert [(r["state"], r["well"], r["family"]) for r in listed] == [("solved", False, "priming")]
    following = as_json("exercise", "next", "--apprentice", "AB")
    row = next(r for r in following["families"] if r["family"] == "priming")
    assert (row["done"], row["done_well"]) == (1, 0)
    assert following["suggested"] != "priming"
    assert following["suggested_layout"] == row["layout"] == "header-biplane"


def test_a_failure_named_leads_to_the_part_that_has_it() -> None:
    """Who says 'engine pump worn' has named the pump; how it failed is asked as of any part."""
    played = run(*START, typed=["name engine pump worn", "back", "pause"])
    assert "What is wrong with it (engine-driven fuel pump" in played.output
    assert "names no part here" not in played.output


def test_paused_it_tells_no_fault_and_goes_on() -> None:
    """Neither list nor debrief tells what is hidden before it is over."""
    run(*START, typed=[*SAFE[:3], "clear left cap", "pause"])
    assert "primer-not-locked" not in run("exercise", "list").output
    refused = run("exercise", "debrief", last())
    assert isinstance(refused.exception, UsageError)
    assert "a debrief tells the fault" in str(refused.exception)
    typed = ["mine", "findings", "layout", "report", "check", "name", "stop", "yes"]
    again = run("--plain", "exercise", "resume", last(), typed=typed)
    assert "1 struck off" in again.output
    assert "smell of fuel, aeroplane: none" in again.output
    assert "NOT SOLVED" in again.output
    assert "Ways of the fuel" in again.output, "the system can be looked at"
    assert again.output.count("Reported: The hand primer") == 3, "head, report, debrief"
    assert "say which check" in again.output
    assert "say which part" in again.output
    assert any(len(line) > 120 for line in again.output.splitlines()), "--plain breaks none"
    over = run("exercise", "resume", last())
    assert isinstance(over.exception, UsageError)


def test_other_words_at_do_you_mean_are_a_new_question() -> None:
    """Nobody must say 'no' first; a night's wait is asked about, and no part is named twice."""
    typed = ["presure lamp gauge left", "smell of fuel", "contents while parked left", "no",
             *SAFE[:2], "burning smell", "name strainer", "main strainer element plugged", "10",
             "name strainer", "pause"]  # fmt: skip
    shown = run(*START, typed=typed).output
    assert "Is there a smell of fuel?" in shown
    assert "That takes 12 hours. Do it? (1 yes / 2 no):" in shown
    assert "how do the contents of this tank move" not in shown
    assert "main strainer was worked on, and the trouble stayed" in shown


@pytest.mark.skipif(os.name != "posix", reason="kills by signal 9")
def test_a_kill_loses_nothing_that_was_answered(tmp_path: Path) -> None:
    """Whatever was on the screen before a kill -9 stands in the log after it."""
    words = [sys.executable, "-m", "diagnose", *START]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
                          env=env, cwd=tmp_path) as p:  # fmt: skip
        assert p.stdin
        assert p.stdout
        p.stdin.write("smell of fuel\nlast uplift\nwhen did it come\n")
        p.stdin.flush()
        killer = threading.Timer(60.0, p.kill)  # so that a wrong answer fails and does not hang
        killer.start()
        shown = 0
        for line in p.stdout:
            shown += line.startswith("  => ")
            if shown == 3:
                p.send_signal(signal.SIGKILL)
                break
        p.stdout.read()
        killer.cancel()
    assert shown == 3
    events = Exercises().path(last()).read_text(encoding="utf-8").splitlines()
    assert sum('"event":"asked"' in e for e in events) >= 3
    assert "3" in run("exercise", "resume", last(), typed=["findings", "pause"]).output


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["start", "low-wing-singel"], 2, "did you mean 'low-wing-single'"),
        (["start", "low-wing-single", "--level", "mad"], 2, "'mad' is no level"),
        (["start", "low-wing-single", "--fault", "strainer"], 2, "is written CAUSE@PART"),
        (["start", "ex-one-gauge-low", "--seed", "1"], 2, "says its own fault"),
        (["start", "ex-one-gage-low"], 2, "did you mean 'ex-one-gauge-low'? Layouts: "),
        (["start", "nothing.yaml"], 4, "nothing.yaml:1:1: cannot be read"),
        (["resume", "2020-01-01-01"], 2, "there is no exercise '2020-01-01-01'"),
        (["debrief", "x"], 2, "Exercises: none yet"),
    ],
)
def test_bad_input_is_one_line_with_its_exit_code(words: list[str], code: int, said: str) -> None:
    """What is wrong, what was meant, what to do; never a traceback."""
    found = run("exercise", *words)
    error = found.exception
    assert isinstance(error, (UsageError, CaseError))
    assert error.exit_code == code
    assert said in str(error)
    assert "\n" not in str(error)


def test_a_damaged_exercise_is_listed_last_and_the_others_are_told(home: Path) -> None:
    """One log that cannot be read hides no other."""
    run(*START, typed=["pause"])
    (home / "exercises" / "2020-01-01-01.jsonl").write_text('{"no": "event"}\n', encoding="utf-8")
    found = run("exercise", "list")
    assert last() in found.output
    assert isinstance(found.exception, CaseError)
    assert "2020-01-01-01.jsonl:1:1" in str(found.exception)


SMELL = """\
exercise: smell
layout: low-wing-single
fault: {cause: hose-cracked, at: hose}
severity: half
reported: Strong smell of fuel in the cockpit after the last flight.
told:
  - {finding: fuel-smell, at: aeroplane, value: cabin, known-by: told}
"""


def test_a_danger_interrupts_and_is_said_again_when_taken_up(tmp_path: Path) -> None:
    """A smell of fuel in the cockpit stops an exercise as it stops a job; a repeat counts once."""
    (tmp_path / "smell.yaml").write_text(SMELL, encoding="utf-8")
    typed = ["how the engine runs run-up booster on"] * 2 + ["pause"]
    shown = run("exercise", "start", str(tmp_path / "smell.yaml"), typed=typed).output
    assert shown.index("STOP: ") < shown.index("ask, check, name, or help:")
    assert " ".join(shown.split()).count("it is counted") == 1
    assert shown.count("(as said before)") == 1
    again = run("exercise", "resume", last(), typed=["pause"]).output
    assert again.count("STOP: ") == shown.count("STOP: ") == 1


@pytest.mark.parametrize(
    ("text", "question", "place", "state"),
    [
        ("fuel pressure no 2 engine run-up, boosters off", "fuel-pressure", "no2-engine",
         "run-up-booster-off"),
        ("fuel presure no. 1 idle booster on", "fuel-pressure", "no1-engine", "idle-booster-on"),
        ("mag drop no 1", "magneto-check", "no1-engine", "run-up-booster-off"),
        ("stains port main tank", "tank-stains", "port-main-tank", "static"),
        ("when did it come", "when-it-comes", "aeroplane", ""),
    ],
)  # fmt: skip
def test_what_is_asked_in_the_trades_words_is_found(
    text: str, question: str, place: str, state: str
) -> None:
    """Question, place and run state come from one line, misspelt or not."""
    meant = asked_for(bench("low-wing-twin"), text)
    assert [r.key for r in meant.readings] == [(question, place, state)]


@pytest.mark.parametrize(
    ("text", "questions"),
    [
        ("what's the fuel pressure", {"fuel-pressure"}),
        ("is there a leak", {"engine-bay-leak"}),
        ("run her up", {"engine-behaviour"}),
        ("water in the strainer", {"strainer-drain-sample"}),
        ("is it hot outside", {"outside-heat"}),
    ],
)
def test_what_an_apprentice_asks_in_his_own_words_is_found(text: str, questions: set[str]) -> None:
    """Small words name nothing, and of two questions that fit the one counts that can say so."""
    assert {r.question for r in asked_for(bench("low-wing-single"), text).readings} == questions


def test_another_question_may_be_asked_where_one_is_to_be_picked() -> None:
    """Nobody is held at a list; what is no line of it and no question is told so."""
    played = run(*START, typed=["fuel pressure", "smell of fuel", "fuel pressure", "gibberish",
                                "back", "stop", "yes"])  # fmt: skip
    assert "Is there a smell of fuel?" in played.output
    assert "'gibberish' is not one of them" in played.output
    assert "'smell of fuel' is not one of them" not in played.output


@pytest.mark.parametrize(
    ("layout", "text", "question", "place", "state"),
    [
        ("radial-single-hand-pump", "fuel pressure run-up right tank", "fuel-pressure", "engine",
         "run-up-right"),
        ("radial-single-hand-pump", "fuel pressure, Run-up on the right tank, hand pump still",
         "fuel-pressure", "engine", "run-up-right"),
        ("low-wing-single-tip-tanks", "engine runs run-up left main tank booster off",
         "engine-behaviour", "engine", "run-up-left"),
        ("low-wing-twin", "fuel pressure idle booster on port", "fuel-pressure", "no1-engine",
         "idle-booster-on"),
        ("low-wing-twin", "fuel in the engine bay starboard static, battery off",
         "engine-bay-leak", "no2-engine", "static"),
        ("high-wing-single", "contents while parked left", "contents-trend-parked", "left-tank",
         "parked-overnight"),
        ("low-wing-single", "engine bay leak battery off", "engine-bay-leak", "engine", "static"),
        ("low-wing-twin", "fuel pressure no 1 engine static booster on", "booster-pressure",
         "no1-engine", "static-booster-on"),
    ],
)  # fmt: skip
def test_tank_and_run_state_are_heard_as_they_are_printed(
    layout: str, text: str, question: str, place: str, state: str
) -> None:
    """A tank that feeds, the name of a run state and the title of a question are never lost."""
    meant = asked_for(bench(layout), text)
    assert [r.key for r in meant.readings] == [(question, place, state)]
    assert meant.as_said


def test_what_is_not_read_on_the_tank_named_is_not_read_on_another_unasked() -> None:
    """Another tank's answer would be taken for this one's, so where it can be read is listed."""
    layout = "low-wing-single-tip-tanks"
    assert not asked_for(bench(layout), "fuel pressure idle on the left tip tank").as_said
    typed = ["fuel pressure idle booster off left main tank", "no", "pause"]
    played = run("exercise", "start", layout, "--fault", "strainer-plugged@strainer", "--seed", "1",
                 typed=typed)  # fmt: skip
    assert "It is not read in that run state or on that tank" in played.output
    assert "=>" not in played.output


def test_what_the_aeroplane_does_not_have_is_not_taken_for_something_else() -> None:
    """A question half understood says so, that nobody pays for a look he did not ask for."""
    assert not asked_for(bench("low-wing-twin"), "pressure lamp no 2 idle").whole
    assert asked_for(bench("low-wing-twin"), "gibberish").readings == ()
