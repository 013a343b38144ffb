"""What is told or asked for while the expert is still there to say it otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest
from capture.capture_kit import OFTEN, TALK, begun, interview, knowledge

from diagnose.capture.record import Interview, folder, record_body
from diagnose.cli.interview.view import show_lines


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        (["about half", "6 14", "70"], "10 of 20 (6 to 14, 70 % sure)"),
        (["15 of 20", "10 18", "80 %"], "15 of 20 (10 to 18, 80 % sure)"),
        (["between 10 and 18, say 15", "80"], "15 of 20 (10 to 18, 80 % sure)"),
        (["10 to 18, 80% sure", "15"], "15 of 20 (10 to 18, 80 % sure)"),
        (["nearly all", "back", "18", "20 3", "15 20", "90"], "18 of 20 (15 to 20, 90 % sure)"),
        (["well over half", "15", "10 to 18, pretty sure 80"], "15 of 20 (10 to 18, 80 % sure)"),
        (["15", "it varies", "10 to 18, say 16", "80 sure"], "16 of 20 (10 to 18, 80 % sure)"),
    ],
)
def test_a_count_is_read_as_it_is_said_and_the_rest_is_asked_for(
    tmp_path: Path, typed: list[str], kept: str
) -> None:
    """Nothing is made up for what he leaves open, and nothing he said is asked again."""
    often = next(k for k, step in enumerate(TALK) if step == "10 16 14 80 it fades late")
    shown = begun(knowledge(tmp_path), [*TALK[:often], *typed, "pause"]).stdout
    assert f"kept: {kept}" in shown


@pytest.mark.parametrize(
    ("said", "told", "again"),
    [
        ("Crack the union with the engine running.", "Nobody may be told to do that", ""),
        (f"It {'goes ' * 30}slowly.", "on paper 20 is the most", "Wait for it to cool."),
    ],
)
def test_what_cannot_be_printed_is_told_while_he_can_say_it_anew(
    tmp_path: Path, said: str, told: str, again: str
) -> None:
    """An unsafe act or an endless sentence is kept, and he is asked how it is to be said."""
    talk = list(TALK)
    talk[talk.index("Let it cool first.")] = said
    talk.insert(talk.index(said) + 1, again)
    name = interview(knowledge(tmp_path), talk)
    kept = Interview.find(folder(), name).told().said["rule-warns"]
    assert kept.text == (again or said)
    lines = "\n".join(show_lines(record_body(Interview.find(folder(), name))))
    assert ("said at first" in lines) == bool(again)
    shown = begun(knowledge(tmp_path / "again"), [*talk[: talk.index(said) + 2], "pause"]).stdout
    assert told in " ".join(shown.split())


def test_facts_that_no_count_is_left_for_are_asked_only_if_he_wants(tmp_path: Path) -> None:
    """They weigh nothing, and a dozen in a row is an examination."""
    more = "".join(
        f"  - {{seed: s{k}, ask: Fact {k}?, unit: feet, answer: 1, source: handbook-one}}\n"
        for k in range(9)
    )
    root = knowledge(tmp_path, {"seeds.yaml": f"seeds:\n{more}"})
    start = TALK.index(OFTEN[0])
    counts = [x for count in (*OFTEN[:1], *OFTEN[2:]) for x in (count, "cannot say")]
    for answer, asked in (("no", False), ("yes", True)):
        shown = begun(root, [*TALK[:start], *counts, answer, "pause"]).stdout
        assert "more such facts from books" in shown
        assert ("Fact 8?" in shown or "Fact 4?" in shown) == asked


def test_a_rule_is_tried_on_the_case_it_was_learnt_from(tmp_path: Path) -> None:
    """While he is there he can say what was left out."""
    talk = list(TALK)
    talk[talk.index("engine ran well at take-off")] = "engine ran well at idle"
    ways = {"holds": TALK, "does not hold": talk}
    for k, (said, typed) in enumerate(ways.items()):
        shown = " ".join(begun(knowledge(tmp_path / str(k)), typed).stdout.split())
        assert f"Your rule 'Fades and sags' {said} on the case you told" in shown
    assert "(there: unknown)" in shown
