"""The terminal session, worked as a person would, through pipes."""

from __future__ import annotations

import subprocess
import sys
from contextvars import copy_context

import pytest
from diagnosis.shipped import bench
from session_kit import (
    AT_HAND,
    IN_THE_CABIN,
    LEFT_OUT,
    REPORT,
    Until,
    answered,
    events,
    last,
    new,
    resumed,
    run,
)

from diagnose.cli.job.opening import MOST_WITH_PAPERS
from diagnose.cli.job.prompts import Commands
from diagnose.cli.job.screens import cautions
from diagnose.cli.job.talk import Talk
from diagnose.cli.job.together import answered_alike
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("9", "is not one of the answers"),
        ("surgess", "Did you mean 'surges'?"),
        ("maybe", "Type a number from 1 to 5"),
        ("why ²", "no cause here is called"),
        ("\x1b[A", "'?[A' is not one of the answers"),
    ],
)
def test_bad_answers_get_one_clear_line_and_another_try(typed: str, says: str) -> None:
    """A slip at an answer costs one line, nothing else."""
    result = new("cruise", typed, "4", layout="low-wing-single", report="It hardly surged.")
    assert says in result.output
    assert answered()[-1]["value"] == "surges"


def test_a_question_left_with_enter_is_not_asked_again() -> None:
    """On the first page Enter says 'not checked', which holds for the whole job."""
    result = new("all", *LEFT_OUT, *["0"] * 12)
    left = [e["reading"] for e in events("not-checked") if "reading" in e]
    assert ["what-just-before", "aeroplane", ""] in left
    assert result.output.count("What was done or happened just before it showed?") == 1


def test_the_first_page_asks_few_questions_the_gates_first() -> None:
    """What tells little now waits; the smell is asked whatever it tells."""
    result = new("0", *LEFT_OUT, report="No 2 engine pressure low on the run-up, boosters off.")
    page = result.output.partition("Before anything is touched")[2].partition("What is here?")[0]
    asked = page.count("0  not checked / cannot tell")
    assert 2 <= asked <= 1 + MOST_WITH_PAPERS
    assert page.index("Is there a smell of fuel?") < page.index("How long")


def test_what_is_here_is_told_on_one_line() -> None:
    """People, what is missing, no run, and the wind, in any order."""
    new("all", AT_HAND, "no run, 1, mirror, 240/12 kn, ground power")
    told = events("at-hand")[-1]
    assert (told["hands"], told["may_run"], told["indoors"]) == (1, False, False)
    assert (told["ground_power"], told["wind"]) == ("no", "240/12 kn")
    assert "mirror" not in told["tools"]


def test_nothing_told_of_what_is_here_is_two_people_and_everything() -> None:
    """'0' and 'not checked' say what Enter says."""
    result = new("all", AT_HAND, "0", "pause")
    told = events("at-hand")[-1]
    assert "neither a number of people" not in result.output
    assert (told["hands"], told["tools"], told["may_run"]) == (2, None, True)


def test_an_action_is_named_before_its_cautions_are_to_be_read() -> None:
    """Nobody can weigh a caution without knowing what it is for."""
    result = new("all", *LEFT_OUT, Until("Read and understood?", "0"), "pause")
    before = result.output.partition("Read and understood?")[0]
    assert "Next: " in before
    assert before.index("Next: ") < before.index("WARNING ")


def test_cautions_read_once_stand_by_name_until_asked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """In full before they are read, then by name; 'cautions' tells them in full again."""
    b = bench("low-wing-single")
    text = "\n".join(cautions(b, ["bonding", "running-engine"], {"bonding"}, " (asked for)"))
    assert "WARNING Engine running: " in text
    assert "As read before: WARNING Static (asked for)" in text
    assert "Metal funnel" not in text

    commands = Commands(Job.open(Registry(), b, "2026-11-25", "Fades."))
    commands.hazards = ("bonding",)
    commands.words()["cautions"]("")
    assert "Metal funnel" in capsys.readouterr().out


def test_a_stop_interrupts_before_anything_else() -> None:
    """Fuel in the cabin stops the job at once, and waits until it has been acted on."""
    result = new("all", "later", "done", "done", "none", "", report=IN_THE_CABIN)
    before, _, after = result.output.partition("STOP:")
    assert "Before anything is touched" not in before
    assert "type 'done' when it has been" in after
    assert "Before anything is touched" in after
    assert any("stop" in str(e["hazard"]) for e in events("acknowledged"))


def test_everything_can_be_asked_at_any_prompt() -> None:
    """Ranking, numbers, why, others, what would change, findings and help answer and ask again."""
    result = new(
        "all",
        *LEFT_OUT,
        "help",
        "ranking",
        "numbers",
        "ranking",
        "why 1",
        "why not booster-restores@no2-engine",
        "why not the booster brings the pressure back, no. 1 engine",
        "why The booster brings the pressure back?",
        "what would change",
        "others",
        "findings",
        "pause",
    )
    out = result.output
    for part in (
        "Still possible:",
        "probabilities shown",
        "what speaks for and against it",
        "sources:",
        "lacks",
        "the booster brings the pressure back, no. 1 engine (port outer): lacks",
        "because: The booster lifts the pump inlet.",
        "would be",
        "fuel pressure gauge, no. 2 engine",
    ):
        assert part in out, part
    assert result.exit_code == 0


def test_back_takes_the_last_entry_back_and_keeps_the_record() -> None:
    """Stepping back undoes; the log keeps both the entry and its undoing."""
    new("all", *LEFT_OUT, "back", "back", "pause")
    assert len(events("stepped-back")) == 2
    assert len(events("answered")) == 3


def test_end_of_input_pauses_and_resume_goes_on_where_it_was() -> None:
    """Closing the terminal loses nothing; the next session shows the findings."""
    new("all")
    job = last()
    result = run("job", "resume", job, typed=["findings", "pause"])
    assert "below the band" in result.output
    assert result.exit_code == 0


def test_a_first_page_cut_off_is_taken_up_where_it_was_with_the_danger_first() -> None:
    """What was heard and not yet taken is offered again, what was taken is not; STOP leads."""
    new("1", report=IN_THE_CABIN)
    job = last()
    first = resumed(job, "done")
    again = resumed(job, "all", "done")
    assert first.index("STOP:") < first.index("Take which?")
    assert "smell of fuel: in the cabin" not in first
    assert "warning lamp" in again.split("Take which?")[0]
    assert again.count("Everybody out") == 1  # told that it stands; acted on before
    assert again.index("STOP, told before and still in force: ") < again.index("Take which?")
    assert "Before anything is touched" in again
    assert "Take which?" not in resumed(job, "findings")


def test_no_engine_is_run_while_a_gate_is_left_unknown() -> None:
    """Every gate passed over: other ways are looked for, as long as anything goes."""
    result = new("1 2", *LEFT_OUT, Until("Not isolated here", "0"))
    assert "Not isolated here" in result.output
    assert "NO RUN, NO PUMP" in result.output
    assert "ENGINE RUN:" not in result.output
    assert not events("run")


def test_unknown_jobs_layouts_and_forms_are_told_in_one_line() -> None:
    """What does not exist is named, with what there is; exit code 2."""
    for words, says in (
        (["job", "resume", "nowhere"], "there is no job 'nowhere'"),
        (
            ["job", "new", "--layout", "low-wing-singel", "--report", "x"],
            "did you mean 'low-wing-single'",
        ),
        (["rank", "missing.yaml"], "missing.yaml"),
    ):
        done = subprocess.run(
            [sys.executable, "-m", "diagnose", *words],
            capture_output=True,
            text=True,
            check=False,
            stdin=subprocess.DEVNULL,
        )
        assert done.returncode in (2, 4)
        assert says in done.stderr
        assert "Traceback" not in done.stderr
        assert len(done.stderr.strip().splitlines()) == 1


def test_help_is_help_and_quick_to_read() -> None:
    """No arguments print help on stdout with exit 0, examples first, exit codes last."""
    result = run()
    assert result.exit_code == 0
    assert result.output.index("diagnose job new") < result.output.index("Commands:")
    assert "exit codes: 0 done" in result.output


def test_plain_breaks_no_line_and_draws_no_rule() -> None:
    """With --plain a caution is one line for a screen reader, and nothing is ruled off."""
    typed = ["all"]
    words = ["--plain", "job", "new", "--layout", "four-engine-injection", "--report"]
    words.append(IN_THE_CABIN)
    out = copy_context().run(lambda: run(*words, typed=typed).output)
    assert any(line.startswith("STOP: ") and line.endswith("aired.") for line in out.splitlines())
    assert "****" not in out


def test_what_a_report_was_read_as_is_told_and_a_doubtful_word_asked() -> None:
    """A misspelt word is told with what it was read as; a 'no' is never guessed."""
    result = new(
        "1", "none", layout="low-wing-single", report="fuel presure lite nevr came on at run-up"
    )
    assert "'presure' as 'pressure', 'lite' as 'light'" in result.output
    assert "'nevr': which word is meant?" in result.output
    assert "'light never came on': fuel pressure warning lamp" in " ".join(result.output.split())


@pytest.mark.parametrize(("typed", "normal"), [("yes", True), ("no", False), ("", False)])
def test_trouble_told_of_one_engine_asks_for_the_others(typed: str, normal: bool) -> None:
    """One engine alone, or all of one tank: it divides the system before anything is opened."""
    result = new("all", typed, "pause")
    assert result.output.count("Were the other engines looked at as well, and normal") == 1
    job = last()
    changed = [dict(e["finding"]) for e in events("changed")]
    assert {f["at"] for f in changed if f["others_normal"]} == ({"no2-engine"} if normal else set())
    shown = resumed(job, "findings", "pause")
    assert ("the others normal" in shown) is normal


def test_the_others_are_not_asked_for_where_there_are_none_or_they_were_told() -> None:
    """Nothing told is asked again."""
    told = f"{REPORT} The other three fine."
    for layout, report in (("low-wing-single", REPORT), ("four-engine-injection", told)):
        assert "the other engine" not in new("all", "pause", layout=layout, report=report).output


def test_what_was_seen_in_flight_can_be_added_in_words() -> None:
    """No run state on the ground is a cruise: it is told as it was told, and kept as told."""
    single = {"layout": "low-wing-single", "report": "Engine quit."}
    result = new("not known", "none", *LEFT_OUT, "add how the engine runs",
                 "cruise on the right tank", "stops", "pause", **single)  # fmt: skip
    (kept,) = [
        e["finding"] for e in events("answered") if e["finding"]["question"] == "engine-behaviour"
    ]
    assert (kept["stage"], kept["settings"]) == ("cruise", {"tank": "right-tank"})
    assert kept["known_by"] == "told"
    assert "[cruise, on right tank]" in result.output


def test_an_answer_is_one_prompt_and_says_how_it_is_known() -> None:
    """Nobody is asked how a look is known; who means something else says it behind the answer."""
    low = {"layout": "low-wing-single", "report": "Engine quit on the run-up."}
    result = new("all", *LEFT_OUT, "read", "", "1", "2 told", "2", "pause", **low)
    known = {e["finding"]["known_by"] for e in events("answered") if e.get("reading")}
    assert {"seen", "told"} <= known
    assert "how known" not in result.output


@pytest.mark.parametrize(("typed", "damp"), [("dry", 0), ("1: dry, 2: damp, 3: dry, 4: dry", 1)])
def test_a_gate_of_like_engines_is_answered_once_for_all_or_by_number(
    typed: str, damp: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four bays are looked at and answered on one line; a damp one is kept as that one's."""
    b = bench("four-engine-injection")
    job = Job.open(Registry(), b, "2026-01-01", "a lamp", ())
    bays = [g for g in b.planner.catalogue.gates if g.question == "engine-bay-leak"]
    monkeypatch.setattr(Talk, "line", lambda self, prompt: typed)
    assert answered_alike(Talk(), job, bays)
    assert [f.at for f in job.findings] == [g.place for g in bays]
    assert len(bays) == 4
    assert sum(f.value == "damp" for f in job.findings) == damp


def test_a_job_taken_up_again_shows_what_was_reported() -> None:
    """Whoever takes it up reads the report before the first question."""
    new("all", *LEFT_OUT, "pause")
    job = last()
    assert "Reported: No 2 engine, pressure low" in resumed(job, "pause")


def test_what_is_added_on_the_first_page_ends_no_question_of_it() -> None:
    """After 'add' the page goes on: the smell and what is at hand are still asked for."""
    result = new("all", "", "add", "smell of fuel", "1", AT_HAND, "no run", "pause")
    after = result.output.partition("which question")[2]
    assert "What was worked on" in after
    assert events("at-hand")[-1]["may_run"] is False


def test_stop_needs_a_reason_and_back_goes_on_with_the_job() -> None:
    """A slip of the finger closes no job: 'back' is no reason, nor is Enter."""
    result = new("none", *LEFT_OUT, "stop", "", "back", "stop it", "no", "pause")
    assert "Say in a few words why, or 'back'." in result.output
    assert "Close the job without a result: 'it'?" in result.output
    assert not events("stopped")
    assert events()[-1]["event"] == "paused"


@pytest.mark.parametrize(("said", "ended"), [("yes", "paused"), ("no", "stopped")])
def test_a_stopped_job_tells_why_and_goes_on_when_it_is_wanted(said: str, ended: str) -> None:
    """Whoever takes it up reads the reason first; nothing that was entered is lost by a stop."""
    new("none", *LEFT_OUT, "stop", "fog, gone home")
    assert events()[-1]["event"] == "stopped"
    assert "was stopped: fog, gone home" in resumed(last(), said, "pause")
    assert events()[-1]["event"] == ended


@pytest.mark.parametrize(("result", "asked"), [("1", False), ("2", True)])
def test_how_a_part_was_left_is_asked_where_something_was_found(result: str, asked: bool) -> None:
    """A dip that agrees leaves nothing to say; a tank that is short may have been filled."""
    typed = ["none", "", "none", "", "add dip every tank at left tank", "read", result, "", "pause"]
    shown = new(*typed, layout="low-wing-single", report="Please look it over.").output
    assert "as found, in your words" in shown
    assert ("as left, in your words" in shown) == asked
