"""Writes answers to one job as fast as it can and prints the number of each that is kept.

    python kill_writer.py HOME KNOWLEDGE

Meant to be killed: run by the test of that, never by hand.
"""

from __future__ import annotations

import sys
from itertools import count
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS)]

from job.job_kit import PRESSURE_LOW  # noqa: E402 - the path must be set first
from job.killing import serve, tell  # noqa: E402

from diagnose.job.job import Job  # noqa: E402
from diagnose.job.keeping.registry import Registry  # noqa: E402


def write(job: Job) -> None:
    """Append answers without end; a line is printed only after the append has returned."""
    for k in count(len(job.log.events) + 1):
        event = job.answer(PRESSURE_LOW, note=f"answer {k} " + "–" * (k % 400))
        tell(f"kept {event['n']} {event['note'].split()[1]}")


if __name__ == "__main__":
    serve(Registry(Path(sys.argv[1])), Path(sys.argv[2]), write)
