"""Power cuts and kills: a session shot at 200 random moments loses nothing it has confirmed."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from job.job_kit import PRESSURE_LOW, again, open_job, tiny_bench
from job.killing import FRESH_AFTER, KILLS, shot

from diagnose.job.diagnosis import Bench
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry

WRITER = Path(__file__).with_name("kill_writer.py")
ANSWERS = 6  # at most about so many before a kill, on a quick disk or a slow one


def longest_life(home: Path, bench: Bench) -> float:
    """Return how long a writer may live, in seconds, by the time an answer takes here and now."""
    job = open_job(home, bench)
    begun = time.monotonic()
    for _ in range(5):
        job.answer(PRESSURE_LOW)
    return min(0.15, max(0.02, ANSWERS * (time.monotonic() - begun) / 5))


@pytest.mark.skipif(os.name != "posix", reason="forks its writers and kills them by signal 9")
def test_nothing_confirmed_is_lost_in_200_kills(tmp_path: Path) -> None:
    """Whatever was told as kept before a kill -9 stands in the log after it, word for word."""
    bench = tiny_bench(tmp_path)
    longest = longest_life(tmp_path / "trial", bench)
    told_in_all = torn = 0
    for job, before, lines in shot(WRITER, tmp_path, bench, longest):
        assert all(line.startswith("kept ") for line in lines), lines
        told = [[int(word) for word in line.split()[1:]] for line in lines]
        log = JobLog(job.log.path)
        notes = {e["n"]: e.get("note", "") for e in log.events}
        for n, k in told:
            assert notes[n].startswith(f"answer {k} "), f"event {n} was told as kept"
        # at most the one being written when the kill came stands there untold
        assert len(log.events) - before - len(told) in (0, 1)
        assert len(again(job).findings) == len(log.events) - 1
        told_in_all += len(told)
        torn += bool(log.set_aside)
    assert told_in_all > KILLS // 4, "the writers hardly wrote: the kills proved nothing"
    assert len(Registry(tmp_path / "home").entries()) == KILLS // FRESH_AFTER
    print(f"{KILLS} kills, {told_in_all} answers told as kept, {torn} torn last lines")
