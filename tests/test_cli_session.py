"""The terminal session, worked as a person would, through pipes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from diagnose.cli.main import app
from diagnose.job.job import Job
from diagnose.job.registry import Registry
from diagnose.model import Finding, State

REPORT = (
    "No 2 engine, pressure low and the warning lamp lit on the run-up, boosters off. "
    "No smell of fuel."
)
IN_THE_CABIN = REPORT.replace("No smell of fuel", "Smell of fuel in the cabin")


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep the jobs of each test in a folder of its own."""
    monkeypatch.setenv("DIAGNOSE_HOME", str(tmp_path))
    return tmp_path


def run(*words: str, typed: list[str] | None = None) -> Result:
    """Run the command line with lines typed at its prompts."""
    return CliRunner().invoke(
        app, list(words), input="\n".join(typed or []) + "\n" if typed else ""
    )


LEFT_OUT = [""] * 12
"""Enter at every question of the first page when one engine was spoken of."""


def new(*typed: str, layout: str = "four-engine-injection", report: str = REPORT) -> Result:
    """Open a job and type lines until the input ends."""
    return run("job", "new", "--layout", layout, "--report", report, typed=list(typed))


def events(kind: str = "") -> list[dict[str, object]]:
    """Return the events of the last job."""
    registry = Registry()
    path = registry.path(registry.entries()[-1].id)
    rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return [r for r in rows if not kind or r["event"] == kind]


def test_report_in_free_words_is_confirmed_not_taken() -> None:
    """Words of the report become findings only when the person takes them."""
    result = new("none")
    assert "Nothing is taken unless you say so" in result.output
    assert "no. 2 engine (port inner)" in result.output
    assert events("answered") == []


def test_confirmed_words_carry_stage_and_booster_and_are_told() -> None:
    """'Run-up, boosters off' stands in the finding, known by being told."""
    new("1 2")
    kept = events("answered")
    assert kept[0]["finding"]["value"] == "low"  # type: ignore[index]
    assert kept[0]["finding"]["stage"] == "run-up"  # type: ignore[index]
    assert kept[0]["finding"]["settings"] == {"booster": "off"}  # type: ignore[index]
    assert kept[0]["finding"]["known_by"] == "told"  # type: ignore[index]
    assert kept[1]["finding"]["value"] == "lit"  # type: ignore[index]


def test_a_denied_word_is_asked_about() -> None:
    """'Did not surge' is neither surging nor its absence until it is asked."""
    result = new(
        "climb", "1", layout="low-wing-single", report="Engine did not surge, no surges at all."
    )
    assert "stands after a 'no'" in result.output
    assert events("answered")[-1]["finding"]["value"] == "normal"  # type: ignore[index]


def test_only_the_lines_named_are_taken() -> None:
    """Numbers take single lines of what was understood; a slip is told in one line."""
    result = new("1 x", "3 1")
    assert "type all, none, or numbers from 1 to 3" in result.output
    assert {e["finding"]["value"] for e in events("answered")} == {"low", "none"}  # type: ignore[index]


def test_number_two_is_not_a_denial() -> None:
    """'No 2 engine, pressure low' does not deny the pressure."""
    result = new("all")
    assert "'pressure low' stands after" not in result.output


def test_one_of_two_lamps_is_kept_told_and_ranked() -> None:
    """Neither engine has it for sure; the record says one of them, and 'why' lets it speak once."""
    report = "One of the two lamps on the port side came on at take-off, he cannot say which."
    result = new("all", report=report)
    both = "one of no. 1 engine (port outer); no. 2 engine (port inner), not known which"
    assert f"{both}: lit [take-off]" in result.output
    (kept,) = [e["finding"] for e in events("answered") if e["finding"]["value"] == "lit"]  # type: ignore[index]
    assert (kept["at"], kept["one_of_places"]) == ("aeroplane", ["no1-engine", "no2-engine"])

    name = Registry().entries()[-1].id
    shown = run("job", "resume", name, typed=["why pump drive", "pause"]).output
    assert shown.partition("what speaks")[2].count(f"{both}: lit") == 1
    record = json.loads(run("job", "report", name, "--format", "json").stdout)
    assert both in {r.get("place") for rows in record["sections"].values() for r in rows}


def test_a_finding_can_be_added_at_one_of_two_places() -> None:
    """'1 or 2' at 'where'; one place named twice, and a figure, are refused in a line."""
    new("0", "pause", report="Nothing much.")
    name = Registry().entries()[-1].id
    typed = ["add fuel pressure gauge", "1 or 1", "1 or no. 2 engine", "1", "9 psi", "low", "pause"]
    result = run("job", "resume", name, typed=["", "", *typed])
    assert "names one place twice" in result.output
    assert "a figure is read at one place" in result.output
    (kept,) = [e["finding"] for e in events("answered") if e["finding"]["value"] == "low"]  # type: ignore[index]
    assert kept["one_of_places"] == ["no1-engine", "no2-engine"]


def test_a_leak_at_one_of_two_engines_shuts_power_off_as_a_leak_does() -> None:
    """What it may mean of danger is told, and neither engine is known dry."""
    result = new("all", report="No. 1 or no. 2 engine bay dripping.")
    assert "STOP" in result.output
    assert "Nothing runs until the fuel is gone" in " ".join(result.output.split())


def test_lost_power_is_taken_open_and_the_others_with_it() -> None:
    """'Lost power' is kept as fading or stopping, with the other three normal beside it."""
    result = new("all", report="No. 3 lost power in the climb, the other three fine.")
    assert "not known which, the others normal [climb" in result.output
    (kept,) = [e["finding"] for e in events("answered") if e["finding"]["value"] == "fades"]  # type: ignore[index]
    assert kept["one_of"] == ["fades", "stops"]
    assert (kept["at"], kept["others_normal"]) == ("no3-engine", True)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("9", "is not one of the answers"),
        ("surgess", "Did you mean 'surges'?"),
        ("maybe", "Type a number from 1 to 5"),
    ],
)
def test_bad_answers_get_one_clear_line_and_another_try(typed: str, says: str) -> None:
    """A slip at an answer costs one line, nothing else."""
    result = new("cruise", typed, "4", layout="low-wing-single", report="It sputtered.")
    assert says in result.output
    assert events("answered")[-1]["finding"]["value"] == "surges"  # type: ignore[index]


@pytest.mark.parametrize(
    ("figure", "value"), [("9 psi", "low"), ("110 kPa", "normal"), ("1.9 bar", "high")]
)
def test_a_typed_figure_is_classed_against_the_layout_and_kept(figure: str, value: str) -> None:
    """A pressure in any usual unit is classed by the layout's limit; the typed text is kept."""
    from diagnosis.shipped import bench, library

    from diagnose.job.answers import read_answer

    b = bench("four-engine-injection")
    answer = read_answer(f"{figure} measured", library().questions["fuel-pressure"], b.layout)
    assert (answer.value, answer.typed, answer.known_by) == (value, figure, "measured")
    assert "psi" in answer.note or "kPa" in answer.note


@pytest.mark.parametrize("figure", ["9", "4 gal", "12 volts", "nine psi"])
def test_figures_without_a_proper_unit_are_refused(figure: str) -> None:
    """A bare number out of the list, a bare gallon or another dimension is told in one line."""
    from diagnosis.shipped import bench, library

    from diagnose.errors import UsageError
    from diagnose.job.answers import read_answer

    b = bench("four-engine-injection")
    with pytest.raises(UsageError) as told:
        read_answer(figure, library().questions["fuel-pressure"], b.layout)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("2.5 psi", "No figure is asked for here; '2.5 psi' is a pressure. Type a number from 1"),
        ("4 gallons", "No figure is asked for here; 'gallons' does not say which gallon"),
        ("3 psj", "No figure is asked for here; 'psj' is not a known unit; did you mean 'psi'? T"),
        ("2.5", "'2.5' is a bare number, and no figure is asked for here. Type"),
    ],
)
def test_a_figure_at_a_question_without_one_is_told_what_is_wrong(typed: str, says: str) -> None:
    """The unit is spoken of first, then what can be answered."""
    from diagnosis.shipped import bench, library

    from diagnose.errors import UsageError
    from diagnose.job.answers import read_answer

    asked = library().questions["engine-behaviour"]
    with pytest.raises(UsageError) as told:
        read_answer(typed, asked, bench("four-engine-injection").layout)
    assert str(told.value).startswith(says)
    assert "one of: normal, fades" in str(told.value)


def test_a_question_left_with_enter_is_not_asked_again() -> None:
    """On the first page Enter says 'not checked', which holds for the whole job."""
    result = new("all", *LEFT_OUT, *["0"] * 12)
    asked = [x for x in result.output.splitlines() if "Where did the last fuel come from?" in x]

    assert len(asked) == 1
    assert ["last-uplift", "aeroplane", ""] in [e.get("reading") for e in events("not-checked")]


def test_cautions_read_once_stand_by_name_until_asked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """In full before they are read, then by name; 'cautions' tells them in full again."""
    from diagnosis.shipped import bench

    from diagnose.cli.job.prompts import Commands
    from diagnose.cli.job.screens import cautions

    b = bench("low-wing-single")
    text = "\n".join(cautions(b, ["bonding", "running-engine"], {"bonding"}, " (asked for)"))
    assert "WARNING Engine running: " in text
    assert "As read before: WARNING Static (asked for)" in text
    assert "Metal funnel" not in text

    commands = Commands(Job.open(Registry(), b, "2026-11-25", "Fades."))
    commands.hazards = ("bonding",)
    commands.words()["cautions"]("")
    assert "Metal funnel" in capsys.readouterr().out


def repaired_without_a_run() -> str:
    """Return a job whose strainer was cleaned where no engine was to be run."""
    from diagnosis.shipped import bench

    job = Job.open(Registry(), bench("low-wing-single"), "2026-11-25", "Fades on the run-up.")
    job.answer(Finding("engine-behaviour", "engine", "fades", State("run-up"), "told"))
    job.record("at-hand", tools=None, hands=2, may_run=False)
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    return job.name


def test_no_verification_run_begins_where_no_engine_may_be_run() -> None:
    """It is asked again first; on no the job waits, and nothing of a run is confirmed."""
    result = run("job", "resume", repaired_without_a_run(), typed=["no"])
    assert "No engine was to be run here. May it be run now?" in result.output
    assert "the repair is not verified yet" in result.output
    assert "Before any engine run" not in result.output
    assert events()[-1]["event"] == "paused"


def test_the_cautions_of_the_verification_run_are_read_and_kept() -> None:
    """As before any other run: shown, acknowledged, in the record."""
    run("job", "resume", repaired_without_a_run(), typed=["yes", "read"])
    assert events("at-hand")[-1]["may_run"] is True
    kept = {e["hazard"] for e in events("acknowledged")}
    assert {"running-engine", "propeller-live"} <= kept


def test_a_stop_interrupts_before_anything_else() -> None:
    """Fuel in the cabin stops the job at once, and waits until it has been acted on."""
    result = new("all", "later", "done", "done", "", report=IN_THE_CABIN)
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
    job = Registry().entries()[-1].id
    result = run("job", "resume", job, typed=["findings", "pause"])
    assert "below the band" in result.output
    assert result.exit_code == 0


def test_gates_are_asked_before_a_run_and_an_unknown_one_blocks() -> None:
    """No run card before leak and smell are known; declining the chocks looks for other ways."""
    result = new("1 2", *LEFT_OUT, *["0"] * 40)
    card = result.output.find("ENGINE RUN:")
    if card >= 0:
        assert "Before any engine run:" in result.output[:card]


def test_unknown_jobs_layouts_and_forms_are_told_in_one_line() -> None:
    """What does not exist is named, with what there is; exit code 2."""
    import subprocess
    import sys

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
    from contextvars import copy_context

    typed = ["all"]
    words = ["--plain", "job", "new", "--layout", "four-engine-injection", "--report"]
    words.append(IN_THE_CABIN)
    out = copy_context().run(lambda: run(*words, typed=typed).output)
    assert any(line.startswith("STOP: ") and line.endswith("vapour.") for line in out.splitlines())
    assert "****" not in out


def test_a_report_keeps_the_stage_it_names_and_asks_at_which_tank() -> None:
    """'Quit in cruise' is kept as seen in cruise; a gauge without its tank is asked for."""
    report = "Engine quit in cruise. Gauge showed half."
    new("all", "2", layout="low-wing-single", report=report)
    quit_, gauge = (e["finding"] for e in events("answered")[:2])
    assert (quit_["value"], quit_["stage"]) == ("stops", "cruise")  # type: ignore[index]
    assert (gauge["at"], gauge["value"]) == ("right-tank", "fuel-shown")  # type: ignore[index]


def test_nothing_was_worked_on_is_an_answer() -> None:
    """'no' at the question for work leaves it, like Enter."""
    result = new("all", "no")
    assert "No part here fits" not in result.output


def test_danger_told_stops_before_anything_else_is_asked() -> None:
    """Fuel smelt in the cabin stops the job before engine and stage of the rest are asked."""
    output = new("1", report="Pressure low. Smell of fuel in the cabin.").output
    assert "STOP" in output
    assert "Which engine" not in output.split("STOP")[0]
    assert "When was it seen" not in output.split("STOP")[0]


@pytest.mark.parametrize("told", ["about 300 ft after take-off", "take-off", "9"])
def test_the_stage_may_be_told_in_own_words(told: str) -> None:
    """'After take-off' in a sentence is the stage as much as its name or number."""
    new("1", told, "all", report="Pressure low")
    assert events("answered")[0]["finding"]["stage"] == "take-off"  # type: ignore[index]


@pytest.mark.parametrize("told", ["dunno", "Don't know", "not sure", "not known"])
def test_not_knowing_is_an_answer_in_plain_words(told: str) -> None:
    """Who says that they do not know has answered, and is not told of a wrong answer."""
    output = new("none", told, told, told).output
    assert f"'{told}'" not in output
    assert "is not one of the answers" not in output
    assert len(events("not-checked")) >= 2
