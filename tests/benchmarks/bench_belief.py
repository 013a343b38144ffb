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

from belief.small_models import OnePlace, random_findings, random_library  # noqa: E402
from belief.test_outside_networks import _as_network  # noqa: E402

from diagnose.belief import Belief, BeliefNet  # noqa: E402


def timed(work, repeats: int) -> float:
    """Return the mean time of ``work`` in milliseconds."""
    start = time.perf_counter()
    for _ in range(repeats):
        work()
    return (time.perf_counter() - start) / repeats * 1e3


def pgmpy_query(nodes, findings):
    """Return a callable that asks pgmpy for the posterior of the causes."""
    from itertools import product

    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import BayesianNetwork

    by_name = {n.name: n for n in nodes}
    net = BayesianNetwork([(p, n.name) for n in nodes for p in n.parents])
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
    return lambda: engine.query(["world"], evidence=evidence, show_progress=False)


def agrum_query(nodes, findings):
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
        return engine.posterior("world")

    return ask


def main() -> None:
    """Print one line a size and engine."""
    warnings.simplefilter("ignore")
    for causes, effects in ((5, 4), (8, 5)):
        rng = random.Random(causes)
        lib = random_library(rng, n_causes=causes, n_effects=effects)
        findings = random_findings(rng, lib)
        net = BeliefNet(lib, OnePlace())
        belief = Belief(net)
        belief.update(findings)

        def ours(belief=belief, findings=findings):
            belief.update(findings[:-1])
            belief.update(findings)

        mine = timed(ours, 50) / 2
        print(
            f"{causes} causes, {effects} effects, {len(findings)} findings: ours {mine:.3f} ms an answer"
        )
        nodes, _, _ = _as_network(lib, findings)
        for name, make in (("pgmpy", pgmpy_query), ("pyAgrum", agrum_query)):
            try:
                ask = make(nodes, findings)
            except ImportError as error:
                print(f"  {name}: not installed here ({error}); the extra 'bench' brings it")
                continue
            theirs = timed(ask, 5)
            print(f"  {name}: {theirs:.2f} ms, {theirs / mine:.0f} times ours")


if __name__ == "__main__":
    main()
