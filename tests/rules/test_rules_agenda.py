"""The agenda and matcher under the rules: exact, reproducible, and leaving no trace behind."""

from __future__ import annotations

import itertools
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

from diagnose.rules.matcher import IndexedMatcher
from diagnose.rules.shim import NOT, Fact, KnowledgeEngine, PlainRule, Rule, StableStrategy

ROOT = Path(__file__).resolve().parents[2]


class Thing(Fact):  # type: ignore[misc]  # experta has no type hints
    """A fact with one number, as text."""


def engine_of(rules: list[tuple[Any, ...]], rule_type: type = Rule) -> Any:
    """An engine of ours whose rule k notes k when its patterns hold."""

    def noting(k: int) -> Any:
        def act(self: Any, /, **_: Any) -> None:
            self.fired.append(k)

        act.order = k  # type: ignore[attr-defined]  # rules take it over from their function
        return act

    names: dict[str, Any] = {"__strategy__": StableStrategy, "__matcher__": IndexedMatcher}
    for k, patterns in enumerate(rules):
        names[f"rule:{k}"] = rule_type(*patterns)(noting(k))
    engine = type("Noting", (KnowledgeEngine,), names)()
    engine.fired = []
    engine.reset()
    return engine


def test_a_rule_whose_condition_no_longer_holds_never_fires() -> None:
    """Eight rules 'no fact k'; a fact that comes before the run silences its rule and no other.

    The stock agenda loses track of activations with equal keys and fires the wrong one
    (reported as issues 3 and 10 of the library).
    """
    for present in range(8):
        engine = engine_of([(NOT(Thing(c=str(k))),) for k in range(8)])
        engine.declare(Thing(c=str(present)))
        engine.run()

        assert sorted(engine.fired) == [k for k in range(8) if k != present]


def test_rules_with_absent_facts_agree_with_a_loop_through_declare_and_retract() -> None:
    """Random rules 'has these, lacks those' fire exactly as set arithmetic says."""
    for seed in range(60):
        rng = random.Random(seed)
        needs = [set(rng.sample(range(5), rng.choice((1, 2)))) for _ in range(8)]
        lacks = [set(rng.sample(range(5), rng.choice((0, 1, 2)))) - n for n in needs]
        rules = [
            (*(Thing(c=str(i)) for i in sorted(n)), *(NOT(Thing(c=str(i))) for i in sorted(x)))
            for n, x in zip(needs, lacks, strict=True)
        ]
        engine = engine_of(rules)
        there: dict[int, Any] = {}
        for _ in range(8):
            k = rng.randrange(5)
            if k in there:
                engine.retract(there.pop(k))
            else:
                there[k] = engine.declare(Thing(c=str(k)))
        engine.run()

        assert sorted(engine.fired) == [
            r
            for r, (n, x) in enumerate(zip(needs, lacks, strict=True))
            if n <= set(there) and not x & set(there)
        ]


def test_ties_fire_in_the_order_of_the_rules() -> None:
    """Rules on the same fact fire in the order they were written in."""
    for rule_type in (Rule, PlainRule):
        engine = engine_of([(Thing(c="1"),)] * 12, rule_type)
        engine.declare(Thing(c="1"))
        engine.run()

        assert engine.fired == list(range(12))


def test_plain_rules_of_one_class_serve_several_engines() -> None:
    """Two engines of one class do not see each other's facts."""
    first = engine_of([(Thing(c="1"), Thing(c="2"))], PlainRule)
    second = type(first)()
    second.fired = []
    second.reset()
    for engine, things in ((first, "12"), (second, "1")):
        for c in things:
            engine.declare(Thing(c=c))
    first.run()
    second.run()

    assert (first.fired, second.fired) == ([0], [])


def test_index_changes_no_result_when_many_literals_share_a_field() -> None:
    """With more literals than are tried one by one, each fact still reaches just its rules."""
    pairs = list(itertools.combinations(range(6), 2))
    engine = engine_of([(Thing(c=str(a)), Thing(c=str(b))) for a, b in pairs], PlainRule)
    for c in "0135":
        engine.declare(Thing(c=c))
    engine.run()

    assert {pairs[k] for k in engine.fired} == {(0, 1), (0, 3), (0, 5), (1, 3), (1, 5), (3, 5)}


def test_import_leaves_logging_and_collections_as_they_were() -> None:
    """The library adds a root handler and needs an old name; neither stays behind."""
    code = (
        "import collections, logging, diagnose.rules\n"
        "assert logging.getLogger().handlers == [], logging.getLogger().handlers\n"
        "assert not hasattr(collections, 'Mapping')\n"
    )
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", code], cwd=ROOT, capture_output=True, text=True
    )

    assert done.returncode == 0, done.stderr
