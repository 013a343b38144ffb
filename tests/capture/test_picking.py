"""Choices and counts as people type them, read; what may mean several is never taken as one."""

from __future__ import annotations

from pathlib import Path

import pytest
from capture.capture_kit import CASE, OPENING, TALK, begun, knowledge

from diagnose.capture.estimates import how_common
from diagnose.capture.picking import picked_one, picked_some
from diagnose.errors import UsageError

CHECKS = {
    "bench": "Test the pump on the bench",
    "off": "Take the pump off its pad and turn it",
    "inlet": "Measure the suction at the pump inlet",
    "drain": "Watch the pump seal drain",
}
PARTS = {
    "pump-3": "engine-driven fuel pump of no. 3 engine (starboard inner)",
    "pump-1": "engine-driven fuel pump of no. 1 engine (port outer)",
    "relief-3": "pump relief valve of no. 3 engine (starboard inner)",
}
NUMBERS = {
    "very common": 0.2, "common": 0.03, "uncommon": 0.003, "rare": 0.0003, "very rare": 0.00003
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("2", ["off"]),
        ("no. 2", ["off"]),
        ("two", ["off"]),
        ("take the pump off and look", ["off"]),
        ("the bench", ["bench"]),
        ("the pump", ["bench", "off", "inlet", "drain"]),
    ],
)
def test_one_choice_is_taken_by_its_number_or_its_words(text: str, found: list[str]) -> None:
    """What names several is no choice; of all of them he is asked again."""
    if len(found) == len(CHECKS):
        with pytest.raises(UsageError, match="is not one of them"):
            picked_one(text, CHECKS)
    else:
        assert list(picked_one(text, CHECKS)) == found


def test_words_that_fit_several_choices_bring_those_to_choose_from() -> None:
    """'Number three engine pump' is at no other engine; which of its two parts, he says."""
    assert picked_one("number three engine pump", PARTS) == ("pump-3", "relief-3")


def test_a_sentence_that_has_one_word_of_a_choice_chooses_nothing() -> None:
    """Whoever tells a story at a list has not chosen from it."""
    with pytest.raises(UsageError, match="is not one of them"):
        picked_one("well it stood outside all winter by the drain of the old hangar", CHECKS)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("1, 2 and 4", ["bench", "off", "drain"]),
        ("1 & 3", ["bench", "inlet"]),
        ("2-4", ["off", "inlet", "drain"]),
        ("2 to 3", ["off", "inlet"]),
        ("the bench, the seal drain", ["bench", "drain"]),
    ],
)
def test_several_choices_are_read_as_people_list_them(text: str, found: list[str]) -> None:
    """Commas, 'and', a span, or words between commas."""
    assert list(picked_some(text, CHECKS)) == found


def test_a_part_of_a_list_that_may_be_several_is_asked_about() -> None:
    """Nothing is taken of a list that is half understood."""
    with pytest.raises(UsageError, match="may be 1, 3"):
        picked_some("2, the engine 3", {"a": PARTS["pump-3"], "b": "x", "c": PARTS["relief-3"]})


@pytest.mark.parametrize(
    ("text", "word"),
    [("60", "very common"), ("10", "common"), ("1", "uncommon"), ("two or three", "uncommon"),
     ("1 in 3000", "rare"), ("5 of 300", "common"), ("0", "very rare")],
)  # fmt: skip
def test_how_common_is_a_count_and_no_place_in_a_list(text: str, word: str) -> None:
    """Asked how many of 300, whoever types 1 means one, not the first line."""
    assert how_common(text, NUMBERS) == word


def test_a_choice_made_in_words_is_said_back(tmp_path: Path) -> None:
    """So that what was meant otherwise is seen at once."""
    first = TALK.index("1 3")
    shown = begun(knowledge(tmp_path), [*TALK[:first], "quickest and safest", "pause"]).stdout
    assert "taken: quickest; safest, or what hurts most if missed" in shown


def test_a_new_failure_is_asked_how_common_in_counts(tmp_path: Path) -> None:
    """The count is kept as the nearest word, and the word is shown."""
    case = [
        *CASE[:-2],
        "moths in the strainer",
        "none of these: a failure the knowledge does not have",
    ]
    typed = [*OPENING, *case, "strainer", "1", "moths", "1", "1", "pause"]
    shown = begun(knowledge(tmp_path), typed).stdout
    assert "kept: uncommon, about 1 of 300" in shown, shown
