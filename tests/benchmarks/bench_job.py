"""How quickly a job answers: ranking and next action on the largest layout, and how both grow.

Run by hand: ``python tests/benchmarks/bench_job.py``.  Prints processor times; nothing is asserted.
"""

from __future__ import annotations

import random
import resource
import statistics
import sys
import time
from collections.abc import Iterable
from dataclasses import replace
from itertools import chain
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from diagnosis.shipped import bench, library  # noqa: E402  (the path is set just above)

from diagnose.__main__ import collect_seldom  # noqa: E402
from diagnose.job.diagnosis import Bench, Diagnosis  # noqa: E402
from diagnose.model import Finding, Library  # noqa: E402

LAYOUT = "four-engine-injection"


def answers(b: Bench, seed: int, count: int) -> list[Finding]:
    """Return answers to random readings."""
    rng = random.Random(seed)
    return [
        Finding(
            r.question,
            r.place,
            rng.choice(list(b.library.questions[r.question].classes)),
            r.state,
            "read",
        )
        for r in rng.sample(b.planner.catalogue.readings, count)
    ]


def copies(lib: Library, times: int) -> Library:
    """Return the library with every cause ``times`` times, under other names."""
    causes = {
        f"{name}-{k}" if k else name: replace(c, id=f"{name}-{k}" if k else name)
        for k in range(times)
        for name, c in lib.causes.items()
    }
    return replace(lib, causes=causes)


def measure(
    b: Bench, jobs: int, length: int, plan: bool
) -> tuple[list[list[float]], list[float], float]:
    """Return ranking times by answer, planning times [ms] and the largest pair mass left out.

    The ranking of an answer is rules, belief and the ordered list of causes.
    """
    see: list[list[float]] = [[] for _ in range(length)]
    think, left = [], 0.0
    for seed in range(jobs):
        findings = answers(b, seed, length)
        diagnosis = Diagnosis(b, engine=True)
        diagnosis.see([])
        for k in range(1, length + 1):
            start = time.process_time()
            step = diagnosis.see(findings[:k])
            step.posterior.ranking()
            see[k - 1].append((time.process_time() - start) * 1e3)
            left = max(left, step.posterior.left_out)
            if plan:
                start = time.process_time()
                diagnosis.plan(step)
                think.append((time.process_time() - start) * 1e3)
    return see, think, left


def line(name: str, ms: Iterable[float]) -> str:
    """Return median and p95 of some times."""
    q = sorted(ms)
    return f"{name}: median {statistics.median(q):.1f} ms, p95 {q[int(len(q) * 0.95)]:.1f} ms"


def main() -> None:
    """Print the figures."""
    collect_seldom()  # as the program does
    b = bench(LAYOUT)
    start = time.process_time()
    b.rules  # noqa: B018  (compiles)
    print(f"rules compiled in {time.process_time() - start:.2f} s")
    see, think, left = measure(b, 10, 10, plan=True)
    print(line(f"{LAYOUT}: answer to ranking, effects met first", chain.from_iterable(see)))
    see, think, left = measure(b, 10, 10, plan=True)
    print(line(f"{LAYOUT}: answer to ranking, once met before", chain.from_iterable(see)))
    print(
        line(f"{LAYOUT}: ranking to next action", think),
        f"(deadline 200 ms), pair mass left out <= {left:.1e}",
    )
    print("causes  in pairs  answer to ranking, effects met first   pair mass left out at most")
    for times in (1, 2, 5, 10):
        big = Bench(copies(library(), times), b.layout)
        see, _, left = measure(big, 5, 8, plan=False)
        n = len(big.net.instances)
        print(f"{n:>6}  {min(n, 400):>8}  {line('', chain.from_iterable(see))[2:]:<37}  {left:.1e}")
    print("findings  answer to ranking")
    see, _, _ = measure(b, 5, 40, plan=False)
    for k in (1, 5, 10, 20, 40):
        print(f"{k:>8}  {line('', chain.from_iterable(see[max(k - 5, 0) : k]))[2:]}")
    print(f"largest memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
