"""The talk: asked in order, kept word for word, left out, taken back, corrected, taken up."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import cast

import pytest
from capture.capture_kit import (
    CASE,
    OPENING,
    TALK,
    begun,
    drafted,
    interview,
    knowledge,
)
from session_kit import as_json, run

from diagnose.capture.asking import Ask, Ground
from diagnose.capture.record import Interview, folder
from diagnose.cli.interview.choosing import MOST_SHOWN, pick
from diagnose.cli.job.talk import Talk
from diagnose.errors import CaseError, KnowledgeError, UsageError
from diagnose.knowledge_files import load_library
from diagnose.knowledge_files.seeds import read_seeds


def again(root: Path, name: str, *typed: str) -> str:
    """Take an interview up again and return what is printed."""
    return run("--knowledge", str(root), "interview", "resume", name, typed=list(typed)).stdout


def test_without_consent_nothing_is_asked_or_kept(tmp_path: Path) -> None:
    """A 'no' ends it, and there is no file of it."""
    root = knowledge(tmp_path)
    result = run(
        "--knowledge", str(root), "interview", "start", "--layout", "tiny-single", typed=["no"]
    )
    assert "Without consent nothing is kept." in result.stdout
    assert "Interviewer" not in result.stdout
    assert not (tmp_path / "home").exists()


def test_the_interviewer_is_not_the_expert(tmp_path: Path) -> None:
    """The same initials are refused in one line and asked again."""
    root = knowledge(tmp_path)
    result = begun(root, ["yes", "AB", "ab", "JK"])
    assert "AB asks the questions; another person is needed here." in result.stdout


def test_a_wrong_layout_is_told_before_anything_is_asked(tmp_path: Path) -> None:
    """No question is answered in vain."""
    result = run("--knowledge", str(knowledge(tmp_path)), "interview", "start", "--layout", "tyny")
    assert isinstance(result.exception, UsageError)
    assert result.stdout == ""


def test_who_comes_back_is_told_where_he_was(tmp_path: Path) -> None:
    """The last answer stands there, and how to see and mend the rest."""
    root = knowledge(tmp_path)
    name = interview(root, [*OPENING, *CASE, "It faded at take-off", "", "pause"])
    shown = again(root, name, "pause")
    assert "answers are kept; 'said' lists them, 'back' takes the last back." in shown
    assert "It faded at take-off" in shown


def test_a_count_against_his_own_case_is_told_and_kept(tmp_path: Path) -> None:
    """He may have told the rare one; he may also have turned the count round."""
    root = knowledge(tmp_path)
    often = next(k for k, step in enumerate(TALK) if step == "10 16 14 80 it fades late")
    for count, said in (("1 3 2 90", True), ("10 16 14 80", False)):
        shown = begun(root, [*TALK[:often], count, "pause"]).stdout
        assert ("In the case you told it was so." in shown) == said, shown


def test_nought_alone_is_no_way_to_leave_a_count_out(tmp_path: Path) -> None:
    """None of twenty is a count like another; the rest of it is asked for."""
    root = knowledge(tmp_path)
    often = next(k for k, step in enumerate(TALK) if step == "10 16 14 80 it fades late")
    shown = begun(root, [*TALK[:often], "0", "0 1 0 90", "pause"]).stdout
    assert "and the lowest and the highest" in shown
    assert "kept: 0 of 20" in shown


def test_a_rule_that_wants_and_drops_one_sign_is_told_while_he_is_there(tmp_path: Path) -> None:
    """A contradiction is said at once, and both answers stand until he takes one back."""
    root = knowledge(tmp_path)
    drop = TALK.index("engine ran well at take-off")
    for words, said in (("engine faded at take-off", True), (TALK[drop], False)):
        shown = begun(root, [*TALK[:drop], words, "1", "", "pause"]).stdout
        told = "is a sign of the rule itself, which then never holds." in " ".join(shown.split())
        assert told == said, shown


def test_what_is_said_is_kept_word_for_word_with_what_was_heard_in_it(tmp_path: Path) -> None:
    """The story stands as typed; the findings beside it are those he took."""
    root = knowledge(tmp_path)
    told = Interview.find(folder(), interview(root, [*OPENING, *CASE])).told()
    assert told.words("case") == "\n".join(CASE[:2])
    found = told.findings("case-findings")
    assert [(f.question, f.value, f.state.stage) for f in found] == [
        ("engine-behaviour", "fades", "take-off"),
        ("fuel-pressure", "low", "run-up"),
    ]
    assert told.picked("case-cause") == ("strainer-plugged",)


def test_an_interview_taken_up_goes_on_at_the_next_question(tmp_path: Path) -> None:
    """Nothing answered is asked again; half a story goes on where it stood."""
    root = knowledge(tmp_path)
    name = interview(root, [*OPENING, CASE[0]])
    shown = again(root, name, CASE[1], "", "none", "", "strainer", "1")
    assert "So far:" in shown
    assert f"    {CASE[0]}" in shown
    told = Interview.find(folder(), name).told()
    assert told.said["case"].lines == tuple(CASE[:2])
    assert "Tell me about" not in again(root, name)


def test_left_out_and_cannot_say_are_told_apart(tmp_path: Path) -> None:
    """Enter leaves a question out, 'cannot say' is an answer; neither is asked again."""
    root = knowledge(tmp_path)
    name = interview(root, [*OPENING, "", "cannot say", "", "", "", "skip step"])
    told = Interview.find(folder(), name).told()
    assert told.passed["case"] == "left out"
    assert told.passed["case-cause"] == "cannot say"
    assert not told.said


def test_an_answer_taken_back_is_asked_anew_and_stays_in_the_record(tmp_path: Path) -> None:
    """'back' takes the last one, 'correct N' any; the first words are still in the log."""
    root = knowledge(tmp_path)
    name = interview(root, [*OPENING, *CASE, "back", "pump", "1", "correct 4", "A new story.", ""])
    interviewed = Interview.find(folder(), name)
    told = interviewed.told()
    assert told.picked("case-cause") == ("engine-pump-worn",)
    assert told.words("case") == "A new story."
    assert "case-findings" not in told.said, "what was heard in the old story went with it"
    texts = [e.get("text") for e in interviewed.log.events]
    assert "\n".join(CASE[:2]) in texts
    shown = run("interview", "show", name).stdout
    assert "(taken back)" in shown


def test_what_was_left_out_by_a_slip_is_listed_and_taken_up_again(tmp_path: Path) -> None:
    """A question or a part left out has its number like an answer, and 'correct' asks it anew."""
    root = knowledge(tmp_path)
    k = len(CASE) - 2  # Enter where the cause is asked
    name = interview(root, [*OPENING, *CASE[:k], "", "skip step", "pause"])
    left, skipped = (e["n"] for e in Interview.find(folder(), name).log.events
                     if e["event"] in ("left-out", "step-left-out"))  # fmt: skip
    shown = again(root, name, "said", f"correct {left}", "strainer", "1", f"correct {skipped}",
                  "It faded at take-off", "", "pause")  # fmt: skip
    assert "1 left out, 2 answers are kept" in shown
    assert "What was it in the end? LEFT OUT" in shown
    assert "part left out: timeline" in shown
    told = Interview.find(folder(), name).told()
    assert told.picked("case-cause") == ("strainer-plugged",)
    assert told.words("timeline") == "It faded at take-off"
    assert not told.closed


def test_one_answer_of_a_part_left_out_can_be_taken_up_alone(tmp_path: Path) -> None:
    """What is corrected in it is asked, the rest of it stays left out."""
    root = knowledge(tmp_path)
    often = TALK.index("10 16 14 80 it fades late")
    name = interview(root, [*TALK[:often], "cannot say", "skip step", "pause"])
    left = next(e["n"] for e in Interview.find(folder(), name).log.events
                if e["event"] == "left-out" and e["step"] == "how-often")  # fmt: skip
    shown = again(root, name, f"correct {left}", "10 16 14 80", "pause")
    assert "kept: 14 of 20" in shown
    assert "the rule and its limits" in shown.partition("kept: 14 of 20")[2]
    told = Interview.find(folder(), name).told()
    assert [a for a in told.said if a.startswith("often-")]
    assert told.closed == {"how-often"}


def test_it_is_said_at_once_what_hangs_on_an_answer_left_out(tmp_path: Path) -> None:
    """Without the cause nothing more is asked, so nobody leaves it out unaware."""
    root = knowledge(tmp_path)
    shown = begun(root, [*OPENING, *CASE[: len(CASE) - 2], "", "pause"]).stdout
    said = " ".join(shown.split())
    assert "Left out, and without it nothing is asked of what feels alike" in said
    assert "'back' asks it again" in said


def test_what_was_found_is_said_back_in_words(tmp_path: Path) -> None:
    """An expert answers for sentences, not for ids."""
    root = knowledge(tmp_path)
    name = interview(root, [*OPENING, *CASE])
    shown = again(root, name, "said", "pause")
    assert "finding: fuel pressure" in shown
    assert "finding: fuel-pressure low" not in shown


def test_the_last_line_of_a_story_can_be_taken_back(tmp_path: Path) -> None:
    """What he would rather not have said counts no more, and the record keeps that it was said."""
    root = knowledge(tmp_path)
    k = len(OPENING)
    shown = begun(root, [*OPENING, "They may still fly it.", "back", *TALK[k : k + 3], "pause"])
    assert "taken back: They may still fly it." in shown.stdout
    interview = Interview.find(folder(), folder().ids()[0])
    assert interview.told().words("case") == "\n".join(TALK[k : k + 2])


def test_back_in_the_middle_of_findings_begins_with_them_anew(tmp_path: Path) -> None:
    """His words stand; only what was made of them so far is asked again."""
    end = len(OPENING) + CASE.index("all") + 1
    shown = begun(knowledge(tmp_path), [*TALK[:end], "back", "all", "", "pause"]).stdout
    assert shown.count("What you said, as findings:") == 2
    interview = Interview.find(folder(), folder().ids()[0])
    assert not [e for e in interview.log.events if e["event"] == "taken-back"]


def test_a_finished_interview_can_still_be_corrected(tmp_path: Path) -> None:
    """Taken up at its end it offers the answers, and asks the corrected one again."""
    root = knowledge(tmp_path)
    name = interview(root)
    shown = again(root, name, "said", "correct 17", "looked at the bowl")
    assert "Every question was asked." in shown
    assert Interview.find(folder(), name).told().words("what-if") == "looked at the bowl"


def test_an_answer_taken_back_at_the_end_and_not_said_anew_is_asked_when_it_is_taken_up(
    tmp_path: Path,
) -> None:
    """Cut off before he said it anew, it is not called asked; and it cannot be corrected."""
    root = knowledge(tmp_path)
    name = interview(root)
    again(root, name, "correct 17", "pause")
    shown = again(root, name, "looked at the bowl")
    assert "Every question was asked." not in shown
    assert Interview.find(folder(), name).told().words("what-if") == "looked at the bowl"


def test_who_speaks_can_be_put_right_before_the_first_question(tmp_path: Path) -> None:
    """'back' asks the one before again, the first as often as it is typed."""
    typed = [
        "yes",
        "back",
        "AB",
        "back",
        "CD",
        "AB",
        "a story " * 9,
        "a slip",
        "back",
        *OPENING[3:],
    ]
    begun(knowledge(tmp_path), [*typed, "pause"])
    opened = Interview.find(folder(), folder().ids()[0]).log.events[0]
    assert (opened["interviewer"], opened["by"], opened["role"]) == ("CD", "AB", OPENING[3])


def test_what_was_said_of_a_cause_goes_with_it_and_what_stands_alone_stays(tmp_path: Path) -> None:
    """Another cause in the end: the rule told for the first is asked anew, never laid upon it."""
    root = knowledge(tmp_path)
    name = interview(root)
    before = Interview.find(folder(), name).told()
    entry = before.said["case-cause"].entry
    shown = again(root, name, f"correct {entry}", "pump worn", "1", "pause")
    assert f"taken back: {entry} and " in shown
    after = Interview.find(folder(), name).told()
    assert after.picked("case-cause") == ("engine-pump-worn",)
    gone = before.said.keys() - after.said.keys()
    assert {"rule-signs", "rule-words", "rule-not", "rule-not-words", "first-check"} <= gone
    assert {"case", "timeline", "trade-1"} <= after.said.keys()
    counts = {a for a in before.said if a.startswith(("often-", "seed-", "alike-"))}
    assert counts <= after.said.keys(), "they say themselves what they are about"
    drafts = drafted(root, name, tmp_path)
    assert not list(drafts.glob("symptoms/*.yaml"))


def test_a_story_told_anew_takes_its_turns_with_it(tmp_path: Path) -> None:
    """What was noticed at a line of the story is not read as said of another line."""
    root = knowledge(tmp_path)
    name = interview(root)
    story = Interview.find(folder(), name).told().said["timeline"].entry
    again(root, name, f"correct {story}", "Something else altogether", "", "pause")
    said = Interview.find(folder(), name).told().said
    assert said["timeline"].lines == ("Something else altogether",)
    assert not [ask for ask in said if ask.startswith(("cue-", "decisions"))]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["correct 99"], "'correct 99' cannot be done here"),
        (["correct"], "say which answer"),
        (["back"], "nothing was said yet"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(
    tmp_path: Path, typed: list[str], said: str
) -> None:
    """A command that makes no sense here is no answer."""
    root = knowledge(tmp_path)
    result = begun(root, [*OPENING, *typed])
    assert said in result.stdout
    name = folder().ids()[0]
    assert not Interview.find(folder(), name).told().said


def test_a_finding_looked_up_by_hand_can_be_given_up(tmp_path: Path) -> None:
    """'0' in a list takes nothing and the next word can be typed."""
    root = knowledge(tmp_path)
    by_hand = ["pressure", "0", "nonsense", "pressure", "1", "1", ""]
    name = interview(root, [*OPENING, *CASE[:3], "none", *by_hand])
    found = Interview.find(folder(), name).told().findings("case-findings")
    assert [(f.question, f.value) for f in found] == [("fuel-pressure", "low")]


def test_seeds_are_mixed_among_the_counts_and_asked_once(tmp_path: Path) -> None:
    """The published fact comes between two counts of his own."""
    root = knowledge(tmp_path)
    asked = [s.ask for s in Interview.find(folder(), interview(root)).told().said.values()]
    counts = [a for a in asked if a.startswith(("often-", "seed-"))]
    assert counts[0].startswith("often-")
    assert counts[1] == "seed-one"
    assert counts[2].startswith("often-")


def test_the_record_is_printed_for_people_and_for_machines(tmp_path: Path) -> None:
    """Text says who, when and UNREVIEWED; JSON holds every event with its number."""
    root = knowledge(tmp_path)
    name = interview(root)
    shown = run("interview", "show", name).stdout
    assert "ground engineer, retired JK, 41 years" in shown
    assert "UNREVIEWED" in shown
    body = as_json("interview", "show", name)
    assert [e["n"] for e in body["events"]] == list(range(1, len(body["events"]) + 1))
    listed = as_json("interview", "list")["interviews"]
    assert [(r["interview"], r["state"]) for r in listed] == [(name, "finished")]


def test_a_damaged_record_is_listed_and_refused_with_its_line(tmp_path: Path) -> None:
    """The list says so; opening it tells file, line and what to do."""
    root = knowledge(tmp_path)
    name = interview(root, [*OPENING, *CASE])
    path = folder().path(name)
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([lines[0], "rubbish", *lines[1:]]) + "\n", encoding="utf-8")
    assert "unreadable" in run("interview", "list").stdout
    with pytest.raises(CaseError, match=rf"{name}.jsonl:2:1: not a JSON event.*an interview holds"):
        Interview.find(folder(), name)


def test_the_whole_talk_ends_with_nothing_left_to_ask(tmp_path: Path) -> None:
    """Played from consent to read-back, it is finished and names what comes next."""
    root = knowledge(tmp_path)
    result = run(
        "--knowledge", str(root), "interview", "start", "--layout", "tiny-single", typed=TALK
    )
    assert "Nothing is left to ask." in result.stdout
    assert "Next: diagnose interview draft" in result.stdout
    assert Interview.find(folder(), folder().ids()[0]).told().finished


def test_knowledge_that_lacks_what_was_spoken_of_is_refused(tmp_path: Path) -> None:
    """Named are the causes it does not have, and what to do."""
    root = knowledge(tmp_path)
    told = Interview.find(folder(), interview(root)).told()
    library = load_library(root, use_cache=False)
    told.must_fit(library)
    with pytest.raises(UsageError, match=r"speaks of engine-pump-worn, .*--knowledge"):
        told.must_fit(
            replace(library, causes={"strainer-plugged": library.causes["strainer-plugged"]})
        )


def test_a_seed_without_a_known_source_is_refused_where_it_stands(tmp_path: Path) -> None:
    """File, line and column, with what is wrong."""
    bad = "seeds:\n  - {seed: one, ask: How many?, unit: feet, answer: 100, source: handbok-one}\n"
    root = knowledge(tmp_path, {"seeds.yaml": bad})
    with pytest.raises(KnowledgeError, match=r"seeds.yaml:2:.*did you mean 'handbook-one'"):
        read_seeds(root, load_library(root, use_cache=False))


def test_no_numbers_are_told_of_a_list_that_is_not_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """A long list of parts is looked up by a word: nobody picks by number what he never saw."""
    lines: list[str] = []
    typed = iter(["flap valve", "part 7"])
    talk = Talk({})
    monkeypatch.setattr(talk, "line", lambda _: next(typed))
    monkeypatch.setattr(talk, "say", lambda text="": lines.append(str(text)))
    parts = {f"p{k}": f"part {k}" for k in range(1, MOST_SHOWN + 8)}
    asked = Ask("part", "Which part?", "pick", choices=parts)
    _, picked = pick(talk, cast(Interview, None), cast(Ground, None), asked)
    assert picked == {"picked": ("p7",)}
    assert any("names none of them; type one word of it" in line for line in lines)
    assert not any("from 1 to" in line for line in lines)
