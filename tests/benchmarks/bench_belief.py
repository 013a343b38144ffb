"""Our posterior beside general engines for exact inference, on nets they can solve.

Run by hand: ``python tests/benchmarks/bench_belief.py``.  Prints times and ratios of one run.
"""

from __future__ import annotations

import random
import sys
import time
import warnings
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from belief.enumeration import Node  # noqa: E402
from belief.small_models import PLACE, OnePlace, cause, library, row  # noqa: E402
from belief.test_outside_networks import YN, _yes  # noqa: E402

from diagnose.belief import Belief, BeliefNet  # noqa: E402
from diagnose.model import GRADES, Effect, Finding, Question  # noqa: E402


def timed(work, repeats: int) -> float:
    """Return the mean time of ``work`` in milliseconds."""
    start = time.perf_counter()
    for _ in range(repeats):
        work()
    return (time.perf_counter() - start) / repeats * 1e3


def pgmpy_query(nodes, findings, wanted):
    """Return a callable that asks pgmpy for the posterior of the causes."""
    from itertools import product

    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

    by_name = {n.name: n for n in nodes}
    net = DiscreteBayesianNetwork([(p, n.name) for n in nodes for p in n.parents])
    for n in nodes:
        parents = [by_name[p] for p in n.parents]
        columns = [n.row(*c) for c in product(*(p.values for p in parents))]
        net.add_cpds(
            TabularCPD(
                n.name, len(n.values), [[c[v] for c in columns] for v in n.values],
                [p.name for p in parents] or None, [len(p.values) for p in parents] or None,
                state_names={m.name: list(m.values) for m in (n, *parents)},
            )
        )  # fmt: skip
    engine = VariableElimination(net)
    evidence = {f.question: f.value for f in findings}
    return lambda: [engine.query([w], evidence=evidence, show_progress=False) for w in wanted]


def agrum_query(nodes, findings, wanted):
    """Return a callable that asks pyAgrum for the posterior of the causes."""
    from itertools import product

    import pyagrum as gum

    net = gum.BayesNet("job")
    by_name = {n.name: n for n in nodes}
    for n in nodes:
        net.add(gum.LabelizedVariable(n.name, n.name, list(n.values)))
    for n in nodes:
        for p in n.parents:
            net.addArc(p, n.name)
        for combo in product(*(by_name[p].values for p in n.parents)):
            row = n.row(*combo)
            net.cpt(n.name)[dict(zip(n.parents, combo, strict=True))] = [row[v] for v in n.values]
    engine = gum.LazyPropagation(net)

    def ask():
        engine.setEvidence({f.question: f.value for f in findings})
        engine.makeInference()
        return [engine.posterior(w) for w in wanted]

    return ask


def fault_net(rng: random.Random, n_causes: int, n_effects: int):
    """Return (library, findings, nodes): faults as a general engine would hold them.

    Each fault is a yes/no variable, each effect a noisy-OR of its faults, and one more variable
    says that there are one or two faults, as our hypotheses do.
    """
    effects = [
        Effect(f"e{k}", "", ("engine",), ("normal", "low"), {"low": 0.02}) for k in range(n_effects)
    ]
    exact = {"normal": {"normal": 1.0, "low": 0.0}, "low": {"normal": 0.0, "low": 1.0}}
    questions = [
        Question(f"q{k}", "", "", f"e{k}", ("engine",), {"normal": "", "low": ""}, exact)
        for k in range(n_effects)
    ]
    causes, links = [], {}
    for i in range(n_causes):
        rows = []
        for k in range(n_effects):
            if rng.random() < 0.3:
                links[i, k] = rng.choice([0.3, 0.5, 0.7, 0.9])
                rows.append(row(f"e{k}", "low", dict.fromkeys(GRADES, links[i, k])))
        causes.append(cause(f"c{i}", rng.choice([0.03, 0.003]), rows))
    lib = library(effects, questions, causes)
    findings = [
        Finding(f"q{k}", PLACE, rng.choice(["low", "normal"]), known_by="measured")
        for k in range(min(7, n_effects))
    ]
    odds = [c.how_common / (1 - c.how_common) for c in causes]
    odds = [o * 0.1 / sum(odds) for o in odds]
    nodes = [Node(f"c{i}", YN, (), lambda o=o: _yes(o / (1 + o))) for i, o in enumerate(odds)]
    for k in range(n_effects):
        mine = [i for i in range(n_causes) if (i, k) in links]

        def shows(*present: str, k=k, mine=mine):
            stay = 0.98
            for i, there in zip(mine, present, strict=True):
                stay *= 1 - links[i, k] * (there == "yes")
            return {"normal": stay, "low": 1 - stay}

        nodes.append(Node(f"q{k}", ("normal", "low"), tuple(f"c{i}" for i in mine), shows))
    names = tuple(f"c{i}" for i in range(n_causes))
    nodes.append(Node("count", YN, names, lambda *w: _yes(float(1 <= w.count("yes") <= 2))))
    return lib, findings, nodes


def main() -> None:
    """Print one line a size and engine."""
    warnings.simplefilter("ignore")
    for causes, effects in ((8, 8), (12, 10)):
        lib, findings, nodes = fault_net(random.Random(causes), causes, effects)
        belief = Belief(BeliefNet(lib, OnePlace()))

        def ours(belief=belief, findings=findings):
            belief.update(findings[:-1])
            belief.update(findings)

        ours()
        mine = timed(ours, 50) / 2
        print(f"{causes} faults, {effects} effects: ours {mine:.3f} ms an answer")
        known = [*findings, Finding("count", PLACE, "yes")]
        for name, make in (("pgmpy", pgmpy_query), ("pyAgrum", agrum_query)):
            try:
                ask = make(nodes, known, [f"c{i}" for i in range(causes)])
            except ImportError as error:
                print(f"  {name}: not installed here ({error}); the extra 'bench' brings it")
                continue
            theirs = timed(ask, 3)
            print(
                f"  {name}: {theirs:.1f} ms for the same marginals, {theirs / mine:.0f} times ours"
            )


if __name__ == "__main__":
    main()
