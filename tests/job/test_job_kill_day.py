"""Power cuts while a run card is typed back and a handover confirmed: 200 kills, nothing halved."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from job.job_kit import again, tiny_bench
from job.kill_day_writer import ROWS, Unlisted, cycle
from job.killing import KILLS, shot

from diagnose.job.day.handover import take
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog

WRITER = Path(__file__).with_name("kill_day_writer.py")


def longest_life(home: Path, bench: Bench) -> float:
    """Return how long a writer may live, in seconds: two tables, on this disk, now."""
    job = Job("trial", JobLog(home / "trial.jsonl"), bench, Unlisted(home))
    job.record("opened", layout="tiny-single", edition="e", reported="x")
    begun = time.monotonic()
    for k in range(3):
        for key in list(job.state.handover):
            take(job, key, "CD")
        list(cycle(job, k))
    return min(0.2, max(0.03, 2 * (time.monotonic() - begun) / 3))


@pytest.mark.skipif(os.name != "posix", reason="forks its writers and kills them by signal 9")
def test_no_half_table_counts_and_nothing_confirmed_is_lost_in_200_kills(tmp_path: Path) -> None:
    """Every table told as kept stands whole; one cut off counts as nothing; every line stands."""
    bench = tiny_bench(tmp_path)
    longest = longest_life(tmp_path / "trial", bench)
    tables = lines = torn = 0
    for job, before, told in shot(WRITER, tmp_path, bench, longest):
        log = JobLog(job.log.path)
        assert len(log.events) >= before, "what stood before a kill stands after it"
        for line in told:
            kind, n, *_ = line.split()
            assert int(n) <= len(log.events), f"{line} was told as kept"
            wanted = {"table": "answered", "given": "handed-over", "line": "taken-over"}
            assert log.events[int(n) - 1]["event"] == wanted[kind]
        runs = [k for k, e in enumerate(log.events) if e["event"] == "run"]
        for k in runs:
            after = [e["event"] for e in log.events[k + 1 : k + 1 + ROWS]]
            assert after == ["answered"] * ROWS, "a table stands whole or not at all"
        assert again(job).state.engine_runs == len(runs)
        tables += sum(x.startswith("table") for x in told)
        lines += sum(x.startswith("line") for x in told)
        torn += bool(log.set_aside)
    assert tables > KILLS // 4, "the writers hardly wrote: the kills proved nothing"
    assert lines > KILLS // 4
    print(f"{KILLS} kills, {tables} tables and {lines} handover lines kept, {torn} torn ends")
