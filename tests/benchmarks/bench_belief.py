"""Our posterior beside general engines for exact inference, on nets they can solve.

Run by hand: ``python tests/benchmarks/bench_belief.py [CAUSESxEFFECTS ...]``.  The question is the
same for all: the chance of every cause after each answer of a job, given that one or two of the
causes are there, as our hypotheses say.  Each general engine is asked in the way that is quickest
for it among those tried; none is stopped before 20 s an answer or 6 GB.  Times are processor
time, without building the nets.  Prints a table; asserts only that all say the same.
"""

from __future__ import annotations

import logging
import multiprocessing
import os
import random
import resource
import statistics
import sys
import time
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from belief.enumeration import Node  # noqa: E402
from belief.small_models import PLACE, OnePlace, cause, library, row  # noqa: E402
from belief.test_outside_networks import YN, _yes  # noqa: E402

from diagnose.belief import UNKNOWN, Belief, BeliefNet  # noqa: E402
from diagnose.model import GRADES, Effect, Finding, Library, Question  # noqa: E402

SIZES = ((8, 8), (12, 10), (16, 12), (20, 14), (24, 16), (30, 20), (40, 24), (200, 60), (1000, 150))
LINKS = 0.3
"""Share of the effects that a cause gives, in the small nets."""

MOST_LINKS = 8
"""Causes of one effect at most: its table in a general engine has two to that power columns."""

SECONDS, GIGABYTES = 20, 6
"""Where a general engine is stopped: processor time of one answer, and memory."""


# ------------------------------------------------------------------ the net


def fault_net(
    rng: random.Random, n_causes: int, n_effects: int
) -> tuple[Library, list[Finding], list[Node]]:
    """Return (library, answers, nodes): the causes as we and as a general engine would hold them.

    Each cause is a yes/no variable, each effect a noisy-OR of its causes.  A chain of counters
    (0, 1, 2, more) over the causes lets a general engine take it as known that there are one or
    two: one variable over all of them would have a table of two to the power of their number.
    """
    effects = [
        Effect(f"e{k}", "", ("engine",), ("normal", "low"), {"low": 0.02}) for k in range(n_effects)
    ]
    exact = {"normal": {"normal": 1.0, "low": 0.0}, "low": {"normal": 0.0, "low": 1.0}}
    questions = [
        Question(f"q{k}", "", "", f"e{k}", ("engine",), {"normal": "", "low": ""}, exact)
        for k in range(n_effects)
    ]
    of = [
        [i for i in range(n_causes) if rng.random() < LINKS][:MOST_LINKS] for _ in range(n_effects)
    ]
    links = {(i, k): rng.choice([0.3, 0.5, 0.7, 0.9]) for k, mine in enumerate(of) for i in mine}
    causes = [
        cause(
            f"c{i}",
            rng.choice([0.03, 0.003]),
            [
                row(f"e{k}", "low", dict.fromkeys(GRADES, links[i, k]))
                for k in range(n_effects)
                if (i, k) in links
            ],
        )
        for i in range(n_causes)
    ]
    answers = [
        Finding(f"q{k}", PLACE, rng.choice(["low", "normal"]), known_by="measured")
        for k in rng.sample(range(n_effects), min(8, n_effects))
    ]
    odds = [c.how_common / (1 - c.how_common) for c in causes]
    odds = [o * 0.1 / sum(odds) for o in odds]
    nodes = [Node(f"c{i}", YN, (), lambda o=o: _yes(o / (1 + o))) for i, o in enumerate(odds)]
    for k, mine in enumerate(of):

        def shows(*present: str, k: int = k, mine: Sequence[int] = mine) -> dict[str, float]:
            stay = 0.98
            for i, there in zip(mine, present, strict=True):
                stay *= 1 - links[i, k] * (there == "yes")
            return {"normal": stay, "low": 1 - stay}

        nodes.append(Node(f"q{k}", ("normal", "low"), tuple(f"c{i}" for i in mine), shows))
    return library(effects, questions, causes), answers, [*nodes, *_counters(n_causes)]


def _counters(n: int) -> Iterator[Node]:
    numbers = ("0", "1", "2", "more")

    def one(there: str) -> dict[str, float]:
        return {v: float(v == ("1" if there == "yes" else "0")) for v in numbers}

    def more(before: str, there: str) -> dict[str, float]:
        now = numbers[min(numbers.index(before) + (there == "yes"), 3)]
        return {v: float(v == now) for v in numbers}

    yield Node("n0", numbers, ("c0",), one)
    for i in range(1, n):
        yield Node(f"n{i}", numbers, (f"n{i - 1}", f"c{i}"), more)
    yield Node("held", YN, (f"n{n - 1}",), lambda v: _yes(float(v in ("1", "2"))))


# ------------------------------------------------------------------ the engines

Ask = Callable[[dict[str, str]], Sequence[float]]
"""What is known -> P(cause is there), cause by cause."""


def pgmpy_net(nodes: Sequence[Node]) -> Any:
    """Return ``nodes`` as a net of pgmpy."""
    from pgmpy.factors.discrete import TabularCPD
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
    return net


def pgmpy_elimination(nodes: Sequence[Node], causes: Sequence[str]) -> Ask:
    """Ask pgmpy cause by cause, by variable elimination."""
    from pgmpy.inference import VariableElimination

    engine = VariableElimination(pgmpy_net(nodes))

    def ask(known: dict[str, str]) -> list[float]:
        found = (engine.query([c], evidence=known, show_progress=False) for c in causes)
        return [f.get_value(**{c: "yes"}) for c, f in zip(causes, found, strict=True)]

    return ask


def agrum_net(nodes: Sequence[Node]) -> Any:
    """Return ``nodes`` as a net of pyAgrum."""
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
    return net


def agrum(kind: str) -> Callable[[Sequence[Node], Sequence[str]], Ask]:
    """Return how to ask pyAgrum's engine ``kind``; it keeps what it worked out between answers."""

    def make(nodes: Sequence[Node], causes: Sequence[str]) -> Ask:
        import pyagrum as gum

        engine = getattr(gum, kind)(agrum_net(nodes))
        for c in causes:
            engine.addTarget(c)

        def ask(known: dict[str, str]) -> list[float]:
            for name, value in known.items():
                if not engine.hasEvidence(name):
                    engine.addEvidence(name, value)
            engine.makeInference()
            return [engine.posterior(c)[{c: "yes"}] for c in causes]

        return ask

    return make


ENGINES: dict[str, Callable[[Sequence[Node], Sequence[str]], Ask]] = {
    "pgmpy": pgmpy_elimination,  # its junction tree took 100 times as long
    "pyAgrum L": agrum("LazyPropagation"),
    "pyAgrum S": agrum("ShaferShenoyInference"),
}

# ------------------------------------------------------------------ one job


@dataclass
class Job:
    """Seconds of processor time for each answer of a job, and for all its answers at once.

    chances: P(cause is there), cause by cause, with all answers.  why: why it ended early, or ''.
    """

    each: list[float] = field(default_factory=list)
    at_once: float = 0.0
    chances: Sequence[float] = ()
    why: str = ""


def ours(lib: Library, answers: Sequence[Finding], jobs: int) -> list[Job]:
    """Return ``jobs`` new jobs of ours.

    What is tabled of the net when an effect is first met counts as building, as it does for the
    others: one job goes ahead of those that are timed.
    """
    net = BeliefNet(lib, OnePlace())
    out = []
    for _ in range(jobs + 1):
        job, belief = Job(), Belief(net)
        belief.update([])
        for k in range(1, len(answers) + 1):
            start = time.process_time()
            posterior = belief.update(answers[:k])
            job.each.append(time.process_time() - start)
        listed = 1.0 - float(posterior.single[posterior.causes.index(UNKNOWN)])
        job.chances = [float(m) / listed for m in posterior.marginal[:-1]]
        start = time.process_time()
        Belief(net).update(answers)
        job.at_once = time.process_time() - start
        out.append(job)
    return out[1:]


def theirs(
    make: Callable[[Sequence[Node], Sequence[str]], Ask],
    nodes: Sequence[Node],
    answers: Sequence[Finding],
    out: Connection,
) -> None:
    """Send (seconds, chances) of each answer, then of all at once; last why it ended, or ''."""
    warnings.simplefilter("ignore")
    logging.disable(logging.WARNING)
    memory = GIGABYTES << 30
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    causes = [n.name for n in nodes if n.name.startswith("c")]
    known = {"held": "yes"}
    try:
        ask, ask_at_once = make(nodes, causes), make(nodes, causes)
        ask(known)
        for f in answers:
            known[f.question] = f.value
            start = time.process_time()
            chances = ask(known)
            out.send((time.process_time() - start, chances))
        start = time.process_time()
        chances = ask_at_once(known)
        out.send((time.process_time() - start, chances))
    except ImportError as error:
        out.send(f"not installed here: {error}")
    except Exception as error:  # whatever it is, the engine gave up
        out.send(f"gave up: {(str(error).splitlines() or [''])[0][:50] or type(error).__name__}")
    out.send("")


def in_time(process: int, here: Connection, seconds: float) -> bool:
    """Return whether something comes before ``process`` has used so much processor time (Linux)."""

    def used() -> float:
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    start = used()
    while not here.poll(1):
        if used() - start > seconds:
            return False
    return True


def watched(
    make: Callable[[Sequence[Node], Sequence[str]], Ask],
    nodes: Sequence[Node],
    answers: Sequence[Finding],
) -> Job:
    """Return the job as a general engine did it, in a process of its own."""
    here, there = multiprocessing.Pipe()
    child = multiprocessing.get_context("fork").Process(
        target=theirs, args=(make, nodes, answers, there)
    )
    child.start()
    there.close()
    job = Job(why=f"no answer in {SECONDS} s")
    try:
        # until the first answer the net is built as well
        while in_time(child.pid or 0, here, SECONDS if job.each else 5 * SECONDS):
            got = here.recv()
            if isinstance(got, str):
                job.why = got
                break
            seconds, job.chances = got
            job.each.append(seconds)
    except EOFError:
        job.why = "died, out of memory"
    child.kill()
    child.join()
    if not job.why:
        job.at_once = job.each.pop()
    return job


def told(each: Iterable[float], at_once: float, times: str = "") -> str:
    """Return the columns of the table after the engine's name."""
    ms = [t * 1e3 for t in each]
    return f"{statistics.median(ms):10.2f} {max(ms):9.2f} {at_once * 1e3:9.2f}  {times}"


def main() -> None:
    """Print one line a size and engine."""
    sizes = [(int(a), int(b)) for a, b in (s.split("x") for s in sys.argv[1:])] or SIZES
    print("                            ms an answer      all at once  times ours:")
    print("causes effects  engine     median     worst        ms     an answer, all at once")
    stopped: set[str] = set()
    for n, effects in sizes:
        lib, answers, nodes = fault_net(random.Random(n), n, effects)
        jobs = ours(lib, answers, 20)
        each = [statistics.median(by_job) for by_job in zip(*(j.each for j in jobs), strict=True)]
        at_once = statistics.median(j.at_once for j in jobs)
        print(f"{n:>6} {effects:>7}  {'ours':<9}{told(each, at_once)}")
        for name, make in ENGINES.items():
            if name in stopped:
                continue
            job = watched(make, nodes, answers)
            line = f"{'':>14}  {name:<9}"
            if job.why:
                stopped.add(name)
                print(f"{line} {job.why} after {len(job.each)} of {len(answers)} answers")
                continue
            pairs = zip(jobs[0].chances, job.chances, strict=True)
            assert max(abs(a - b) for a, b in pairs) < 1e-9
            times = statistics.median(t / m for t, m in zip(job.each, each, strict=True))
            print(
                f"{line}{told(job.each, job.at_once, f'{times:9.0f} {job.at_once / at_once:9.0f}')}"
            )


if __name__ == "__main__":
    main()
