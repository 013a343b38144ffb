"""A finding told of one of two engines, not known which: held against enumeration of everything."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, product
from typing import cast

import numpy as np
import pytest
from belief.small_models import cause, distribution, library, words
from hypothesis import given, settings
from hypothesis import strategies as st
from rules.rules_kit import FakePlaces, found, question, sign, symptom, two_sides
from rules.rules_kit import library as rule_library

from diagnose.belief import Belief, BeliefNet, Held, Mixed, Posterior
from diagnose.errors import UsageError
from diagnose.in_places import MOST_WAYS, denied_everywhere, told_each
from diagnose.model import GRADES, CauseAt, Finding, Library, Produces
from diagnose.places import Places
from diagnose.planner.actions import Reading
from diagnose.planner.outlook import Outlook, reading_table
from diagnose.rules import RuleBase

seeds = st.integers(0, 10**6)
ENGINES = ("engine-1", "engine-2")
LAYOUT = two_sides(2)
PLACES = cast(Places, FakePlaces(LAYOUT))


def random_world(seed: int, strangers: float = 0.0) -> tuple[Library, list[Finding]]:
    """Return causes at two pumps that act on either engine, and findings, one or two left open."""
    rng = random.Random(seed)
    pairs = [question(f"q{k}", ("normal", "low", "high"), depends_on=()) for k in range(3)]
    pairs += [(e, replace(q, id=f"r{q.id}", shows={v: {} for v in e.values})) for e, q in pairs]
    for effect, q in pairs:
        for v in effect.values:
            raw = [rng.uniform(0.05, 1.0) for _ in q.classes]
            q.shows[v].update(  # type: ignore[attr-defined]  # a plain dict, filled in here
                {c: r / sum(raw) for c, r in zip(q.classes, raw, strict=True)}
            )
    causes = []
    for k in range(3):
        rows = [
            Produces(f"q{rng.randrange(3)}", v, at, {g: rng.uniform(0.0, 0.45) for g in GRADES}, {})
            for v in ("low", "high")
            for at in ("its-engine", "other-engines")
            if rng.random() < 0.7
        ]
        once = {(r.effect, r.value, r.at): r for r in rows}
        made = cause(f"c{k}", rng.choice([0.3, 0.1, 0.02]), list(once.values()))
        causes.append(replace(made, part_kinds=("engine-pump",)))
    nothing = {"not-fuel": 0.0, "not-in-the-knowledge": strangers, "no-fault": 0.0}
    lib = library([e for e, _ in pairs[:3]], [q for _, q in pairs], causes, words(shares=nothing))
    told = []
    asked = [name for name in lib.questions if name.startswith("q")]
    for name in asked:
        for at in ENGINES:
            if rng.random() < 0.35:
                told.append(found(name, rng.choice(("normal", "low", "high")), at))
    for name in rng.sample(asked, rng.choice((1, 1, 2))):
        told.insert(
            rng.randrange(len(told) + 1),
            replace(
                found(name, rng.choice(("normal", "low", "high")), "aeroplane", "told"),
                one_of_places=ENGINES,
                others_normal=rng.random() < 0.3,
            ),
        )
    return lib, told


def weighed(lib: Library, findings: Sequence[Finding]) -> tuple[Held, Posterior]:
    """Return the belief of every way, and of them all."""
    each = told_each(findings, lib)
    beliefs = [Belief(BeliefNet(lib, PLACES)) for _ in each]
    posteriors = [b.update(way) for b, way in zip(beliefs, each, strict=True)]
    if len(each) == 1:
        return beliefs[0], posteriors[0]
    mixed = Mixed(beliefs, posteriors)
    return mixed, mixed.posterior()


# ------------------------------------------------------------------ the oracle: plain loops


def enumerated(lib: Library, findings: Sequence[Finding]) -> dict[str, float]:
    """Return P(cause is there | findings) over every hypothesis, grade, value and place."""
    names = [CauseAt(c, f"pump-{n}") for c in lib.causes for n in (1, 2)]
    p = {c: lib.causes[c.cause].how_common / 2 for c in names}
    odds = {c: x / (1 - x) for c, x in p.items()}
    scale = 0.1 / sum(odds.values())
    odds = {c: o * scale for c, o in odds.items()}
    mass: dict[tuple[CauseAt, ...], float] = {
        (c,): odds[c] * chance(lib, findings, (c,)) for c in names
    }
    for a, b in combinations(names, 2):
        mass[a, b] = odds[a] * odds[b] * chance(lib, findings, (a, b))
    z = sum(mass.values())
    return {str(c): sum(m for h, m in mass.items() if c in h) / z for c in names}


def chance(lib: Library, findings: Sequence[Finding], there: Sequence[CauseAt]) -> float:
    """Return P(findings | exactly these causes): the mean over what each open finding may mean."""
    sure = [f for f in findings if not f.one_of_places]
    ways = list(product(ENGINES, repeat=len(findings) - len(sure)))
    left = [f for f in findings if f.one_of_places]
    total = 0.0
    for places in ways:
        seen: dict[tuple[str, str], tuple[str, str]] = {
            (f.question, f.at): (f.value, f.known_by) for f in sure
        }
        possible = True
        for f, at in zip(left, places, strict=True):
            other = ENGINES[1 - ENGINES.index(at)]
            if (f.question, at) in seen:
                possible = possible and seen[f.question, at][0] == f.value
            else:
                seen[f.question, at] = (f.value, f.known_by)
            if f.others_normal and (f.question, other) not in seen:
                row = lib.questions[f.question].shows["normal"]
                seen[f.question, other] = (max(row, key=lambda c: (row[c], c)), f.known_by)
        if possible:
            total += given_places(lib, seen, there) / len(ways)
    return total


def given_places(
    lib: Library, seen: dict[tuple[str, str], tuple[str, str]], there: Sequence[CauseAt]
) -> float:
    """Return P(the signs seen | these causes), summed over their grades and the hidden values."""
    out = 0.0
    for grades in product(GRADES, repeat=len(there)):
        weight = math.prod(
            lib.causes[c.cause].severity[g] for c, g in zip(there, grades, strict=True)
        )
        for (q, at), (value, known_by) in seen.items():
            trust = lib.words.trust[known_by]
            nets = [
                {
                    r.value: r.how_often[g]
                    for r in lib.causes[c.cause].produces
                    if r.effect == q and (at[-1] == c.at[-1]) == (r.at == "its-engine")
                }
                for c, g in zip(there, grades, strict=True)
            ]
            shows = lib.questions[q].shows
            hidden = distribution(lib.effects[q], nets)
            weight *= sum(
                p * (trust * shows[v][value] + (1 - trust) * shows["normal"][value])
                for v, p in hidden.items()
            )
        out += weight
    return out


@given(seeds)
@settings(max_examples=60)
def test_posterior_equals_enumeration_of_every_place_it_may_be_at(seed: int) -> None:
    """Singles and pairs agree with plain loops over hypotheses, grades, values and places."""
    lib, findings = random_world(seed)
    if denied_everywhere(findings, lib):
        return  # it says nothing then, which has a test of its own
    plain = enumerated(lib, findings)
    _, post = weighed(lib, findings)
    ours = {str(c): m for c, m in zip(post.causes, post.marginal, strict=True)}
    for name, p in plain.items():
        assert ours[name] == pytest.approx(p, abs=1e-11)


@given(seeds)
@settings(max_examples=40)
def test_what_the_planner_expects_of_an_answer_is_what_it_would_change(seed: int) -> None:
    """P(class | cause, data) equals P(data, class | cause) / P(data | cause) for every cause.

    Asked is the other question on each effect, as a gauge is where a lamp was told of.
    """
    lib, findings = random_world(seed, strangers=0.2)
    belief, before = weighed(lib, findings)
    each = told_each(findings, lib)
    ways = belief.beliefs if isinstance(belief, Mixed) else (belief,)
    for q, at in product((x for x in lib.questions if x.startswith("r")), ENGINES):
        table = reading_table(belief, Reading(q, at))
        rows = Outlook(belief, before).given(table).reshape(len(before.causes), 3, -1)
        ours = np.einsum("ng,ngc->nc", before.grades, rows)
        for k, value in enumerate(table.classes):
            look = found(q, value, at, "measured")
            after = [b.update([*way, look]) for b, way in zip(ways, each, strict=True)]
            there = sum(math.exp(p.evidence) * p.single for p in after) / len(after)
            expected = there / np.maximum(math.exp(before.evidence) * before.single, 1e-300)
            assert ours[:, k] == pytest.approx(expected, abs=1e-9)
        for b, way in zip(ways, each, strict=True):
            b.update(way)


@given(seeds)
@settings(max_examples=30)
def test_the_factors_told_by_why_multiply_to_the_whole(seed: int) -> None:
    """Odds against none of our causes: each factor once, the ways of an open finding as one."""
    lib, findings = random_world(seed)
    graded = {c: replace(k, severity={"slight": 1.0, "half": 0.0, "severe": 0.0})
              for c, k in lib.causes.items()}  # fmt: skip
    lib = replace(lib, causes=graded)
    belief, _ = weighed(lib, findings)
    none = chance(lib, findings, ())
    if not none:
        return
    for c in (CauseAt(c, f"pump-{n}") for c in lib.causes for n in (1, 2)):
        ratio = chance(lib, findings, (c,)) / none
        assert math.prod(t for _, t in belief.weight_of(c)) == pytest.approx(ratio, rel=1e-9)


# ------------------------------------------------------------------ what it means


LAMP = question("lamp", ("out", "lit"), depends_on=("power",))
OPEN = replace(found("lamp", "lit", "aeroplane", "told", power="high"), one_of_places=ENGINES)
BOOK = rule_library([LAMP], [symptom("warned", sign("lamp", "lit"), stops="stop")])


def meant(*findings: Finding) -> list[list[tuple[str, str]]]:
    """Return what each way says: (place, value) of what is answered."""
    return [[(f.at, f.value) for f in way if f.value] for way in told_each(findings, BOOK)]


def test_a_place_answered_outright_rules_there() -> None:
    """Out at one: it was the other.  Lit at one: that may be what was seen, and counts once."""
    one = found("lamp", "out", "engine-1", power="high")
    lit = replace(one, value="lit")
    elsewhere = found("lamp", "out", "engine-1", power="low")

    assert meant(OPEN) == [[("engine-1", "lit")], [("engine-2", "lit")]]
    assert meant(OPEN, one) == [[("engine-2", "lit"), ("engine-1", "out")]]
    assert meant(one, OPEN) == [[("engine-1", "out"), ("engine-2", "lit")]]
    assert meant(OPEN, lit) == [[("engine-1", "lit")], [("engine-2", "lit"), ("engine-1", "lit")]]
    assert len(meant(OPEN, elsewhere)) == 2  # another run state says nothing of this one


def test_what_all_its_places_deny_says_nothing_and_is_told() -> None:
    """Both lamps known to be out in that state: the report contradicts them."""
    both = [found("lamp", "out", at, power="high") for at in ENGINES]

    assert meant(OPEN, *both) == [[("engine-1", "out"), ("engine-2", "out")]]
    assert denied_everywhere([OPEN, *both], BOOK) == (OPEN,)
    assert denied_everywhere([OPEN, both[0]], BOOK) == ()


def test_too_many_ways_are_refused_in_one_line() -> None:
    """Each way is weighed by itself, so their number has an end."""
    many = [OPEN] * (int(math.log2(MOST_WAYS)) + 1)
    with pytest.raises(UsageError, match="name the place of one of these findings"):
        told_each(many, BOOK)


def test_rules_conclude_nothing_of_either_place_but_tell_a_stop_that_may_be_meant() -> None:
    """Engine and plain evaluator alike; the stop is shown as in dispute."""
    base = RuleBase.compile(BOOK, LAYOUT, PLACES)
    session = base.session()
    session.set(0, OPEN)
    outcome = session.outcome()
    assert outcome == base.plain.outcome({0: OPEN})
    assert outcome.verdict("warned", "engine-1") is None
    assert {(s.at, s.disputed) for s in outcome.stops} == {(at, True) for at in ENGINES}
