"""A knowledge folder becomes one frozen library that knows where every row was written."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from tiny_library import FILES, STRAINER, tiny_library, write_tiny

from diagnose.errors import KnowledgeError, Origin
from diagnose.knowledge_files import load_library
from diagnose.model import Combination, Literal


def test_every_folder_lands_in_the_library(tmp_path: Path) -> None:
    """Each item stands under its id, in the folder's mapping."""
    library = tiny_library(tmp_path)

    assert set(library.effects) == {"metering-pressure", "engine-running", "smell"}
    assert set(library.questions) == {"fuel-pressure", "engine-behaviour", "fuel-smell"}
    assert set(library.symptoms) == {"booster-restores", "smell-stop"}
    assert set(library.causes) == {"strainer-plugged", "engine-pump-worn", "pressure-gauge-low"}
    assert set(library.checks) == {"inspect-strainer", "pump-output", "test-gauge"}
    assert set(library.hazards) == {"open-fuel-part", "running-engine"}
    assert set(library.sources) == {"handbook-one", "common-practice", "from-memory"}
    assert library.words.how_often["very-often"] == 0.90
    assert library.words.unstated["booster"] == {"off": 0.6, "on": 0.4}


def test_words_become_numbers_by_the_scales(tmp_path: Path) -> None:
    """'very often' and 'very-often' are one word; the word is kept beside its number."""
    strainer = tiny_library(tmp_path).causes["strainer-plugged"]
    first, second = strainer.produces

    assert strainer.how_common == 0.03
    assert strainer.common_word == "common"
    assert strainer.family == "filters"
    assert first.how_often == {"half": 0.70, "severe": 0.98}
    assert first.said == {"half": "often", "severe": "always"}
    assert first.when == {"power": ("high",), "booster": ("off",)}
    assert second.how_often == {"severe": 0.90}
    assert second.when == {"power": ("mid", "high")}


def test_one_word_stands_for_all_grades_and_a_number_for_a_word(tmp_path: Path) -> None:
    """Where there is data a number may stand; a single word counts for every grade."""
    text = STRAINER.replace("{half: often, severe: always}", "rarely").replace(
        "{severe: very often}", "{severe: .77}"
    )
    causes = tiny_library(tmp_path, {"causes/filters/strainer-plugged.yaml": text}).causes
    first, second = causes["strainer-plugged"].produces

    assert first.how_often == {"slight": 0.10, "half": 0.10, "severe": 0.10}
    assert second.how_often == {"severe": 0.77}
    assert second.said == {"severe": ".77"}


def test_severity_has_every_grade_in_order(tmp_path: Path) -> None:
    """Unstated it is the default; stated in part, the rest has no share."""
    causes = tiny_library(tmp_path).causes

    assert list(causes["strainer-plugged"].severity.items()) == [
        ("slight", 0.40),
        ("half", 0.35),
        ("severe", 0.25),
    ]
    assert list(causes["engine-pump-worn"].severity.items()) == [
        ("slight", 0.0),
        ("half", 0.5),
        ("severe", 0.5),
    ]


def test_shows_words_are_spread_over_the_classes(tmp_path: Path) -> None:
    """'clear' is .94 on the true class, the rest evenly; 'fair' .85; rows are taken as written."""
    questions = tiny_library(tmp_path).questions

    assert questions["fuel-pressure"].shows["low"] == pytest.approx(
        {"low": 0.94, "normal": 0.03, "high": 0.03}
    )
    assert questions["fuel-smell"].shows["fuel"] == pytest.approx({"none": 0.15, "fuel": 0.85})
    # where nothing is wrong a thirtieth of the error is left: people overlook more than they invent
    assert questions["fuel-pressure"].shows["normal"] == pytest.approx(
        {"low": 0.001, "normal": 0.998, "high": 0.001}
    )
    assert questions["fuel-smell"].shows["none"] == pytest.approx({"none": 0.995, "fuel": 0.005})
    assert questions["engine-behaviour"].shows["stops"] == {
        "well": 0.02,
        "fades": 0.08,
        "stops": 0.90,
    }
    for question in questions.values():
        for row in question.shows.values():
            assert sum(row.values()) == pytest.approx(1.0)
            assert set(row) == set(question.classes)


def test_conditions_keep_their_shape(tmp_path: Path) -> None:
    """all, any, not, sign and symptom nest as written."""
    when = tiny_library(tmp_path).symptoms["smell-stop"].when

    assert isinstance(when, Combination)
    assert when.op == "any"
    first, second = when.parts
    assert isinstance(first, Literal)
    assert (first.kind, first.name, first.value, first.at) == (
        "sign",
        "fuel-smell",
        ("fuel",),
        "itself",
    )
    assert isinstance(second, Combination)
    assert [type(part).__name__ for part in second.parts] == ["Literal", "Combination"]
    assert isinstance(second.parts[0], Literal)
    assert (second.parts[0].kind, second.parts[0].value) == ("symptom", ("true",))


def test_what_an_instrument_shows_may_stand_by_grade(tmp_path: Path) -> None:
    """A grade that stands has its own table; a grade left out shows what a sound one would."""
    gauge = "causes/indication/pressure-gauge-low.yaml"
    flat = "{normal: {low: .8, normal: .2}, high: {normal: .7, high: .3}}"
    graded = FILES[gauge].replace(flat, "{severe: {normal: {low: .9, normal: .1}}}")
    row = tiny_library(tmp_path, {gauge: graded}).causes["pressure-gauge-low"].distorts[0]

    assert row.at_grade("severe") == {"normal": {"low": 0.9, "normal": 0.1}}
    assert row.at_grade("slight") == {}
    assert [grade for grade, _ in row.tables()] == ["severe"]


def test_each_row_and_literal_knows_its_line_and_column(tmp_path: Path) -> None:
    """A conclusion can be traced to the very row that said it."""
    library = tiny_library(tmp_path)
    strainer = library.causes["strainer-plugged"]
    file = "knowledge/causes/filters/strainer-plugged.yaml"
    when = library.symptoms["booster-restores"].when

    assert strainer.origin == Origin(file, 1, 1)
    assert [row.origin for row in strainer.produces] == [Origin(file, 9, 5), Origin(file, 10, 5)]
    assert strainer.look_alikes[0].origin == Origin(file, 12, 15)
    assert strainer.checks[0].origin == Origin(file, 13, 10)
    assert library.causes["pressure-gauge-low"].distorts[0].origin.line == 7
    assert isinstance(when, Combination)
    assert [part.origin for part in when.parts] == [
        Origin("knowledge/symptoms/booster-restores.yaml", 6, 7),
        Origin("knowledge/symptoms/booster-restores.yaml", 7, 7),
    ]


def test_nothing_in_a_library_can_be_changed(tmp_path: Path) -> None:
    """One edition of the knowledge is one edition."""
    library = tiny_library(tmp_path)

    with pytest.raises(dataclasses.FrozenInstanceError):
        library.root = "elsewhere"  # type: ignore[misc] # that is the test
    for mapping in (library.causes, library.causes["strainer-plugged"].severity):
        with pytest.raises(TypeError):
            mapping["x"] = 1  # type: ignore[index] # that is the test


def test_the_edition_follows_every_byte_and_every_name(tmp_path: Path) -> None:
    """A comment, a rename, a new file: each gives another edition; the place of the folder none."""
    first = tiny_library(tmp_path / "a").edition
    smell = FILES["effects/smell.yaml"]
    comment = tiny_library(tmp_path / "b", {"effects/smell.yaml": smell + "# seen\n"}).edition
    moved = tiny_library(
        tmp_path / "c",
        {
            "causes/filters/strainer-plugged.yaml": None,
            "causes/strainers/strainer-plugged.yaml": STRAINER,
        },
    ).edition

    assert tiny_library(tmp_path / "d").edition == first
    assert len({first, comment, moved}) == 3


def test_layouts_and_hidden_files_are_no_part_of_a_library(tmp_path: Path) -> None:
    """A broken layout or an editor's leftovers do not stop the knowledge."""
    changes: dict[str, str | bytes | None] = {
        "layouts/tiny-single.yaml": "a: [",
        "effects/.smell.yaml.swp": b"\xff",
    }

    assert tiny_library(tmp_path, changes).edition == tiny_library(tmp_path / "x").edition


def test_all_problems_of_all_files_are_told_in_file_order(tmp_path: Path) -> None:
    """One load, one list, sorted by place; nothing is found only on the second try."""
    root = write_tiny(
        tmp_path,
        {
            "effects/smell.yaml": "effect: smell\ntitle: [\n",
            "checks/test-gauge.yaml": None,
            "causes/filters/strainer-plugged.yaml": STRAINER.replace("often,", "oftn,").replace(
                "part-kind: strainer", "part-kind: strainr"
            ),
        },
    )
    with pytest.raises(KnowledgeError) as caught:
        load_library(root, use_cache=False)

    files = [problem.origin.file for problem in caught.value.problems]
    assert files == sorted(files)
    assert set(files) == {
        "knowledge/causes/filters/strainer-plugged.yaml",
        "knowledge/causes/indication/pressure-gauge-low.yaml",
        "knowledge/effects/smell.yaml",
    }
    assert caught.value.exit_code == 3


def test_users_of_an_unreadable_file_are_not_blamed(tmp_path: Path) -> None:
    """A broken effect is one problem, not one for each row that names it."""
    root = write_tiny(tmp_path, {"effects/metering-pressure.yaml": "effect: [\n"})
    with pytest.raises(KnowledgeError) as caught:
        load_library(root, use_cache=False)

    assert [p.origin.file for p in caught.value.problems] == [
        "knowledge/effects/metering-pressure.yaml"
    ]


def test_the_odds_of_an_unreadable_cause_are_not_blamed(tmp_path: Path) -> None:
    """A tab in a cause is one mistake; judged.yaml, which names it, is none."""
    strainer = "causes/filters/strainer-plugged.yaml"
    odds = "odds: {strainer-plugged: 2, engine-pump-worn: 3}\n"
    root = write_tiny(tmp_path, {strainer: "cause:\t[", "judged.yaml": odds})
    with pytest.raises(KnowledgeError) as caught:
        load_library(root, use_cache=False)

    assert {p.origin.file for p in caught.value.problems} == {f"knowledge/{strainer}"}
