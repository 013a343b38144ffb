"""What became a draft and what became none: counts, limits, notes, nothing dropped."""

from __future__ import annotations

import re
from pathlib import Path

from capture.capture_kit import OFTEN, TALK, begun, drafted, interview, knowledge
from lint.lint_kit import SOUND

from diagnose.capture.folder import Folder, read_folder
from diagnose.capture.record import Interview, folder, record_body
from diagnose.cli.interview.view import show_lines


def test_nothing_he_said_is_dropped_silently(tmp_path: Path) -> None:
    """Every answer in words is in a draft or listed as open with its reason."""
    root = knowledge(tmp_path)
    name = interview(root)
    drafts = drafted(root, name, tmp_path)
    made = read_folder(drafts)
    used = {e for d in made.drafts for e in d.entries}
    left = {e for x in made.left for e in x.entries}
    said = Interview.find(folder(), name).told().said.values()
    assert not any(x.why.startswith("a note") for x in made.left)
    own = {
        s.entry
        for s in said
        if not s.picked and not s.lines and not s.findings and "seed" not in s.about
        and s.ask not in ("cue-2-seen-words",)  # heard as a finding
    }  # fmt: skip
    assert own <= used | left
    assert all(x.why for x in made.left)


STOPS = (
    "  - {effect: engine-running, is: stops, at: its-engine, when: {power: high}, how-often: half}"
)
STRAINER = "causes/filters/strainer-plugged.yaml"


def half_stop(
    tmp_path: Path, said: str, often: str = "half", when: str = "{power: high}"
) -> tuple[str, Folder]:
    """Tell of 14 of 20 that fade where half are known to stop; return the talk and its drafts.

    ``said``: to how many of the same 20 stop instead.  often: how often the knowledge has
    them, and when.
    """
    stops = STOPS.replace("how-often: half", f"how-often: {often}")
    stops = stops.replace("{power: high}", when)
    text = SOUND[STRAINER].replace("after-work:", f"{stops}\nafter-work:", 1)
    root = knowledge(tmp_path, {STRAINER: text})
    k = TALK.index(OFTEN[0]) + 1
    talk = [*TALK[:k], said, *TALK[k:]]
    name = interview(root, talk)
    return "\n".join(show_lines(record_body(Interview.find(folder(), name)))), read_folder(
        drafted(root, name, tmp_path)
    )


def test_a_rule_says_where_it_does_not_hold(tmp_path: Path) -> None:
    """Without the limit it would claim more than he said."""
    root = knowledge(tmp_path)
    made = read_folder(drafted(root, interview(root), tmp_path))
    rule = next(d for d in made.drafts if d.kind == "rule")
    assert "Not so: where gravity feeds there is no gauge." in " ".join(rule.text.split())
    assert not [x for x in made.left if "gravity" in x.words]


def test_a_count_without_room_is_left_to_be_asked_and_spoils_no_draft(tmp_path: Path) -> None:
    """14 of 20 that fade leave no half that stop: the two are told, neither is written over."""
    _, made = half_stop(tmp_path, "cannot say")
    (left,) = [x for x in made.left if "no room" in x.why]
    assert "JK 14 of 20" in left.why
    assert "(stops 0.50)" in left.why
    cause = next(d for d in made.drafts if d.id == STRAINER.removesuffix(".yaml"))
    assert "fuel pressure" in cause.says, "the other count is drafted all the same"
    assert "fades" not in cause.says
    assert STOPS in cause.text


def test_what_leaves_no_room_is_asked_of_him_while_he_is_there(tmp_path: Path) -> None:
    """How many of the same 20 show the other thing: with that both counts become rows."""
    shown, made = half_stop(tmp_path, "2 6 4 80")
    assert "And of the same 20 aeroplanes with" in " ".join(shown.split())
    assert not [x for x in made.left if "no room" in x.why]
    cause = next(d for d in made.drafts if d.id == STRAINER.removesuffix(".yaml"))
    assert "14 of 20" in cause.says
    assert "4 of 20 (was 10)" in cause.says
    assert STOPS not in cause.text


def test_counts_that_are_all_there_are_become_rows_together(tmp_path: Path) -> None:
    """14 of 20 that fade and 6 that stop fit; in no grade do the rows say more than all."""
    _, made = half_stop(tmp_path, "4 8 6 80", "{slight: rarely, half: half, severe: often}")
    cause = next(d for d in made.drafts if d.id == STRAINER.removesuffix(".yaml"))
    assert "14 of 20" in cause.says
    assert "6 of 20" in cause.says
    assert not [x for x in made.left if "more than all" in x.why]


def test_a_count_as_the_knowledge_has_it_keeps_its_room(tmp_path: Path) -> None:
    """It changes no row, and the row that stands there takes its share all the same."""
    _, made = half_stop(tmp_path, "3 9 6 80", "{slight: .32, half: .32, severe: .32}")
    assert [x for x in made.left if "as the knowledge says, 0.32" in x.why]
    cause = next(d for d in made.drafts if d.id == STRAINER.removesuffix(".yaml"))
    fades = next(x for x in cause.text.split("  - {") if "is: fades" in x and "14 of 20" in x)
    rates = [float(x) for x in re.findall(r"\B\.\d\d\b", fades.partition("source")[0])]
    assert rates
    assert max(rates) <= 0.68


def test_a_row_of_several_states_stands_for_those_he_did_not_count(tmp_path: Path) -> None:
    """Beside the whole of it a lower count would say nothing: the higher of two rows counts."""
    _, made = half_stop(tmp_path, "2 6 4 80", when="{power: [high, mid]}")
    cause = next(d for d in made.drafts if d.id == STRAINER.removesuffix(".yaml"))
    stops = [line for line in cause.text.split("  - {") if "is: stops" in line]
    assert ["when: {power: mid}, how-often: half" in " ".join(x.split()) for x in stops] == [
        True,
        False,
    ]
    assert "when: {power: high}" in stops[1]
    assert ".20" in stops[1]


def test_counts_of_one_thing_over_all_there_are_are_told_while_he_is_there(tmp_path: Path) -> None:
    """Afterwards neither can become a draft, and nobody is left to ask."""
    text = SOUND[STRAINER].replace("after-work:", f"{STOPS}\nafter-work:", 1)
    k = TALK.index(OFTEN[0]) + 1
    for said, over in (("8 14 12 80", True), ("2 6 4 80", False)):
        root = knowledge(tmp_path / said.split()[0], {STRAINER: text})
        shown = " ".join(begun(root, [*TALK[:k], said, "pause"]).stdout.split())
        assert ("more than all 20, and one aeroplane shows one" in shown) == over, shown


def test_a_note_and_a_story_cut_short_are_listed_too(tmp_path: Path) -> None:
    """What no question asked for, and what he had not ended, is open work."""
    root = knowledge(tmp_path)
    k = TALK.index("It faded at take-off")
    name = interview(root, [*TALK[:k], "note", "ask him about the hand pump", TALK[k]])
    made = read_folder(drafted(root, name, tmp_path))
    left = {x.words: x.why for x in made.left}
    assert left["ask him about the hand pump"].startswith("a note")
    assert left["It faded at take-off"].startswith("begun and not ended")
