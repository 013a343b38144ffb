"""How quickly a job answers: ranking and next action on the largest layout, and how both grow.

Run by hand: ``python tests/benchmarks/bench_job.py``.  Prints times; nothing is asserted.
"""

from __future__ import annotations

import random
import resource
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from diagnosis.shipped import bench, library  # noqa: E402  (the path is set just above)

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


def measure(b: Bench, jobs: int, length: int, plan: bool) -> tuple[list[float], list[float], float]:
    """Return ranking times, planning times [ms] and the largest pair mass left out."""
    see, think, left = [], [], 0.0
    for seed in range(jobs):
        findings = answers(b, seed, length)
        diagnosis = Diagnosis(b, engine=True)
        diagnosis.see([])
        for k in range(1, length + 1):
            start = time.perf_counter()
            step = diagnosis.see(findings[:k])
            see.append((time.perf_counter() - start) * 1e3)
            left = max(left, step.posterior.left_out)
            if plan:
                start = time.perf_counter()
                diagnosis.plan(step)
                think.append((time.perf_counter() - start) * 1e3)
    return see, think, left


def line(name: str, ms: list[float]) -> str:
    """Return median and p95 of some times."""
    q = sorted(ms)
    return f"{name}: median {statistics.median(q):.1f} ms, p95 {q[int(len(q) * 0.95)]:.1f} ms"


def main() -> None:
    """Print the figures."""
    b = bench(LAYOUT)
    start = time.perf_counter()
    b.rules  # noqa: B018  (compiles)
    print(f"rules compiled in {time.perf_counter() - start:.2f} s")
    measure(b, 2, 8, plan=True)  # tables are made on first use
    see, think, left = measure(b, 10, 10, plan=True)
    print(line(f"{LAYOUT}: answer to ranking", see))
    print(
        line(f"{LAYOUT}: ranking to next action", think),
        f"(deadline 200 ms), pair mass left out <= {left:.1e}",
    )
    print("causes  active   answer to ranking             pair mass left out at most")
    for times in (1, 2, 5, 10):
        big = Bench(copies(library(), times), b.layout)
        see, _, left = measure(big, 2, 6, plan=False)
        n = len(big.net.instances)
        print(f"{n:>6}  {min(n, 400):>6}   {line('', see)[2:]:<30} {left:.1e}")
    print(f"largest memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
