"""Starts and minutes on jobs drawn from the fuel-system model: run cards against single questions.

python tests/benchmarks/bench_runs.py [JOBS] [LAYOUT]
"""

from __future__ import annotations

import sys
from pathlib import Path
from statistics import mean

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.run_policies import Played, answers_from, looks_at, played
from diagnosis.shipped import bench

from diagnose.merit.modelled import model_lot

SEED = 20261125


def main(jobs: int, layout: str) -> None:
    """Play every job both ways and print the means."""
    b = bench(layout)
    lot = model_lot(b, jobs, SEED)
    print(f"{jobs} jobs drawn from the model on {layout}, seed {SEED}")
    for cards, name in ((True, "run cards"), (False, "one question a run")):
        got: list[Played] = [
            played(
                b,
                job.reported,
                answers_from(job.answers),
                looks_at(b, job.cause),
                job.cause,
                cards=cards,
            )
            for job in lot.jobs
        ]
        found = sum(p.found for p in got)
        missed = [str(j.cause) for j, p in zip(lot.jobs, got, strict=True) if not p.found]
        print(
            f"{name:<20} starts {mean(p.starts for p in got):.2f}  "
            f"minutes {mean(p.minutes for p in got):.0f}  found {found} of {jobs}  "
            f"most starts {max(p.starts for p in got)}"
        )
        if missed:
            print(f"{'':<20} not found: {', '.join(missed)}")


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 50,
        sys.argv[2] if len(sys.argv) > 2 else "four-engine-injection",
    )
