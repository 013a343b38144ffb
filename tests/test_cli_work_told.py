"""Work done before the trouble: told in the report, at its question or later, changed."""

from __future__ import annotations

from session_kit import events, last, new, run


def test_work_told_in_the_report_is_offered_with_its_part() -> None:
    """The report's own 'strainer was cleaned' needs one 'yes', not to be typed again."""
    told = "The pressure is low on the run-up. The strainer was cleaned last week."
    new("all", "yes", "", "", layout="low-wing-single", report=told)
    assert [(e["what"], e["place"]) for e in events("work")] == [
        ("The strainer was cleaned last week", "strainer")
    ]


def test_a_finding_added_at_the_question_for_work_is_no_work() -> None:
    """'add ...' means the same at every prompt; kept as work it would lift odds for nothing."""
    new("1 2", "", "add fuel pressure low at no. 2 engine in the run-up", "all", "", "pause")
    assert not events("work")
    assert any(e["finding"]["question"] == "fuel-pressure" for e in events("answered"))


def test_the_part_alone_answers_at_which_and_loses_no_word_of_the_work() -> None:
    """'Selector' after 'say at which' is no work called 'selector'."""
    told = "The pressure is low on the run-up."
    new("all", "freed off", "at fuel selector", "", layout="low-wing-single", report=told)
    assert [(e["what"], e["place"]) for e in events("work")] == [("freed off", "selector")]


def test_work_told_of_several_parts_is_kept_at_each_and_a_number_says_at_which() -> None:
    """'Both main tanks' leaves nothing to ask; 'no 1' after 'plugs changed' is the engine."""
    told = "Port engine faded on the climb."
    work = ["both main tanks resealed", "plugs changed", "no 1", ""]
    new("all", "", *work, layout="low-wing-twin", report=told)
    assert [(e["what"], e["place"]) for e in events("work")] == [
        ("both main tanks resealed", "port-main-tank"),
        ("both main tanks resealed", "starboard-main-tank"),
        ("plugs changed", "no1-engine"),
    ]


def test_work_of_the_report_can_be_left_open_like_any_answer() -> None:
    """Who does not know whether it was since the last good run presses Enter."""
    told = "The pressure is low on the run-up. The strainer was cleaned last week."
    new("all", "", "", "", layout="low-wing-single", report=told)
    assert not events("work")


def test_work_told_wrongly_is_changed_and_taken_away_like_an_answer() -> None:
    """It lifts odds like nothing else that is told, so it stands in 'findings' under its number."""
    told = {"layout": "low-wing-single", "report": "The pressure is low on the run-up."}
    shown = new("all", "cleaned at strainer", "", "findings", **told).output
    first = events("work")[-1]["n"]
    assert f"{first}  work done before: cleaned, main strainer" in shown
    name = last()

    moved = run("job", "resume", name, typed=[f"change {first}", "fuel selector", "findings"])
    second = events("work")[-1]["n"]
    assert f"{second}  work done before: cleaned, fuel selector" in moved.output
    assert f"{first}  work done before" not in moved.output

    gone = run("job", "resume", name, typed=[f"withdraw {second}", "findings", "back", "findings"])
    withdrawn, back = gone.output.split("taken back: ")
    assert "work done before" not in withdrawn
    assert f"{second}  work done before" in back


def test_work_is_told_after_the_first_page_too() -> None:
    """What 'back' took away, or nobody thought of at first, is told at any prompt."""
    told = {"layout": "low-wing-single", "report": "The pressure is low on the run-up."}
    new("all", "", "", "record work cleaned at main strainer", **told)
    assert [(e["what"], e["place"]) for e in events("work")] == [("cleaned", "strainer")]
