"""Reads run cards back and confirms a handover as fast as it can, printing what is kept.

    python kill_day_writer.py HOME KNOWLEDGE

Meant to be killed: run by the test of that, never by hand.  Goes on without end: a table, a
handover, its lines, a table ...
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from itertools import count
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS)]

from job.killing import serve, tell  # noqa: E402 - the path must be set first

from diagnose.job.day.card import CardLine  # noqa: E402
from diagnose.job.day.handover import take  # noqa: E402
from diagnose.job.day.reading_back import keep, lines_out  # noqa: E402
from diagnose.job.day.table import read_table  # noqa: E402
from diagnose.job.job import Job  # noqa: E402
from diagnose.job.keeping.registry import Entry, Registry  # noqa: E402

ROWS = 6
"""Card lines of every table; each has one box on the tiny layout."""


class Unlisted(Registry):
    """The index is made again from the logs and not looked at here; it would only cost time."""

    def note(self, entry: Entry) -> None:
        """Keep nothing."""


def write(job: Job) -> None:
    """Keep tables and handover lines without end; a line is printed only after it is kept."""
    for k in count(1):
        for key in list(job.state.handover):
            take(job, key, "CD")
            tell(f"line {len(job.log.events)}")
        for kind in cycle(job, k):
            tell(f"{kind} {len(job.log.events)}")


def cycle(job: Job, k: int) -> Iterator[str]:
    """Print a card, read it back, hand over; yield what is kept."""
    if not job.state.card:
        state = next(s for s in job.bench.layout.run_states if s.engine_running)
        lines = [CardLine(n, "fuel-pressure", state, ("engine",)) for n in range(1, ROWS + 1)]
        job.record("card", lines=[line.as_kept() for line in lines])
    rows = [f"{n}: {4 + (k + n) % 3} psi sure" for n in range(1, ROWS + 1)]
    text = "\n".join(["start: AB", "by: CD", *rows])
    keep(job, read_table(text, lines_out(job), job.bench))
    yield "table"
    job.record("handed-over", by="AB", lines=[[f"proved {k}.{n}", "clean"] for n in range(2)])
    yield "given"


if __name__ == "__main__":
    serve(Unlisted(Path(sys.argv[1])), Path(sys.argv[2]), write)
