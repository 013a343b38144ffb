"""``diagnose aeroplane`` and jobs on one aeroplane, used as a person would."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from aeroplane.own_kit import DEMO, GAUGE_LOW, HEAD
from diagnosis.shipped import CASES
from session_kit import LEFT_OUT, as_json, events, last, resumed, run

from diagnose.errors import CaseError, UsageError
from diagnose.job.keeping.hangar import Hangar
from diagnose.job.keeping.registry import Registry


def put(text: str, registration: str = "X-ONE") -> Path:
    """Put an aeroplane's file into the data folder."""
    path = Hangar().path(registration)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def test_a_new_file_is_in_order_and_never_written_over() -> None:
    """The empty file passes its own check; a second 'new' leaves it alone."""
    made = run("aeroplane", "new", "X-ONE", "--layout", "low-wing-single")
    assert made.exit_code == 0
    assert "in order" in run("aeroplane", "check", "X-ONE").output
    before = Hangar().path("X-ONE").read_text(encoding="utf-8")
    again = run("aeroplane", "new", "X-ONE", "--layout", "low-wing-single")
    assert isinstance(again.exception, UsageError)
    assert Hangar().path("X-ONE").read_text(encoding="utf-8") == before


@pytest.mark.parametrize("layout", ["header-biplane", "low-wing-twin", "four-engine-injection"])
def test_the_examples_of_a_new_file_can_be_filled_in(layout: str) -> None:
    """With every '#' of an example taken away only what is plainly to be replaced is wrong."""
    run("aeroplane", "new", "X-ONE", "--layout", layout)
    path = Hangar().path("X-ONE")
    lines = path.read_text(encoding="utf-8").splitlines()
    text = "\n".join(x.removeprefix("# ") if k > 1 else x for k, x in enumerate(lines))
    path.write_text(text.replace("cause: CAUSE-ID, at: PART-ID", "at: aeroplane"))
    result = run("aeroplane", "check", "X-ONE")
    assert result.exception is None, result.exception


def test_list_show_and_json_tell_the_same() -> None:
    """Warnings, defects and limits stand in words and as data; a bad file is listed, then told."""
    put(DEMO, "X-DEMO")
    put("aeroplane: X-BAD\n", "X-BAD")
    listed = run("aeroplane", "list")
    assert "X-DEMO" in listed.output
    assert "X-BAD        unreadable" in listed.output
    assert isinstance(listed.exception, CaseError)
    shown = run("aeroplane", "show", "X-DEMO", "--plain").output
    body = as_json("aeroplane", "show", "X-DEMO")
    for warning in body["warnings"]:
        assert warning in shown
    assert body["deferred"][0]["place_label"] in shown
    assert "Whether a defect may stay open is not for this tool to say." in shown
    assert "INVENTED" in shown


def test_a_job_on_an_aeroplane_keeps_its_file_and_its_recent_work() -> None:
    """The layout comes from the file; the log holds the file and the work since the good run."""
    put(DEMO, "X-DEMO")
    result = run("job", "new", "--aeroplane", "X-DEMO", "--report", "No 2 fades", typed=["0"])
    assert "deferred D4" in result.output
    assert "WARNING limit 'booster-pressure'" in result.output
    assert events("opened")[0]["layout"] == "four-engine-injection"
    assert events("aeroplane-file")[0]["text"] == DEMO
    assert {e["place"] for e in events("work")} == {"no2-strainer"}
    job = last()
    record = run("job", "report", job).output
    assert "invented maintenance manual, revision 7" in record
    assert "THIS VERY AEROPLANE" in record
    assert "D4: fuel pressure gauge of no. 3 engine reads low" in " ".join(record.split())


def test_a_changed_file_is_warned_of_and_taken_only_when_told() -> None:
    """The job goes on with what it keeps; --renew-aeroplane takes the file as it is now."""
    path = put(HEAD)
    run("job", "new", "--aeroplane", "X-ONE", "--report", "No 2 fades", typed=["0"])
    job = last()
    assert "in the data folder is edition" not in resumed(job, "pause")
    path.write_text(HEAD + GAUGE_LOW, encoding="utf-8")
    warned = resumed(job, "pause")
    assert "in the data folder is edition" in warned
    assert "deferred D1" not in warned
    renewed = run("job", "resume", job, "--renew-aeroplane", typed=["pause"]).output
    assert "deferred D1" in renewed
    assert "in the data folder is edition" not in renewed
    assert "deferred D1" in resumed(job, "pause")


def test_a_layout_that_is_not_the_files_is_refused() -> None:
    """One clear line, and no job is opened."""
    put(HEAD)
    result = run("job", "new", "--aeroplane", "X-ONE", "--layout", "low-wing-single",
                 "--report", "x", typed=["0"])  # fmt: skip
    assert isinstance(result.exception, UsageError)
    assert Registry().entries() == []


def test_the_shipped_demo_aeroplane_is_in_order(tmp_path: Path) -> None:
    """It is used by path as well as by registration."""
    file = tmp_path / "copy.yaml"
    shutil.copy(CASES / "aeroplanes" / "X-DEMO.yaml", file)
    assert (
        "in order over layout 'four-engine-injection'"
        in run("aeroplane", "check", str(file)).output
    )


def test_not_reproduced_stays_open_with_its_watch_plan() -> None:
    """Kept with the conditions tried, the job is watched, and a flight that shows it opens it."""
    run("job", "new", "--layout", "low-wing-single", "--report", "pressure low at run-up",
        typed=["yes", "0"])  # fmt: skip
    job = last()
    refused = run("job", "watch", job, "--keep")
    assert isinstance(refused.exception, UsageError)
    kept = run("job", "watch", job, "--keep", "--condition", "cold, level", "--each", ".5")
    assert "Watch for 4 flights" in kept.output
    assert "fuel pressure gauge, engine" in kept.output
    assert Registry().entries()[-1].state == "watched"
    body = as_json("job", "watch", job, "--each", ".5")
    assert body["flights"] == 4
    assert "cold, level" in " ".join(run("job", "report", job).output.split())
    hidden = run("job", "hidden", job)
    assert "Tries to see it at least once" in hidden.output


def test_one_reading_in_another_unit_turns_no_trend_round(tmp_path: Path) -> None:
    """A series is shown in the unit that most of it was read in, the limit with it."""
    read = ["16.9 psi", "16.6 psi", "16.3 psi", "16.0 psi", "109 kPa"]
    at = "fuel-pressure, no1-engine, run-up-booster-off"
    rows = [f"2026-11-{20 + k}, {at}, {value}, , , ," for k, value in enumerate(read)]
    head = "date, what, at, state, value, less, air, volts, note"
    file = tmp_path / "mixed.csv"
    file.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    demo = str(CASES / "aeroplanes" / "X-DEMO.yaml")
    shown = run("aeroplane", "trend", demo, "--file", str(file), "--plain").output
    assert "16.9 psi" in shown
    assert "kPa" not in shown


def test_the_trend_tells_what_drifts_in_text_data_and_drawing(tmp_path: Path) -> None:
    """The falling pressure of the demo is flagged before its limit; the drawing says so too."""
    put(DEMO, "X-DEMO")
    shutil.copy(CASES / "aeroplanes" / "X-DEMO.trend.csv", Hangar().folder)
    svg = tmp_path / "trend.svg"
    result = run("aeroplane", "trend", "X-DEMO", "--svg", str(svg), "--plain")
    flagged = result.output.split("Look at:")[1].split("\n\n")[0]
    assert "no. 2 engine (port inner)" in flagged
    assert "reaches the low limit 14 psi" in flagged
    assert "INVENTED" in result.output
    drawn = svg.read_text(encoding="utf-8")
    assert "no. 2 port inner DRIFT" in drawn
    assert "limit low" in drawn
    assert "<desc>" in drawn
    body = as_json("aeroplane", "trend", "X-DEMO")
    words = {(s["what"], s["at"]): s["verdict"] for s in body["series"]}
    assert words["fuel-pressure", "no2-engine"] == "drift"
    assert words["water-drained", "port-inner-tank"] == "step"
    assert words["fuel-pressure", "no4-engine"] == "steady"


def test_the_figures_of_jobs_are_followed() -> None:
    """A pressure typed in a job of the aeroplane stands in its trend, corrected by its card."""
    put(DEMO, "X-DEMO")
    nothing = run("aeroplane", "trend", "X-DEMO")
    assert isinstance(nothing.exception, UsageError)
    run("job", "new", "--aeroplane", "X-DEMO", "--report", "No 2 fades", typed=["0"])
    job = last()
    typed = ["add fuel pressure gauge", "no2-engine", "run-up-booster-off", "15 psi", "pause"]
    out = resumed(job, "none", "none", *LEFT_OUT, *typed)
    body = as_json("aeroplane", "trend", "X-DEMO")
    assert [s["at"] for s in body["series"]] == ["no2-engine"], out
    assert body["series"][0]["verdict"] == "too few"


def test_work_of_the_aeroplanes_file_is_shown_and_not_asked_for_again() -> None:
    """What its file has is told once; the report's word of the same part is not asked about."""
    put(DEMO, "X-DEMO")
    told = ("--report", "No. 2 engine fades in the climb. No. 2 strainer was cleaned last week.")
    shown = run("job", "new", "--aeroplane", "X-DEMO", *told, typed=["all", "", "", ""]).output
    assert "- strainer elements of no. 2 engine renewed" in shown
    assert "What else was worked on" in shown
    assert "The report tells of work" not in shown


def test_several_complaints_and_tests_by_the_command_line() -> None:
    """Complaints listed with what they share; a test form cautions first; split by word."""
    put(DEMO, "X-DEMO")
    put(DEMO.replace("X-DEMO", "X-TWO"), "X-TWO")
    run("job", "new", "--aeroplane", "X-DEMO", "--report", "No 2 fades", typed=["0"])
    job = last()
    run("job", "complaint", job, "--at", "no2-engine", "--time", "14:32")
    run("job", "complaint", job, "--at", "no. 1 engine", "--text", "coughed", "--time", "14:30")
    told = run("job", "complaints", job).output
    assert told.index("14:30") < told.index("14:32")
    assert "no. 3 tank (port inner)" in told
    assert "X-TWO" in told
    form = run("job", "test", job, "timed-delivery").output
    assert form.index("WARNING") < form.index("volume")
    kept = run("job", "test", job, "timed-delivery", "volume=5 imp gal", "time=125 s", "kit=J",
               "due=2099-01-01", "volume-error=0.1 imp gal", "time-error=1 s",
               "--at", "no2-engine")  # fmt: skip
    assert "144 imp gal/h" in kept.output
    number = as_json("job", "complaints", job)["complaints"][0]["number"]
    split = run("job", "split", job, str(number), "--by", "AN")
    assert "is worked in job" in split.output
    assert len(Registry().entries()) == 2
    merged = run("job", "merge", job, last(), "--by", "AN")
    assert merged.exit_code == 0
    record = run("job", "report", job).output
    assert "timed delivery" in record
    assert "coughed" in record


def test_a_kill_while_opening_leaves_no_job_without_its_file() -> None:
    """Opening, file and work are one group: cut anywhere inside it there is no job at all."""
    put(DEMO, "X-DEMO")
    run("job", "new", "--aeroplane", "X-DEMO", "--report", "No 2 fades", typed=["0"])
    path = Registry().path(last())
    whole = path.read_bytes().splitlines(keepends=True)
    for count in (1, 2, 3):
        path.write_bytes(b"".join(whole[:count]))
        refused = run("job", "resume", path.stem, typed=["pause"])
        assert isinstance(refused.exception, CaseError)
        assert "no opening entry" in str(refused.exception)
    path.write_bytes(b"".join(whole[:4]))
    assert "deferred D4" in resumed(path.stem, "pause")


def test_a_told_figure_without_a_limit_is_kept_whatever_it_is_called() -> None:
    """Nobody is made to call 17 psi low; the number is on the log, and no class with it."""
    put(HEAD.replace("invented: yes", "invented: no"))
    report = "No. 1 fuel pressure 17 psi at the run-up"
    result = run("job", "new", "--aeroplane", "X-ONE", "--report", report, typed=["0"])
    assert "The figure is kept; no approved figure entered" in result.output
    (told,) = (e["finding"] for e in events("answered"))
    assert (told["value"], round(told["number_si"])) == ("", 117211)


def test_a_file_of_readings_without_one_is_told(tmp_path: Path) -> None:
    """An empty file named is a slip, and no answer."""
    empty = tmp_path / "empty.csv"
    empty.write_text("date,what,at,state,value\n", encoding="utf-8")
    demo = str(CASES / "aeroplanes" / "X-DEMO.yaml")
    result = run("aeroplane", "trend", demo, "--file", str(empty))
    assert "has no readings in it" in str(result.exception)


def test_an_aeroplane_without_limits_has_none_at_all() -> None:
    """'Every other' than nothing reads as if something had been left out."""
    put(HEAD.replace("invented: yes", "invented: no"))
    shown = run("aeroplane", "show", "X-ONE", "--plain").output
    assert "none at all: no approved figure entered" in shown
