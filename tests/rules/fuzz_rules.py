"""Random libraries and random jobs: our engine against the plain evaluator, after every answer.

Run as a script by ``test_rules_fuzz`` under several hash seeds: prints how many outcomes were
compared, how many symptoms were known, and a digest of every outcome and firing order.
"""

from __future__ import annotations

import hashlib
import random
import sys
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from rules.rules_kit import (  # noqa: E402 - the path is set above
    FakePlaces,
    both,
    cause,
    either,
    found,
    library,
    lower,
    no,
    question,
    sign,
    symptom,
    together,
    two_sides,
)

from diagnose.model import AEROPLANE, Condition, Finding, Library  # noqa: E402
from diagnose.rules import RuleBase  # noqa: E402

KINDS = ("engine", "engine", "engine", "tank", AEROPLANE)
RELATIONS = {
    "engine": ("itself", "itself", "itself", "other-engines", "its-tank", AEROPLANE),
    "tank": ("itself", "engines-fed-through-it", AEROPLANE),
    AEROPLANE: ("itself",),
}
REACHED = {"other-engines": "engine", "its-tank": "tank", "engines-fed-through-it": "engine"}


DIMENSIONS = ((), ("power",), ("booster", "tank"), ("power", "booster", "crossfeed", "heat"))


def random_library(rng: random.Random) -> Library:
    """Six questions, twelve symptoms in chains, eight causes."""
    kinds = {f"q{k}": rng.choice(KINDS) for k in range(6)}
    kinds["q0"], kinds["q1"] = "engine", "tank"
    questions = []
    for name, kind in kinds.items():
        depends = rng.choice(DIMENSIONS)
        instruments = ("pressure-gauge",) if rng.random() < 0.3 else ()
        questions.append(question(name, ("normal", "low", "high"), kind, depends, instruments))
    floors: dict[str, str] = {}

    def literal(at: str, within: str = "") -> Condition:
        """A literal; ``within`` a run state: a sign, of that booster setting if of any."""
        for _ in range(20):
            relation = rng.choice(RELATIONS[at])
            there = REACHED.get(relation, AEROPLANE if relation == AEROPLANE else at)
            below = [s for s, kind in floors.items() if kind == there]
            every = rng.random() < 0.4
            least = rng.choice((1, 1, 1, 1, 1, 1, 2))
            if below and not within and rng.random() < 0.4:
                return lower(rng.choice(below), relation, every, least)
            asked = [q for q, kind in kinds.items() if kind == there]
            if asked:
                values = rng.sample(("normal", "low", "high"), rng.choice((1, 1, 2)))
                booster = within or rng.choice(("off", "on"))
                state = {"booster": booster} if rng.random() < 0.4 else {}
                return sign(
                    rng.choice(asked), *values, at=relation, every=every, least=least, **state
                )
        return sign("q0", "low", at="itself")

    def tree(at: str, depth: int, within: str = "") -> Condition:
        if depth == 0 or rng.random() < 0.3:
            return literal(at, within)
        if not within and rng.random() < 0.25:
            booster = rng.choice(("off", "on"))
            return together(*(tree(at, depth - 1, booster) for _ in range(rng.choice((2, 2, 3)))))
        parts = [tree(at, depth - 1, within) for _ in range(rng.choice((1, 2, 2, 3)))]
        return rng.choice((both(*parts), either(*parts), no(parts[0])))

    causes = [
        cause(
            f"c{k}",
            rng.choice(("strainer", "engine-pump", "tank")),
            *(
                (
                    f"q{rng.randrange(6)}",
                    rng.choice(("low", "high")),
                    rng.choice(("its-engine", "engines-fed-through-it", "itself")),
                    {"booster": ("off",)} if rng.random() < 0.5 else {},
                )
                for _ in range(3)
            ),
        )
        for k in range(6)
    ]
    causes += [cause(f"g{k}", "pressure-gauge", distorts=(f"q{k}",)) for k in range(2)]
    symptoms = []
    for k in range(12):
        at = rng.choice(KINDS)
        named = rng.sample([c.id for c in causes], 3)
        symptoms.append(
            symptom(
                f"s{k:02}",
                tree(at, 2),
                at,
                points_to=(named[0],),
                against=(named[1],),
                never_with=(named[2],),
                warns="mind" if k % 3 == 0 else "",
                stops="stop" if k % 5 == 0 else "",
            )
        )
        floors[f"s{k:02}"] = at
    return library(questions, symptoms, causes)


def random_finding(rng: random.Random, book: Library, places: dict[str, list[str]]) -> Finding:
    """A finding anywhere, in any state, known in any way, in one of two epochs."""
    asked = book.questions[f"q{rng.randrange(6)}"]
    state = {}
    for dimension, values in (
        ("booster", ("off", "on")),
        ("crossfeed", ("shut", "open")),
        ("tank", ("tank-1", "tank-2")),
        ("power", ("low", "high")),
    ):
        if rng.random() < (0.7 if dimension == "booster" else 0.25):
            state[dimension] = rng.choice(values)
    made = found(
        asked.id,
        rng.choice(("normal", "low", "low", "high", "")),
        rng.choice(places[asked.at[0]]),
        rng.choice(("measured", "read", "seen", "told")),
        epoch=int(rng.random() < 0.2),
        others_normal=rng.random() < 0.15,
        **state,
    )
    if made.value and rng.random() < 0.15:
        some = tuple(rng.sample(("normal", "low", "high"), rng.choice((2, 2, 3))))
        made = replace(made, value=some[0], one_of=some)
    spots = places[asked.at[0]]
    if made.value and asked.at[0] != AEROPLANE and len(spots) > 1 and rng.random() < 0.08:
        made = replace(made, at=AEROPLANE, one_of_places=tuple(rng.sample(spots, 2)))
    return made


def main(bases: int, steps: int) -> None:
    """Compare ``steps`` outcomes for each of ``bases`` libraries and print the digest."""
    digest, known, conflicts, checked, deepest = hashlib.sha256(), 0, 0, 0, 0
    for seed in range(bases):
        rng = random.Random(seed)
        layout = two_sides(rng.choice((1, 2, 3)))
        book = random_library(rng)
        base = RuleBase.compile(book, layout, FakePlaces(layout))
        deepest = max(deepest, len(base.book.strata))
        places = {kind: list(base.book.places_of((kind,))) for kind in set(KINDS)}
        findings: dict[int, Finding] = {}
        session = base.session()
        for step in range(steps):
            key = rng.randrange(10)
            if findings and rng.random() < 0.25:
                key = rng.choice(sorted(findings))
                del findings[key]
                session.set(key, None)
            else:
                findings[key] = random_finding(rng, book, places)
                session.set(key, findings[key])
            outcome = session.outcome()
            expected = base.plain.outcome(findings)
            if outcome != expected:
                sys.exit(f"library {seed}, step {step}: engine and plain evaluator differ")
            checked += 1
            known += len(outcome.symptoms)
            conflicts += sum(s.verdict == "conflict" for s in outcome.symptoms.values())
            digest.update(repr((session.fired, outcome)).encode())
    print(checked, known, conflicts, deepest, digest.hexdigest())


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
