"""Taking a job over at the terminal: what is otherwise than handed over is heard and shown."""

from __future__ import annotations

from session_kit import LEFT_OUT, a_job, answered, events, last, new, resumed, run

from diagnose.model import Finding, State


def handed_over() -> str:
    """Return a job handed over by AB, with no smell of fuel told."""
    new("all", *LEFT_OUT, "pause")
    name = last()
    run("job", "handover", name, "--by", "AB")
    return name


def test_a_smell_found_at_the_handover_is_an_answer_and_stands_where_the_job_goes_on() -> None:
    """'No CD smell of fuel outside' is not filed away: it is taken, and told to whoever resumes."""
    name = handed_over()
    lines = len(events("handed-over")[-1]["lines"])
    typed = ["no CD there is a smell of fuel outside", "all", *["CD"] * (lines - 1)]
    shown = run("job", "handover", name, "--confirm", typed=typed).output
    assert "Otherwise than handed over:" in shown
    assert "All lines confirmed" not in shown
    told = answered()[-1]
    assert (told["question"], told["value"]) == ("fuel-smell", "outside")
    again = " ".join(resumed(name).split())
    assert "-- there is a smell of fuel outside" in again
    assert "STOP: If an engine runs" in again


def test_initials_are_no_word_for_the_next_person() -> None:
    """'hand over AB' left 'beware: AB' behind; now it says how a handover is signed."""
    shown = new("all", *LEFT_OUT, "hand over AB", "pause").output
    assert "'AB' tells the next person nothing" in shown
    assert events("note") == []


def test_who_resumes_is_told_that_the_handover_is_not_confirmed() -> None:
    """Nobody starts an engine unaware that nobody took the job over."""
    name = handed_over()
    told = " ".join(resumed(name).split())
    assert "Handed over by AB" in told
    assert f"no engine is run before that. Confirm them with: diagnose job handover {name}" in told


def test_the_page_names_who_has_handed_over() -> None:
    """A blank is left only where nobody signed yet."""
    new("all", *LEFT_OUT, "pause")
    name = last()
    assert "Handed over by: ____" in run("job", "handover", name).output
    assert "Handed over by: AB " in run("job", "handover", name, "--by", "AB").output
    assert "Handed over by: AB " in run("job", "handover", name, "--format", "html").output


def test_no_verification_run_begins_before_the_job_was_taken_over() -> None:
    """What bars a run card bars the run that proves the repair as well."""
    job = a_job(
        "low-wing-single", Finding("engine-behaviour", "engine", "fades", State("run-up"), "told")
    )
    job.record("rectified", cause="strainer-plugged", place="strainer", what="cleaned")
    run("job", "handover", job.name, "--by", "AB")
    shown = resumed(job, "read", "all CD", "gone")
    assert "VERIFICATION RUN" in shown
    assert "Is the trouble gone?" not in shown
    assert events("run") == []


def test_a_line_left_for_later_leaves_the_next_to_be_confirmed() -> None:
    """One doubtful line does not keep the others from being signed."""
    name = handed_over()
    lines = len(events("handed-over")[-1]["lines"])
    shown = run("job", "handover", name, "--confirm", typed=["later", *["CD"] * (lines - 1)]).output
    assert "1 line(s) still open" in shown
    assert len(events("taken-over")) == lines - 1


def test_a_note_of_a_shift_before_says_whose_it_was() -> None:
    """'To be compared tomorrow' is no news any more once the job was handed over again."""
    new("all", *LEFT_OUT, "hand over nozzles to be compared tomorrow")
    name = last()
    run("job", "handover", name, "--by", "AB")
    lines = len(events("handed-over")[-1]["lines"])
    run("job", "handover", name, "--confirm", typed=["CD"] * lines)
    told = " ".join(run("job", "handover", name).output.split())
    assert "left at the handover by AB, as it stood then: nozzles to be compared" in told
