"""Textbook rule sets through our agenda and matcher, and through our own rules.

Animal identification: P. H. Winston, Artificial Intelligence, 2nd edition, 1984 (also Winston and
Horn, LISP); fifteen rules Z1 to Z15, retyped; the same set is used in the MIT course 6.034.
Monkey and bananas: task text and optimal steps in the CMU Artificial Intelligence Repository,
Soar tutorial, E. Altmann, 1990 (walk to the box, push it under, climb on, reach).
"""

from __future__ import annotations

from typing import Any

import pytest
from rules.rules_kit import FakePlaces, both, either, found, library, lower, question, sign, symptom

from diagnose.model import Condition, Layout, Part
from diagnose.rules import RuleBase
from diagnose.rules.matcher import IndexedMatcher
from diagnose.rules.shim import MATCH, Fact, KnowledgeEngine, Rule, StableStrategy

ANIMAL_RULES: dict[str, tuple[tuple[str, ...], str]] = {
    "Z01": (("hair",), "mammal"),
    "Z02": (("gives milk",), "mammal"),
    "Z03": (("feathers",), "bird"),
    "Z04": (("flies", "lays eggs"), "bird"),
    "Z05": (("mammal", "eats meat"), "carnivore"),
    "Z06": (("mammal", "pointed teeth", "claws", "eyes point forward"), "carnivore"),
    "Z07": (("mammal", "hoofs"), "ungulate"),
    "Z08": (("mammal", "chews cud"), "ungulate"),
    "Z09": (("carnivore", "tawny", "dark spots"), "cheetah"),
    "Z10": (("carnivore", "tawny", "black stripes"), "tiger"),
    "Z11": (("ungulate", "long legs", "long neck", "tawny", "dark spots"), "giraffe"),
    "Z12": (("ungulate", "white", "black stripes"), "zebra"),
    "Z13": (("bird", "does not fly", "long legs", "long neck", "black and white"), "ostrich"),
    "Z14": (("bird", "does not fly", "swims", "black and white"), "penguin"),
    "Z15": (("bird", "flies well"), "albatross"),
}

GIRAFFE = ("hair", "chews cud", "long legs", "long neck", "tawny", "dark spots")
TWO_BIRDS = ("feathers", "does not fly", "swims", "black and white", "long legs", "long neck")


class Seen(Fact):  # type: ignore[misc]  # experta has no type hints
    """Something observed or concluded of the one animal."""


def animal_engine() -> Any:
    """The fifteen rules in an engine of ours; each declares what it concludes."""

    def concluding(name: str, conclusion: str) -> Any:
        def act(self: Any, /, **_: Any) -> None:
            self.fired.append(name)
            self.declare(Seen(what=conclusion))

        act.__name__ = name
        return act

    names: dict[str, Any] = {"__strategy__": StableStrategy, "__matcher__": IndexedMatcher}
    for name, (needs, conclusion) in ANIMAL_RULES.items():
        names[name] = Rule(*(Seen(what=n) for n in needs))(concluding(name, conclusion))
    engine = type("Animals", (KnowledgeEngine,), names)()
    engine.fired = []
    return engine


def fired_on(observed: tuple[str, ...]) -> list[str]:
    """The rules that fire on ``observed``, in order."""
    engine = animal_engine()
    engine.reset()
    for what in observed:
        engine.declare(Seen(what=what))
    engine.run()
    fired: list[str] = engine.fired
    return fired


@pytest.mark.outside
def test_animal_rules_reach_the_giraffe_in_three_steps_and_nothing_else() -> None:
    """Winston's giraffe: hair gives mammal, chewing the cud ungulate, the looks the giraffe."""
    assert fired_on(GIRAFFE) == ["Z01", "Z08", "Z11"]


@pytest.mark.outside
def test_animal_rules_find_both_birds_when_both_fit() -> None:
    """A bird with the looks of two kinds is named as both: rules do not stop at the first."""
    assert sorted(fired_on(TWO_BIRDS)) == ["Z03", "Z13", "Z14"]


def test_animal_rules_agree_with_a_closure_loop_on_every_pair_of_observations() -> None:
    """On every pair of observables our engine fires what a plain closure loop fires."""
    concluded = {c for _, c in ANIMAL_RULES.values()}
    observables = sorted({n for needs, _ in ANIMAL_RULES.values() for n in needs} - concluded)
    engine = animal_engine()
    for a in observables:
        for b in observables:
            known, fires = {a, b, "mammal"}, set()
            while True:
                new = {
                    name
                    for name, (needs, _) in ANIMAL_RULES.items()
                    if name not in fires and known.issuperset(needs)
                }
                if not new:
                    break
                fires |= new
                known |= {ANIMAL_RULES[name][1] for name in new}
            engine.reset()
            engine.fired = []
            for what in sorted({a, b, "mammal"}):
                engine.declare(Seen(what=what))
            engine.run()
            assert set(engine.fired) == fires


def animal_base() -> RuleBase:
    """The same rules as symptoms of a layout with one animal."""
    concluded = {c for _, c in ANIMAL_RULES.values()}
    observables = {n for needs, _ in ANIMAL_RULES.values() for n in needs} - concluded

    def literal(need: str) -> Condition:
        if need in concluded:
            return lower(need)
        if need == "does not fly":
            return sign("flies", "no")
        return sign(need, "yes")

    ways: dict[str, list[Condition]] = {}
    for needs, conclusion in ANIMAL_RULES.values():
        ways.setdefault(conclusion, []).append(both(*(literal(n) for n in needs)))
    symptoms = [symptom(name, either(*found), at="animal") for name, found in ways.items()]
    asked = [
        question(o, ("no", "yes"), at="animal") for o in sorted(observables - {"does not fly"})
    ]
    part = Part("engine-1", "animal", "the animal")
    layout = Layout("zoo", "", True, "", {}, {part.id: part}, (), {}, (), "1")
    return RuleBase.compile(library(asked, symptoms), layout, FakePlaces(layout))


@pytest.mark.outside
@pytest.mark.parametrize(
    ("observed", "expected"),
    [
        (GIRAFFE, {"mammal", "ungulate", "giraffe"}),
        (TWO_BIRDS, {"bird", "ostrich", "penguin"}),
    ],
)
def test_symptoms_chain_to_the_textbook_animals(
    observed: tuple[str, ...], expected: set[str]
) -> None:
    """Written as symptoms, the rules conclude the textbook animals through two strata."""
    session = animal_base().session()
    for key, what in enumerate(observed):
        asked, value = ("flies", "no") if what == "does not fly" else (what, "yes")
        session.set(key, found(asked, value))
    outcome = session.outcome()

    assert {s for (s, _), item in outcome.symptoms.items() if item.verdict == "true"} == expected


class At(Fact):  # type: ignore[misc]  # experta has no type hints
    """Where a thing is, and on what."""


def monkey_engine() -> Any:
    """Four rules of our own for the task; each changes the state with ``modify``."""
    names: dict[str, Any] = {"__strategy__": StableStrategy, "__matcher__": IndexedMatcher}

    def walk(self: Any, m: Any, place: str) -> None:
        self.steps.append(f"walk to {place}")
        self.modify(m, place=place)

    def push(self: Any, m: Any, b: Any, goal: str) -> None:
        self.steps.append(f"push box to {goal}")
        self.modify(b, place=goal)
        self.modify(m, place=goal)

    def climb(self: Any, m: Any) -> None:
        self.steps.append("climb")
        self.modify(m, on="box")

    def reach(self: Any) -> None:
        self.steps.append("reach")

    monkey = {"thing": "monkey"}
    names["reach"] = Rule(
        At(thing="bananas", place=MATCH.place), At(**monkey, on="box", place=MATCH.place)
    )(reach)
    names["climb"] = Rule(
        At(thing="bananas", place=MATCH.place),
        At(thing="box", place=MATCH.place),
        "m" << At(**monkey, on="floor", place=MATCH.place),
    )(climb)
    names["push"] = Rule(
        At(thing="bananas", place=MATCH.goal),
        "b" << At(thing="box", place=MATCH.place & ~MATCH.goal),
        "m" << At(**monkey, on="floor", place=MATCH.place),
    )(push)
    names["walk"] = Rule(
        At(thing="box", place=MATCH.place),
        "m" << At(**monkey, on="floor", place=~MATCH.place),
    )(walk)
    engine = type("Monkey", (KnowledgeEngine,), names)()
    engine.steps = []
    return engine


@pytest.mark.outside
def test_monkey_gets_the_bananas_in_the_optimal_four_steps() -> None:
    """The published optimal sequence comes out, each rule firing once though facts are modified."""
    engine = monkey_engine()
    engine.reset()
    engine.declare(
        At(thing="bananas", place="bananas", on="ceiling"),
        At(thing="box", place="place2", on="floor"),
        At(thing="monkey", place="place1", on="floor"),
    )
    engine.run()

    assert engine.steps == ["walk to place2", "push box to bananas", "climb", "reach"]
