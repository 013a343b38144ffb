"""Power cuts and kills: a session shot at 200 random moments loses nothing it has confirmed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from job.job_kit import again, tiny_bench
from job.killing import FRESH_AFTER, KILLS, shot

from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry

WRITER = Path(__file__).with_name("kill_writer.py")


@pytest.mark.skipif(os.name != "posix", reason="forks its writers and kills them by signal 9")
def test_nothing_confirmed_is_lost_in_200_kills(tmp_path: Path) -> None:
    """Whatever was told as kept before a kill -9 stands in the log after it, word for word."""
    bench = tiny_bench(tmp_path)
    told_in_all = torn = 0
    for job, before, lines in shot(WRITER, tmp_path, bench):
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
