"""Power cuts while a run card is typed back and a handover confirmed: 200 kills, nothing halved."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from job.job_kit import again, tiny_bench
from job.kill_day_writer import ROWS
from job.killing import KILLS, shot

from diagnose.job.keeping.log import JobLog

WRITER = Path(__file__).with_name("kill_day_writer.py")


@pytest.mark.skipif(os.name != "posix", reason="forks its writers and kills them by signal 9")
def test_no_half_table_counts_and_nothing_confirmed_is_lost_in_200_kills(tmp_path: Path) -> None:
    """Every table told as kept stands whole; one cut off counts as nothing; every line stands."""
    bench = tiny_bench(tmp_path)
    tables = lines = torn = 0
    for job, before, told in shot(WRITER, tmp_path, bench):
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
