"""A finding whose class is one of several, not known which: 'lost power' is 'fades or stops'."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from belief.small_models import PLACE, OnePlace, random_findings, random_library
from hypothesis import given, settings
from hypothesis import strategies as st
from rules.meaning_kit import concluded
from rules.rules_kit import cause, found, library, no, question, sign, symptom

from diagnose.belief import Belief, BeliefNet
from diagnose.model import Finding, Library

seeds = st.integers(0, 10**6)


def _world(seed: int) -> tuple[Library, list[Finding], random.Random]:
    """Return random knowledge, findings on some questions but the last, and what drew them."""
    rng = random.Random(seed)
    lib = random_library(rng)
    last = list(lib.questions)[-1]
    return lib, [f for f in random_findings(rng, lib) if f.question != last], rng


@given(seeds, st.integers(1, 4))
@settings(max_examples=40)
def test_the_chance_of_one_of_several_classes_is_the_sum_of_theirs(seed: int, tries: int) -> None:
    """P(findings, a or b) = P(findings, a) + P(findings, b), whatever else is known."""
    lib, told, rng = _world(seed)
    q = list(lib.questions.values())[-1]
    a, b = rng.sample(list(q.classes), 2)
    belief = Belief(BeliefNet(lib, OnePlace()))

    def log_p(**what: object) -> float:
        asked = replace(Finding(q.id, PLACE, a, known_by="told"), **what)  # type: ignore[arg-type]
        return belief.update([*told, asked]).evidence

    either = log_p(one_of=(a, b))
    assert either == pytest.approx(math.log(math.exp(log_p()) + math.exp(log_p(value=b))), abs=1e-9)


@given(seeds)
@settings(max_examples=30)
def test_a_set_of_one_is_that_class_and_a_set_of_all_says_nothing(seed: int) -> None:
    """The posterior is that of the class alone, and that of not having asked."""
    lib, told, _ = _world(seed)
    q = list(lib.questions.values())[-1]
    classes = tuple(q.classes)
    belief = Belief(BeliefNet(lib, OnePlace()))
    alone = Finding(q.id, PLACE, classes[0])

    def marginals(*extra: Finding) -> list[float]:
        return [float(m) for m in belief.update([*told, *extra]).marginal]

    assert marginals(replace(alone, one_of=classes[:1])) == marginals(alone)
    assert marginals(replace(alone, one_of=classes)) == marginals()


@pytest.mark.parametrize(
    ("classes", "faded", "ran_well"),
    [
        (("low", "high"), None, "false"),  # outside the set: known false; within: unknown
        (("normal", "low"), None, None),
        (("low",), "true", "false"),
        (("normal", "low", "high"), None, None),
    ],
)
def test_rules_know_what_it_is_not_and_leave_open_what_it_may_be(
    classes: tuple[str, ...], faded: str | None, ran_well: str | None
) -> None:
    """Both evaluators: false for each class outside the set, unknown for each within it."""
    book = library(
        [question("power", ("normal", "low", "high"))],
        [
            symptom("faded", sign("power", "low"), "engine"),
            symptom("well", sign("power", "normal"), "engine"),
            symptom("amiss", no(sign("power", "normal")), "engine"),
            symptom("off", sign("power", "low", "high"), "engine"),
        ],
        [],
    )
    told = replace(found("power", classes[0]), one_of=classes)
    outcome = concluded(book, told, engines=1)

    assert outcome.verdict("faded", "engine-1") == faded
    assert outcome.verdict("well", "engine-1") == ran_well
    assert outcome.verdict("amiss", "engine-1") == ("true" if ran_well == "false" else None)
    # every class of the set is one of the rule's: it is known, though not which
    off = "true" if set(classes) <= {"low", "high"} else None
    assert outcome.verdict("off", "engine-1") == off


def test_a_class_of_the_set_told_as_well_is_no_contradiction() -> None:
    """'stopped', then 'lost power': they agree; 'ran well' disputes both."""
    book = library(
        [question("power", ("normal", "low", "high"))],
        [symptom("faded", sign("power", "low"), "engine")],
        [],
    )
    lost = replace(found("power", "low"), one_of=("low", "high"))

    assert not concluded(book, found("power", "high"), lost, engines=1).disputes
    assert concluded(book, found("power", "normal"), lost, engines=1).disputes


def test_a_stop_that_an_open_answer_may_mean_is_told_and_nothing_else_concluded() -> None:
    """'A smell, not known where' stops as a smell in the cabin does; it points to no cause."""
    book = library(
        [question("smell", ("none", "outside", "cabin"))],
        [
            symptom("danger", sign("smell", "cabin"), "engine", stops="out", points_to=("leak",)),
            symptom("calm", no(sign("smell", "cabin")), "engine", warns="calm"),
        ],
        [cause("leak", "engine-pump")],
    )
    for classes, stops in (
        (("outside", "cabin"), ["out"]),
        (("none", "outside"), []),
        (("none", "cabin"), ["out"]),
    ):
        told = replace(found("smell", classes[0]), one_of=classes)
        outcome = concluded(book, told, engines=1)
        assert [s.text for s in outcome.stops] == stops
        assert all(s.disputed for s in outcome.stops)
        assert not outcome.points or stops == []
