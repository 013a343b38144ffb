"""Conditions: ways, strata, and what is refused at load."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rules.rules_kit import (
    FakePlaces,
    both,
    cause,
    either,
    library,
    lower,
    no,
    question,
    sign,
    symptom,
    two_sides,
)

from diagnose.errors import KnowledgeError
from diagnose.model import Combination, Condition, Literal, literals_of
from diagnose.rules import RuleBase
from diagnose.rules.book import Book
from diagnose.rules.conditions import CAP, key_of, strata, ways

NAMES = ("a", "b", "c", "d")
LEAVES = st.sampled_from([sign(n, "low") for n in NAMES])
TREES = st.recursive(
    LEAVES,
    lambda t: st.one_of(
        st.lists(t, min_size=1, max_size=3).map(lambda p: both(*p)),
        st.lists(t, min_size=1, max_size=3).map(lambda p: either(*p)),
        t.map(no),
    ),
    max_leaves=6,
)
PAIRS = st.fixed_dictionaries({n: st.tuples(st.booleans(), st.booleans()) for n in NAMES})


def kleene(condition: Condition, known: dict[str, tuple[bool, bool]]) -> tuple[bool, bool]:
    """(known true, known false) by the truth tables: the dual of each side is kept apart."""
    if isinstance(condition, Literal):
        return known[condition.name]
    parts = [kleene(p, known) for p in condition.parts]
    if condition.op == "not":
        return parts[0][1], parts[0][0]
    sides = list(zip(*parts, strict=True))
    if condition.op == "all":
        return all(sides[0]), any(sides[1])
    return any(sides[0]), all(sides[1])


@given(TREES, PAIRS)
def test_ways_hold_exactly_when_the_truth_tables_say_so(
    tree: Condition, known: dict[str, tuple[bool, bool]]
) -> None:
    """For every mixture of true, false, unknown and disputed signs, both sides are exact."""
    found = tuple(
        any(
            all(kleene(lit, known)[0 if side else 1] for lit, side in way)
            for way in ways(tree, want)
        )
        for want in (True, False)
    )

    assert found == kleene(tree, known)


@given(TREES)
def test_no_way_contains_another(tree: Condition) -> None:
    """A way that needs more than another is dropped: it could never add anything."""
    for want in (True, False):
        sets = [{(key_of(lit), side) for lit, side in way} for way in ways(tree, want)]

        assert not any(a < b for a in sets for b in sets)


def test_a_sign_or_its_opposite_stays_unknown_without_a_finding() -> None:
    """Strong Kleene, not case analysis: 'low or not low' is not known before it is looked at."""
    tree = either(sign("a", "low"), no(sign("a", "low")))

    assert kleene(tree, {"a": (False, False)}) == (False, False)
    assert [len(way) for way in ways(tree, True)] == [1, 1]


def test_strata_put_every_symptom_above_those_it_rests_on() -> None:
    """Symptoms without lower symptoms come first; ids are sorted within a layer."""
    symptoms = [
        symptom("top", both(lower("middle"), sign("a", "low"))),
        symptom("middle", lower("floor")),
        symptom("floor", sign("a", "low")),
        symptom("another", sign("a", "low")),
    ]

    assert strata({s.id: s for s in symptoms}) == (("another", "floor"), ("middle",), ("top",))


def test_a_loop_is_refused_with_its_files_and_its_way_round() -> None:
    """The message tells every file of the loop and the loop itself."""
    symptoms = [
        symptom("first", lower("second")),
        symptom("second", no(lower("third"))),
        symptom("third", both(lower("first"), sign("a", "low"))),
    ]

    with pytest.raises(KnowledgeError) as caught:
        Book(library([question("a")], symptoms), two_sides(), FakePlaces(two_sides()))
    lines = str(caught.value).splitlines()
    assert [line.split(":")[0] for line in lines] == [
        "symptoms/first.yaml",
        "symptoms/second.yaml",
        "symptoms/third.yaml",
    ]
    round_trip = lines[0].split("rests on itself: ")[1].split(".")[0].split(" -> ")
    needs = {"first": "second", "second": "third", "third": "first"}
    assert round_trip[0] == round_trip[-1]
    assert all(needs[a] == b for a, b in itertools.pairwise(round_trip))


def test_all_problems_are_told_at_once_with_the_nearest_names() -> None:
    """Unknown questions, classes, symptoms, causes, effects and empty conditions come together."""
    bad = library(
        [question("fuel-pressure")],
        [
            symptom("one", both(sign("fuel-presure", "low"), lower("ones"))),
            symptom("two", sign("fuel-pressure", "lo"), points_to=("pump-wron",)),
            symptom("three", Combination("all", ())),
        ],
        [
            cause("pump-worn", "engine-pump", ("fuel-pressur", "low", "its-engine", {})),
            cause("gauge-off", "pressure-gauge", distorts=("fuel-pres",)),
        ],
    )

    with pytest.raises(KnowledgeError) as caught:
        RuleBase.compile(bad, two_sides(), FakePlaces(two_sides()))
    text = str(caught.value)
    for part in (
        "symptoms/fuel-presure.yaml:1:1: 'fuel-presure' is not a known question or check; "
        "did you mean 'fuel-pressure'?",
        "'ones' is not a known symptom; did you mean 'one'?",
        "'lo' is not a class of 'fuel-pressure'; did you mean 'low'?",
        "'pump-wron' is not a known cause; did you mean 'pump-worn'?",
        "'all' of symptom 'three' has no conditions",
        "causes/pump-worn.yaml:10:5: 'fuel-pressur' is not a known effect",
        "causes/gauge-off.yaml:50:5: 'fuel-pres' is not a known question",
    ):
        assert part in text


def test_a_symptom_with_too_many_alternatives_is_refused_by_name() -> None:
    """2 to the 7th ways are more than the cap; the message names the file and the remedy."""
    questions = [question(f"q{k}") for k in range(14)]
    pairs = [either(sign(f"q{k}", "low"), sign(f"q{k + 1}", "low")) for k in range(0, 14, 2)]
    wide = library(questions, [symptom("wide", both(*pairs))])

    assert 2 ** len(pairs) > CAP
    with pytest.raises(
        KnowledgeError, match=r"symptoms/wide.yaml:1:1: symptom 'wide' has too many"
    ):
        Book(wide, two_sides(), FakePlaces(two_sides()))


def test_an_unknown_relation_is_found_at_load_not_in_use() -> None:
    """A literal that looks along no known relation is a problem of its file."""
    odd = library([question("a")], [symptom("s", sign("a", "low", at="nearby"))])

    with pytest.raises(KnowledgeError, match=r"symptoms/a.yaml:1:1: 'nearby' is not a relation"):
        Book(odd, two_sides(), FakePlaces(two_sides()))


def test_literals_are_listed_as_written() -> None:
    """Every literal of a tree is found, repeats included."""
    tree = both(sign("a", "low"), no(either(sign("a", "low"), lower("s"))))

    assert [lit.name for lit in literals_of(tree)] == ["a", "a", "s"]
