"""Our engine against the plain evaluator on random libraries and jobs, under three hash seeds."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

SCRIPT = Path(__file__).with_name("fuzz_rules.py")


def test_engine_and_plain_evaluator_agree_on_every_answer_under_three_hash_seeds() -> None:
    """Chained symptoms, answers changed and withdrawn: equal outcomes, the same on every run.

    Equal are all signs, verdicts, traces, causes named, evidence and cautions; the digest holds
    also the order in which rules fired.
    """
    running = [
        subprocess.Popen(
            [sys.executable, "-W", "ignore", str(SCRIPT), "45", "20"],
            env={**os.environ, "PYTHONHASHSEED": seed},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for seed in ("0", "1", "4711")
    ]
    told = [process.communicate(timeout=120) for process in running]

    assert [p.returncode for p in running] == [0, 0, 0], told
    assert len({out for out, _ in told}) == 1
    checked, known, conflicts, strata, _ = told[0][0].split()
    assert int(checked) == 900
    # The random jobs must reach what they are meant to test.
    assert int(known) > 2000
    assert int(conflicts) > 10
    assert int(strata) >= 4
