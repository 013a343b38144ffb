"""Several readings of one run typed on one line: all of it is understood, or none is kept."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.errors import UsageError
from diagnose.job.bundle import read_together
from diagnose.job.wording import action_words
from diagnose.planner import Action, Reading

SINGLE = "low-wing-single"


def readings() -> tuple[Reading, ...]:
    """Return pressure at idle, pressure at the run-up, and how the engine runs there."""
    wanted = (
        ("fuel-pressure", "engine", "idle-booster-off"),
        ("fuel-pressure", "engine", "run-up-booster-off"),
        ("engine-behaviour", "engine", "run-up-booster-off"),
    )
    known = {r.key: r for r in bench(SINGLE).planner.catalogue.readings}
    return tuple(known[key] for key in wanted)


@pytest.mark.parametrize(
    "typed",
    ["1: 6 psi, 3: fades", "3=fades;1=6 psi", "1: 6 psi 2: - 3: 2", "1:6 psi,2:not checked,3:2"],
)
def test_each_answer_finds_its_reading_and_the_rest_is_left_out(typed: str) -> None:
    """By colon or equals sign, in any order; '-' and what is not named are left out."""
    answers = read_together(typed, readings(), bench(SINGLE))

    assert {k: a.value for k, a in answers.items()} == {0: "normal", 2: "fades"}
    assert answers[0].typed == "6 psi"


def test_how_it_is_known_may_stand_behind_each() -> None:
    """As at any other answer."""
    answers = read_together("2: 2.5 psi measured, 3: fades told", readings(), bench(SINGLE))

    assert [a.known_by for a in answers.values()] == ["measured", "told"]


def test_everything_wrong_is_told_at_once() -> None:
    """A bare gallon, an unknown class, a line there is not, one that stands twice."""
    with pytest.raises(UsageError) as told:
        read_together("1: 3 gal, 3: poorly, 7: low, 1: low", readings(), bench(SINGLE))

    lines = [line.strip() for line in str(told.value).splitlines()]
    assert lines[0].startswith("1: 'gal' does not say which gallon")
    assert lines[1].startswith("3: 'poorly' is not one of the answers")
    assert lines[2:] == [
        "7: there is no such line; they go from 1 to 3.",
        "1: stands twice; which is right?",
        "Nothing of the line is kept; type it again.",
    ]


@pytest.mark.parametrize("typed", ["6 psi", "low, low", "then 1: low"])
def test_an_answer_of_no_reading_is_refused(typed: str) -> None:
    """Nothing is guessed from the order in which figures stand."""
    with pytest.raises(UsageError, match="stands without the number of its line"):
        read_together(typed, readings(), bench(SINGLE))


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("fades", "for how the engine runs, engine, type '3: fades'. Nothing"),
        ("6 psi, 5 psi", "type '1: 6 psi'; it could be any of the lines 1, 2."),
        ("poorly", "it is no answer to any line either"),
    ],
)
def test_an_answer_without_its_line_is_told_where_it_fits(typed: str, told: str) -> None:
    """The same words again would not tell a cold man what to type."""
    with pytest.raises(UsageError) as refused:
        read_together(typed, readings(), bench(SINGLE))
    assert told in str(refused.value)


@pytest.mark.parametrize("typed", ["not checked", "0", "don't know"])
def test_one_word_leaves_the_whole_run_out(typed: str) -> None:
    """As at any other question."""
    assert read_together(typed, readings(), bench(SINGLE)) == {}


def test_clean_alone_is_said_of_every_drain_of_a_walk_and_nothing_else_is() -> None:
    """One word for a tank and a strainer; water is somewhere, and a run is written by its lines."""
    b = bench(SINGLE)
    drains = [
        r
        for r in b.planner.catalogue.readings
        if r.question in ("tank-drain-sample", "strainer-drain-sample") and r.key[2] == "static"
    ]
    assert len(drains) == 3
    assert {a.value for a in read_together("clean", drains, b).values()} == {"clean"}
    with pytest.raises(UsageError, match="stands without the number of its line"):
        read_together("water", drains, b)
    with pytest.raises(UsageError, match="stands without the number of its line"):
        read_together("normal", readings(), b)


def test_what_is_read_at_different_parts_in_one_go_is_named_each_with_its_part() -> None:
    """A sample of the tank and one of the strainer on one walk are not two names and two parts."""
    b = bench(SINGLE)
    walk = {"tank-drain-sample": "left-tank", "strainer-drain-sample": "strainer"}
    known = {r.key: r for r in b.planner.catalogue.readings}
    go = Action(tuple(known[question, at, "static"] for question, at in walk.items()))
    assert action_words(b, go).startswith(
        "sample from the tank drain, left tank; sample from the strainer, main strainer ["
    )
