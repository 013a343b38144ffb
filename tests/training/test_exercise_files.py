"""Exercises that an instructor sets: sound files, solvable, and mistakes told with their place."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import CASES, bench, library

from diagnose.errors import CaseError
from diagnose.knowledge_files import layout_of_case, load_exercise
from diagnose.knowledge_files.yaml_writing import folded_text
from diagnose.training.drawing import draw, solvable
from diagnose.training.keeping import of_file
from diagnose.training.simulated import Simulated
from diagnose.training.writing import exercise_text

FILES = sorted((CASES / "exercises").glob("*.yaml"))
GOOD = """\
exercise: my-exercise
layout: low-wing-single
fault: {cause: strainer-plugged, at: strainer}
severity: severe
reported: Pressure falls on the run-up.
told:
  - {finding: fuel-pressure, at: engine, value: low, state: {stage: run-up}, known-by: told}
at-hand: {hands: 1, run: no, tools: [bonded container]}
"""


def write(folder: Path, text: str) -> Path:
    """Return a file with ``text``."""
    path = folder / "my-exercise.yaml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_shipped_exercise_is_sound_and_says_that_it_is_invented(path: Path) -> None:
    """Its fault fits the layout, and nobody takes it for an occurrence."""
    b = bench(layout_of_case(path, "exercise"))
    found = load_exercise(path, b.library, b.layout)
    assert found.id == path.stem
    assert found.invented
    assert of_file(b, found)[0].hidden.cause == found.cause


def test_a_shipped_exercise_can_be_solved() -> None:
    """The planner's own route finds the part at fault."""
    path = CASES / "exercises" / "ex-stops-on-either-tank.yaml"
    b = bench(layout_of_case(path, "exercise"))
    drawn, _ = of_file(b, load_exercise(path, b.library, b.layout))
    assert solvable(b, Simulated(b, drawn.hidden, drawn.told), drawn)


def test_the_shipped_exercises_lie_over_five_families_and_six_layouts() -> None:
    """Not one kind of trouble six times."""
    found = [load_exercise(p, library(), bench(layout_of_case(p)).layout) for p in FILES]
    assert len({library().causes[e.cause.cause].family for e in found}) >= 5
    assert len({e.layout for e in found}) == 6


def test_a_drawn_exercise_read_back_is_the_same_aeroplane(tmp_path: Path) -> None:
    """What ``set`` writes hides the same fault, and answers the same."""
    b = bench("low-wing-single")
    drawn = draw(b, 4, fault=b.net.instances[0])
    path = write(tmp_path, exercise_text(b, drawn, "my-exercise"))
    again, at_hand = of_file(b, load_exercise(path, b.library, b.layout))
    assert again.hidden == drawn.hidden
    assert again.reported == drawn.reported
    assert [(f.question, f.at, f.value, f.state) for f in again.told] == [
        (f.question, f.at, f.value, f.state) for f in drawn.told
    ]
    assert at_hand == {"hands": 2, "may_run": True, "tools": None}


def test_what_is_at_hand_is_the_instructors_to_say(tmp_path: Path) -> None:
    """People, runs and tools come from the file."""
    b = bench("low-wing-single")
    _, at_hand = of_file(b, load_exercise(write(tmp_path, GOOD), b.library, b.layout))
    assert at_hand == {"hands": 1, "may_run": False, "tools": ("bonded container",)}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("severity: severe", "severity: dreadful", ":4:11: 'dreadful' is not a known severity"),
        ("strainer-plugged", "strainer-pluged", ":3:16: 'strainer-pluged' is not a known cause"),
        ("fault: {cause: strainer-plugged, at: strainer}", "fault: not-in-the-knowledge",
         ":3:8: an exercise hides a cause of the knowledge"),
        ("reported: Pressure falls on the run-up.\n", "", "exercise has no 'reported'"),
        ("value: low", "value: [low, high]", "the aeroplane shows what is told"),
        ("hands: 1", "hands: 12", "at most 9"),
        ("[bonded container]", "[magic wand]", "'magic wand' is not a known tool"),
        ("layout: low-wing-single", "layout: low-wing-twin", ":2:9: the exercise is of layout"),
        ("severity: severe", "severity: severe\nlevel: easy", ":5:1: 'level' is not a known key"),
        ("severity: severe", "severity: severe\nseed: 1.5", "'seed' is a whole number"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_place(tmp_path: Path, old: str, new: str, said: str) -> None:
    """File, line and column, what is wrong, what was meant."""
    assert old in GOOD
    b = bench("low-wing-single")
    with pytest.raises(CaseError) as wrong:
        load_exercise(write(tmp_path, GOOD.replace(old, new)), b.library, b.layout)
    assert said in str(wrong.value)
    assert all(line.split("/")[-1].startswith("my-exercise.yaml:")
               for line in str(wrong.value).splitlines())  # fmt: skip


def test_a_cause_the_layout_cannot_have_is_told_with_its_place(tmp_path: Path) -> None:
    """The kind of part fits, the layout does not: no aeroplane is made of it."""
    b = bench("low-wing-single")
    have = set(map(str, b.net.instances))
    lacks, at = next(
        (cause.id, part.id)
        for cause in b.library.causes.values()
        for part in b.layout.parts.values()
        if part.kind in cause.part_kinds and f"{cause.id}@{part.id}" not in have
    )
    text = GOOD.replace("strainer-plugged, at: strainer", f"{lacks}, at: {at}")
    path = write(tmp_path, text)
    with pytest.raises(CaseError, match=r"my-exercise.yaml:3:8: .* cannot be at"):
        of_file(b, load_exercise(path, b.library, b.layout))


def test_a_long_report_is_folded_at_spaces_alone() -> None:
    """'Run-up' at the end of a line is read back as 'run-up', and never as 'run- up'."""
    for lead in range(12):
        text = "x" * lead + " on the run-up with the booster off" * 6
        assert " ".join(line.strip() for line in folded_text(text)) == text.strip()
