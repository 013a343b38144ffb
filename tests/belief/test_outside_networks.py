"""The belief against published networks and a reference library for exact inference."""

from __future__ import annotations

import random
import warnings
from collections.abc import Callable, Sequence
from itertools import combinations, product

import pytest
from belief.enumeration import Node, posterior
from belief.small_models import (
    OnePlace,
    _shown,
    distribution,
    random_findings,
    random_library,
)

from diagnose.belief import UNKNOWN, Belief, BeliefNet
from diagnose.model import GRADES, Effect, Finding, Library, Question

YN = ("yes", "no")

World = dict[str, tuple[tuple[str, ...], tuple[str, ...], float]]
"""Name of a state -> the causes that are there, their grades and its chance."""


def _yes(p: float) -> dict[str, float]:
    return {"yes": p, "no": 1.0 - p}


def _by(table: dict[tuple[str, ...], float]) -> Callable[..., dict[str, float]]:
    return lambda *parents: _yes(table[parents])


ASIA = [
    Node("asia", YN, (), lambda: _yes(0.01)),
    Node("smoke", YN, (), lambda: _yes(0.5)),
    Node("tub", YN, ("asia",), _by({("yes",): 0.05, ("no",): 0.01})),
    Node("lung", YN, ("smoke",), _by({("yes",): 0.1, ("no",): 0.01})),
    Node("bronc", YN, ("smoke",), _by({("yes",): 0.6, ("no",): 0.3})),
    Node("either", YN, ("tub", "lung"), lambda t, x: _yes(float("yes" in (t, x)))),
    Node("xray", YN, ("either",), _by({("yes",): 0.98, ("no",): 0.05})),
    Node(
        "dysp", YN, ("either", "bronc"),
        _by({("yes", "yes"): 0.9, ("yes", "no"): 0.7, ("no", "yes"): 0.8, ("no", "no"): 0.1}),
    ),
]  # fmt: skip

COLUMNS = ("tub", "lung", "bronc", "either", "xray", "dysp", "smoke")
TABLE = {
    "": (0.010400, 0.055000, 0.450000, 0.064828, 0.110290, 0.435971, 0.5),
    "A": (0.050000, 0.055000, 0.450000, 0.102250, 0.145093, 0.450137, 0.5),
    "D": (0.018845, 0.102759, 0.833967, 0.120536, 0.162098, None, 0.633997),
    "A,D": (0.087751, 0.099525, 0.811402, 0.182300, 0.219539, None, 0.625920),
    "A,X": (0.337716, 0.371487, 0.491102, 0.690628, None, 0.681101, 0.637007),
    "A,D,~X": (0.002249, 0.002550, 0.862761, 0.004672, None, None, 0.604512),
    "A,D,X": (0.391712, 0.444271, 0.628822, 0.813769, None, None, 0.702025),
    "D,X": (0.113933, 0.621253, 0.681869, 0.728725, None, None, 0.785610),
    "A,S,D": (0.072760, 0.145519, 0.867258, 0.211003, 0.246232, None, None),
}
LETTER = {"A": "asia", "D": "dysp", "X": "xray", "S": "smoke"}


@pytest.mark.outside
@pytest.mark.parametrize("known", TABLE)
def test_enumeration_gives_the_chest_clinic_table(known: str) -> None:
    """Lauritzen & Spiegelhalter (1988), tables as published; nine rows of evidence to 1e-6."""
    evidence = {
        LETTER[k.lstrip("~")]: "no" if k.startswith("~") else "yes" for k in known.split(",") if k
    }
    for column, value in zip(COLUMNS, TABLE[known], strict=True):
        if value is not None:
            assert posterior(ASIA, column, evidence)["yes"] == pytest.approx(value, abs=1e-6)


def _as_network(lib: Library, findings: Sequence[Finding]) -> tuple[list[Node], World, float]:
    """Write our model out as a network: which causes, at which grades, then effects, then signs."""
    names = list(lib.causes)
    odds = {n: lib.causes[n].how_common / (1 - lib.causes[n].how_common) for n in names}
    scale = 0.1 / sum(odds.values())
    odds = {n: o * scale for n, o in odds.items()}
    sets = [*((n,) for n in names), *combinations(names, 2)]
    share = 1.0 - lib.words.shares["not-in-the-knowledge"]
    weight = {s: odds[s[0]] * (odds[s[1]] if len(s) == 2 else 1.0) for s in sets}
    z = sum(weight.values())
    states: World = {}
    for s in sets:
        for grades in product(GRADES, repeat=len(s)):
            p = share * weight[s] / z
            for c, g in zip(s, grades, strict=True):
                p *= lib.causes[c].severity[g]
            states["+".join(f"{c}.{g}" for c, g in zip(s, grades, strict=True))] = (s, grades, p)
    nodes = [Node("world", tuple(states), (), lambda: {k: v[2] / share for k, v in states.items()})]
    for e in lib.effects.values():

        def row(world: str, e: Effect = e) -> dict[str, float]:
            s, grades, _ = states[world]
            nets = [
                {r.value: r.how_often[g] for r in lib.causes[c].produces if r.effect == e.id}
                for c, g in zip(s, grades, strict=True)
            ]
            return distribution(e, nets)

        nodes.append(Node(e.id, e.values, ("world",), row))
    for f in findings:
        q = lib.questions[f.question]

        def sign(world: str, value: str, f: Finding = f, q: Question = q) -> dict[str, float]:
            there = dict(zip(*states[world][:2], strict=True))
            told = {c: type(f)(q.id, f.at, c, f.state, f.known_by) for c in q.classes}
            return {c: _shown(lib, q, value, t, there) for c, t in told.items()}

        nodes.append(Node(q.id, tuple(q.classes), ("world", q.reads), sign))
    return nodes, states, share


def _ours_without_the_stranger(lib: Library, findings: Sequence[Finding]) -> dict[str, float]:
    post = Belief(BeliefNet(lib, OnePlace())).update(findings)
    marginal = {c.cause: float(m) for c, m in zip(post.causes, post.marginal, strict=True)}
    listed = 1.0 - marginal.pop(UNKNOWN.cause)
    return {c: m / listed for c, m in marginal.items()}


@pytest.mark.outside
@pytest.mark.parametrize("seed", range(6))
def test_belief_equals_the_reference_library_on_random_nets(seed: int) -> None:
    """Variable elimination in pgmpy on our model written out as a network agrees to 1e-12."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        factors = pytest.importorskip("pgmpy.factors.discrete")
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork as Network

        rng = random.Random(seed)
        lib = random_library(rng, n_causes=4, n_effects=3)
        findings = random_findings(rng, lib, several=0.0)
        nodes, states, _ = _as_network(lib, findings)
        net = Network([(p, n.name) for n in nodes for p in n.parents])
        net.add_node("world")
        by_name = {n.name: n for n in nodes}
        for n in nodes:
            parents = [by_name[p] for p in n.parents]
            combos = list(product(*(p.values for p in parents)))
            columns = [n.row(*c) for c in combos]
            table = [[col[v] for col in columns] for v in n.values]
            net.add_cpds(
                factors.TabularCPD(
                    n.name, len(n.values), table,
                    [p.name for p in parents] or None, [len(p.values) for p in parents] or None,
                    state_names={m.name: list(m.values) for m in (n, *parents)},
                )
            )  # fmt: skip
        evidence = {f.question: f.value for f in findings}
        got = VariableElimination(net).query(["world"], evidence=evidence, show_progress=False)
    marginal = dict.fromkeys(lib.causes, 0.0)
    for name, (causes, _, _) in states.items():
        for c in causes:
            marginal[c] += float(got.get_value(world=name))
    assert _ours_without_the_stranger(lib, findings) == pytest.approx(marginal, abs=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_belief_equals_the_enumeration_that_gives_the_chest_clinic(seed: int) -> None:
    """The oracle that reproduces the published table also reproduces our posterior."""
    rng = random.Random(100 + seed)
    lib = random_library(rng, n_causes=3, n_effects=2)
    findings = random_findings(rng, lib, several=0.0)
    nodes, states, _ = _as_network(lib, findings)
    got = posterior(nodes, "world", {f.question: f.value for f in findings})
    marginal = dict.fromkeys(lib.causes, 0.0)
    for name, (causes, _, _) in states.items():
        for c in causes:
            marginal[c] += got[name]
    assert _ours_without_the_stranger(lib, findings) == pytest.approx(marginal, abs=1e-12)
