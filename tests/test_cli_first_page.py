"""The first page of a job at the terminal: the report heard, taken up after a kill."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from session_kit import AT_HAND, LEFT_OUT, Typed, Until, answered, events, last, new, resumed, run


def test_enter_takes_nothing_of_the_report_for_granted() -> None:
    """An empty line at the list of what was heard asks again: a whole report is not lost by it."""
    result = new("", "none", "", "pause")
    assert "Type all, none, or numbers from 1 to" in result.output
    assert "Before anything is touched" in result.output


def test_a_job_cut_off_on_its_first_page_shows_the_report_again() -> None:
    """Whoever resumes there reads what was reported before he is asked what of it is right."""
    new(report="It sputtered.", layout="low-wing-single")
    name = last()
    assert "Reported: It sputtered." in resumed(name)


def test_an_engine_that_does_not_start_is_not_asked_for_its_magneto_drop() -> None:
    """Nothing is asked that only a running engine shows."""
    dead = new("all", *LEFT_OUT, layout="low-wing-single", report="It would not start from cold.")
    assert "does not fire" in dead.output
    assert "How is the drop on each magneto" not in dead.output


def test_an_engine_that_ran_is_not_asked_how_it_starts() -> None:
    """What surged or lost power was started; where nothing of a run is told it may be asked."""
    told = {"layout": "low-wing-single", "report": "The engine surged at the run-up."}
    assert "How does the engine start?" not in new("all", *LEFT_OUT, **told).output
    told["report"] = "The engine loses power."
    assert "How does the engine start?" not in new("", "all", *LEFT_OUT, **told).output
    told["report"] = "Please look it over."
    nothing = Until("Nothing amiss was taken", "none")
    assert "How does the engine start?" in new(nothing, *LEFT_OUT, **told).output


def test_a_stage_is_asked_for_among_those_in_which_the_engine_runs() -> None:
    """'Rough running' is never seen parked or when refuelling."""
    asked = new(layout="low-wing-single", report="Rough running.").output.split("when was it seen")[
        1
    ]
    assert "1 idle" in asked
    assert "parked" not in asked


def test_an_action_can_be_left_out_at_its_cautions() -> None:
    """Nobody has to say 'read' to what he will not do."""
    typed: list[Typed] = ["all", Until("Read and understood?"), "not checked", "pause"]
    result = new(*typed, layout="high-wing-single", report="It stopped on the run-up.")
    assert "Read and understood?" in result.output
    assert not events("acknowledged")
    assert events("not-checked") or events("check-left-out")


def test_a_finding_is_added_in_the_words_it_is_told_in() -> None:
    """'One cylinder cold' is what was found, not what the question is called."""
    typed: list[Typed] = ["none", *LEFT_OUT, "add one cylinder cold", "all", "pause"]
    result = new(*typed, layout="low-wing-single", report="Rough at idle.")
    assert "That may speak of the following" in result.output
    kept = answered()[-1]
    assert kept["question"] == "cylinder-heat"


def test_what_is_added_in_one_line_is_not_asked_for_again() -> None:
    """Figure, engine and run state stand in the words: nothing is picked from a list."""
    said = "add fuel pressure 15.5 psi at no 4 engine at run-up booster on read"
    new("not known", "none", *LEFT_OUT, said, "1", "pause", report="Rough at idle.")
    kept = answered()[-1]
    assert (kept["at"], kept["value"]) == ("no4-engine", "normal")
    assert kept["settings"] == {"booster": "on"}
    assert kept["known_by"] == "read"


def test_a_check_made_on_ones_own_is_entered_with_its_cautions() -> None:
    """Who has the pump on the bench need not wait until the bench test is offered."""
    typed: list[Typed] = [
        "none",
        *LEFT_OUT,
        "add bench test of the engine-driven pump",
        "read",
        "1",
        "",
        "",
        "pause",
    ]
    result = new(*typed, layout="low-wing-single", report="Rough at idle.")
    asked = result.output.partition("add bench test")[2]
    assert 0 < asked.find("WARNING Open fuel part") < asked.find("CHECK: ")
    assert events("checked")[-1]["finding"]["question"] == "bench-test-engine-pump"


def test_back_at_a_check_of_ones_own_leaves_it_and_takes_nothing_else_away() -> None:
    """Who picked the wrong pump loses no finding that he had kept."""
    pressure = "add fuel pressure 2 psi at the run-up read"
    check = "add bench test of the engine-driven pump"
    typed: list[Typed] = [
        "none",
        *LEFT_OUT,
        pressure,
        "all",
        check,
        "back",
        check,
        "read",
        "back",
        "pause",
    ]
    result = new(*typed, layout="low-wing-single", report="Rough at idle.")
    assert result.output.count("nothing of this was kept yet") == 2
    assert "taken back" not in result.output
    assert answered()[-1]["value"] == "low"
    assert not events("checked")


def test_the_only_open_job_is_taken_up_without_its_name() -> None:
    """Cold fingers type no number of a job where there is but one; of two they are told both."""
    new(layout="low-wing-single", report="It sputtered.")
    assert "Reported: It sputtered." in run("job", "resume").output
    new(
        layout="low-wing-single",
        report="It stopped on the left tank, ran on the right, then stopped.",
    )
    two = str(run("job", "resume").exception)
    assert "2 jobs are open" in two
    short = "It stopped on the left tank, ran on the right, then stopp..."
    assert short in two
    assert short in run("job", "list").output


def test_a_report_of_which_nothing_amiss_was_taken_is_asked_for_in_other_words() -> None:
    """A job does not go on to an engine run without knowing what the complaint was."""
    report = "No. 2 engine runs fine at the run-up, but it is odd"
    other = "no. 2 fuel pressure low at the run-up"
    result = new("all", other, "all", "", report=report)
    assert "Nothing amiss was taken from the report" in result.output
    told = answered()
    assert ("fuel-pressure", "low") in {(f["question"], f["value"]) for f in told}
    assert any(other in str(e["text"]) for e in events("note"))
    assert result.output.count("Nothing amiss was taken") == 1


def test_of_what_is_denied_nobody_is_asked_when_it_was_seen() -> None:
    """'Never missed' was seen at no time; it says how the engine ran."""
    report = "Fuel stain behind the cap of the left tank. The engine never missed."
    shown = new("all", "1", "", layout="low-wing-single", report=report).output
    assert "when was it seen" not in shown
    assert "'never missed': how the engine runs, engine: runs normally" in shown


def test_a_question_is_found_by_the_words_of_its_answers() -> None:
    """'Add restarted hot' says what the screen shows as an answer, and opens its question."""
    new("1 2", "", "add restarted hot", "restarted hot", "", "pause")
    added = answered()[-1]
    assert (added["question"], added["value"]) == ("what-just-before", "hot-restart")


def test_the_first_lines_tell_how_to_answer_and_readings_how_they_are_known() -> None:
    """Who opens his first job reads what to type before the first prompt, and no more."""
    shown = new("all", *LEFT_OUT, layout="low-wing-single", report="Engine faded in the climb.")
    before, _, after = shown.output.partition("Take which?")
    assert "Type the number or the name of an answer" in before
    assert "An answer counts as seen" not in before
    assert after.index("What is here?") < after.index("An answer counts as seen")


HOW_IT_RAN = ("How does the engine start?", "How long after the start")


@pytest.mark.parametrize(
    "report",
    ["Fuel dripping in the engine bay, parked.", "The left contents gauge shows nothing, parked."],
)
def test_of_a_gauge_or_a_leak_alone_nobody_is_asked_how_the_engine_ran(report: str) -> None:
    """What shows with the engine stopped came neither at a start nor so long after it."""
    shown = new("all", *["done"] * 2, *LEFT_OUT, layout="low-wing-single", report=report).output
    page = shown.partition("From those who were there")[2].partition("What is here?")[0]
    assert "Is there a smell of fuel?" in page
    assert not any(asked in page for asked in HOW_IT_RAN)


def test_of_a_lamp_is_asked_how_long_after_the_start_it_came_and_not_how_it_starts() -> None:
    """A pressure lamp may come on with heat; it says nothing of the start."""
    told = {"layout": "low-wing-single", "report": "The pressure warning lamp flickers at idle."}
    shown = new("all", *LEFT_OUT, **told).output
    assert [asked in shown for asked in HOW_IT_RAN] == [False, True]


@pytest.mark.parametrize("typed", ["all tools", "two people, all tools, an engine may be run"])
def test_what_is_offered_at_what_is_here_can_be_typed(typed: str) -> None:
    """The words of the prompt itself are understood there."""
    new("all", AT_HAND, typed, layout="low-wing-single", report="Faded at the run-up.")
    kept = events("at-hand")[-1]
    assert (kept["hands"], kept["tools"], kept["may_run"]) == (2, None, True)


def test_which_engine_repeats_the_words_and_takes_both() -> None:
    """Whoever told of two things reads which of them is asked about; each engine may be meant."""
    told = {"layout": "low-wing-twin", "report": "Rough at the run-up."}
    shown = new("both", "all", **told).output
    assert "'rough' (how the engine runs): which engine is spoken of?" in shown.lower()
    assert [f["at"] for f in answered()] == ["no1-engine", "no2-engine"]


@pytest.mark.parametrize(
    ("typed", "at", "one_of"),
    [
        ("all", ["no1-engine", "no2-engine", "no3-engine", "no4-engine"], None),
        ("1, 3", ["no1-engine", "no3-engine"], None),
        ("no 1 and no 4", ["no1-engine", "no4-engine"], None),
        ("1 or 2", ["aeroplane"], ["no1-engine", "no2-engine"]),
    ],
)
def test_several_engines_may_be_spoken_of(
    typed: str, at: list[str], one_of: list[str] | None
) -> None:
    """'1, 3' is each of them, and '1 or 2' one of them, not known which."""
    new(typed, "all", report="Rough at the run-up.")
    kept = answered()
    assert [f["at"] for f in kept] == at
    assert {tuple(f.get("one_of_places") or ()) for f in kept} == {tuple(one_of or ())}


def test_a_stop_names_where_it_was_seen() -> None:
    """'That side first' is of use only to whoever reads which."""
    report = "Fuel dripping in the engine bay, no. 2 engine, parked."
    new_ = new("all", "done", layout="low-wing-twin", report=report).output
    stop = new_.partition("STOP: ")[2].partition("Type 'done'")[0]
    assert "At: no. 2 engine (starboard)" in stop
    again = resumed(last())
    assert "At: no. 2 engine (starboard)" in again.partition("still in force")[2]


def test_a_report_typed_where_the_aeroplane_is_asked_for_is_no_registration(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Who tells his story at the first prompt is told that it is asked for next."""
    at_a_terminal = SimpleNamespace(stdin=SimpleNamespace(isatty=lambda: True))
    monkeypatch.setattr("diagnose.cli.job.start.sys", at_a_terminal)
    report = "Right engine fading on the aux tank after an hour."
    out = run("job", "new", "--layout", "low-wing-twin", typed=[report, "", report, "AB"]).output
    assert "that reads like a report, which is asked for next" in out
    assert "aeroplane not named" in out


def test_what_is_taken_to_be_here_is_said_back() -> None:
    """A '1' typed as at the questions before takes away all that two people do: it is told."""
    shown = " ".join(new("all", AT_HAND, "1, ground power", "pause").output.split())
    said = "kept: one person, so no fire guard: no run, no pump, and nothing that takes two; "
    assert f"{said}not here: ground power" in shown
    assert "'at hand' changes it" in shown
    assert "kept:" not in new("all", *LEFT_OUT, "pause").output


def test_a_place_alone_is_no_work() -> None:
    """'At the strainer' behind a work that has its part already is not kept as another."""
    typed = ["all", "", "caps re-sealed at no. 3 tank", "at each tank", ""]
    assert "Say what was done there as well" in new(*typed).output
    assert [e["what"] for e in events("work")] == ["caps re-sealed"]


def test_work_told_without_a_part_is_kept_in_its_words() -> None:
    """Who presses Enter where the part is asked for has still told of the work."""
    shown = new("all", "", "bulbs swapped 3 and 4", "").output
    assert "kept as a note" in shown
    assert [e["text"] for e in events("note")] == [
        "work told, at which part not known: bulbs swapped 3 and 4"
    ]


def test_a_number_typed_too_early_is_kept_as_no_work() -> None:
    """'2' was meant for the next question; as a note it would stand in the record for good."""
    shown = new("all", "", "2", "").output
    assert "Say what was worked on, and at which part" in shown
    assert events("note") == []


def test_the_other_engines_are_asked_for_by_what_was_amiss() -> None:
    """With another trouble at the other engine, 'normal' must say in what."""
    report = "Right fuel pressure reads low on the run-up."
    shown = " ".join(new("all", layout="low-wing-twin", report=report).output.split())
    assert "looked at as well, and normal: fuel pressure gauge?" in shown


def test_what_was_picked_of_words_not_understood_is_not_asked_once_more() -> None:
    """'Idle cut-off' is named and 'keeps running on' picked as its answer: that is one answer."""
    report = "Number one will not stop at idle cut-off, keeps running on. Pressure low, cruise."
    first = new("none", layout="low-wing-twin", report=report).output
    number = next(
        line.split()[0] for line in first.splitlines() if "runs on, or will not stop" in line
    )
    shown = new(number, "1", "", "", layout="low-wing-twin", report=report).output
    assert "What does the engine do on idle cut-off?" not in shown
    assert [f["question"] for f in answered()] == ["cut-off-check"]


ELECTRIC = {
    "layout": "low-wing-single-electric",
    "report": "Engine died on the take-off roll. Fuel pressure low, pump sounds slow.",
}


def test_what_is_not_here_and_would_tell_most_is_told_before_anything_is_opened() -> None:
    """Who has no ground power fetches it before he opens a tank, not after."""
    shown = new("all", "", "none", AT_HAND, "ground power", "pause", **ELECTRIC).output
    told = " ".join(shown.partition("kept: ")[2].partition("Still possible")[0].split())
    assert "Would tell more, and cannot be done here: - " in told
    assert "no ground power" in told
    assert "cannot be done here" not in new("all", "", "none", *LEFT_OUT, **ELECTRIC).output


def test_why_this_tells_why_the_question_on_the_screen_is_asked() -> None:
    """Who asks why he is asked is not led to a cause that has the word in its title."""
    shown = new("all", "", "why this", **ELECTRIC).output
    told = " ".join(shown.partition("Is there a smell of fuel?")[2].split())
    assert "Vapour that can be smelt can be lit by a switch or a hot exhaust." in told
    assert "before any finding" not in shown


def test_why_this_tells_at_the_cautions_what_they_are_for() -> None:
    """Who is to read four warnings may ask first what the look behind them is good for."""
    typed: list[Typed] = ["all", Until("Read and understood?"), "why this"]
    report = "Engine surged in the climb."
    shown = new(*typed, layout="low-wing-single", report=report).output
    told = shown.rpartition("why this")[2]
    assert "Read and understood?" in told
    assert "no question or check is before you" not in told


def test_a_figure_that_is_no_reading_of_the_question_is_not_kept_as_one() -> None:
    """'Gauge down 30 gal' says nothing of gauge against stick where nobody says it did."""
    report = "No. 1 tank gauge down about 30 imp gal since last night."
    new("0", "pause", layout="four-engine-float", report=report)
    assert events("answered") == []


def test_back_in_the_middle_of_what_is_added_or_changed_takes_nothing_else_away() -> None:
    """Whoever thinks better of a finding half told keeps the work that he told before it."""
    work = "record work seals renewed at fuel selector"
    typed = ["none", *[""] * 9, work, "add how the engine runs", "back", "add runs well", "back"]
    typed += ["change seals", "back", "pause"]
    result = new(*typed, layout="low-wing-single", report="Rough at idle.")
    assert "how the engine runs, engine:" in result.output.partition("add how")[2]
    assert result.output.count("nothing of this was kept yet") == 3
    assert "taken back" not in result.output
    assert [w["what"] for w in events("work")] == ["seals renewed"]


def test_lines_of_a_report_are_taken_by_numbers_as_people_list_them() -> None:
    """'1 and 2' is as good as '1 2'; 'and' alone names none."""
    result = new("and", "1 and 2")
    assert result.output.count("or numbers from 1 to") == 1
    assert len(events("answered")) == 2
