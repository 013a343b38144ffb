"""The belief on published networks that come inside the pgmpy wheel, against its exact inference.

Where several nodes hang on one node alone, that node's states are rival causes and the nodes are
their effects: exactly what the belief computes, so both must agree whatever the rest of the
network is.  Nothing is fetched; a network that the wheel does not hold is skipped by name.
"""

from __future__ import annotations

import gzip
import random
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from belief.small_models import PLACE, OnePlace, cause, library, row, words

from diagnose.belief import Belief, BeliefNet
from diagnose.model import GRADES, Effect, Finding, Library, Question, State

LEAST = 0.02
"""The belief leaves every cause this much doubt, so an effect needs a value all leave possible."""
DRAWS = 12

NETWORKS = [
    ("cancer", "Cancer"),
    ("earthquake", "Alarm"),
    ("child", "Disease"),
    ("hepar2", "Cirrhosis"),
    ("hepar2", "gallstones"),
]
"""Network of the public collection, and the node whose states are told apart."""


def read(name: str) -> Any:
    """Return a bundled network, or skip by name."""
    pgmpy = pytest.importorskip("pgmpy")
    from pgmpy.readwrite import BIFReader

    path = Path(pgmpy.__file__).parent / "utils" / "example_models" / f"{name}.bif.gz"
    if not path.is_file():
        pytest.skip(f"this pgmpy brings no network '{name}'")
    with gzip.open(path, "rt", encoding="utf-8") as file:
        return BIFReader(string=file.read()).get_model()


def as_library(network: Any, node: str, prior: np.ndarray) -> Library:
    """Return the states of ``node`` as causes, and the nodes on it alone as effects."""
    states = network.get_cpds(node).state_names[node]
    effects, questions = [], []
    rows: dict[str, list[Any]] = {s: [] for s in states}
    for child in sorted(network.get_children(node)):
        if list(network.get_parents(child)) != [node]:
            continue
        cpd = network.get_cpds(child)
        table = np.array(cpd.values)  # (child's values, states)
        always = int(np.argmax(table.min(axis=1)))
        if table[always].min() < LEAST:
            continue
        names = list(cpd.state_names[child])
        names.insert(0, names.pop(always))
        effects.append(
            Effect(child, "", ("engine",), tuple(names), dict.fromkeys(names[1:], 1e-12))
        )
        shows = {v: {v: 1.0} for v in names}
        questions.append(
            Question(f"ask-{child}", "", "", child, ("engine",), {v: v for v in names}, shows)
        )
        for k, s in enumerate(states):
            for v in names[1:]:
                p = float(table[cpd.state_names[child].index(v), k])
                rows[s].append(row(child, v, dict.fromkeys(GRADES, p)))
    causes = [cause(s, p / (1.0 + p), rows[s]) for s, p in zip(states, prior, strict=True)]
    closed = {"not-fuel": 0.0, "not-in-the-knowledge": 1e-9, "no-fault": 0.0}
    return library(effects, questions, causes, words(shares=closed))


@pytest.mark.outside
@pytest.mark.parametrize(("name", "node"), NETWORKS)
def test_belief_equals_exact_inference_on_a_bundled_network(name: str, node: str) -> None:
    """Variable elimination over the whole network agrees to 1e-6 on random findings."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        network = read(name)
        from pgmpy.inference import VariableElimination

        exact = VariableElimination(network)
        states = network.get_cpds(node).state_names[node]
        before = exact.query([node], show_progress=False)
        prior = np.array([before.get_value(**{node: s}) for s in states])
        lib = as_library(network, node, prior)
        assert len(lib.effects) >= 2
        belief = Belief(BeliefNet(lib, OnePlace()))
        rng = random.Random(len(name))
        for _ in range(DRAWS):
            seen = {
                q.reads: rng.choice(list(q.classes))
                for q in lib.questions.values()
                if rng.random() < 0.7
            }
            after = exact.query([node], evidence=seen, show_progress=False)
            findings = [Finding(f"ask-{e}", PLACE, v, State(), "read") for e, v in seen.items()]
            posterior = belief.update(findings)
            mine = posterior.single[:-1] / posterior.single[:-1].sum()
            want = [after.get_value(**{node: s}) for s in states]
            assert [c.cause for c in posterior.causes[:-1]] == list(states)
            assert mine == pytest.approx(want, abs=1e-6)
