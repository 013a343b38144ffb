"""Power cuts and kills: a session shot at 200 random moments loses nothing it has confirmed."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from job_kit import again, open_job, tiny_bench

from diagnose.job.log import JobLog
from diagnose.job.registry import Registry

WRITER = Path(__file__).with_name("kill_writer.py")
KILLS = 200
LONGEST = 0.06  # seconds a writer lives after its first line: some ten answers on a slow disk
FRESH_AFTER = 10  # kills, so that no log grows long and slow


@pytest.mark.skipif(os.name != "posix", reason="forks its writers and kills them by signal 9")
def test_nothing_confirmed_is_lost_in_200_kills(tmp_path: Path) -> None:
    """Whatever was told as kept before a kill -9 stands in the log after it, word for word."""
    chance = random.Random(20261125)
    bench = tiny_bench(tmp_path)
    home = tmp_path / "home"
    told_in_all = torn = 0
    for _ in range(KILLS // FRESH_AFTER):
        job = open_job(home, bench)
        words = [sys.executable, str(WRITER), str(home), str(tmp_path / "knowledge"), job.name]
        with subprocess.Popen(
            words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        ) as writers:
            assert writers.stdin
            assert writers.stdout
            for _ in range(FRESH_AFTER):
                writers.stdin.write("go\n")
                writers.stdin.flush()
                _, pid, begun_with = writers.stdout.readline().split()
                time.sleep(chance.uniform(0.0, LONGEST))
                os.kill(int(pid), signal.SIGKILL)
                told = []
                while (line := writers.stdout.readline()) != "gone\n":
                    assert line.startswith("kept "), line
                    told.append(tuple(int(word) for word in line.split()[1:]))
                log = JobLog(job.log.path)
                notes = {e["n"]: e.get("note", "") for e in log.events}
                for n, k in told:
                    assert notes[n].startswith(f"answer {k} "), f"event {n} was told as kept"
                # at most the one being written when the kill came stands there untold
                assert len(log.events) - int(begun_with) - len(told) in (0, 1)
                told_in_all += len(told)
                torn += bool(log.set_aside)
            writers.stdin.close()
        assert len(again(job).findings) == len(JobLog(job.log.path).events) - 1
    assert told_in_all > KILLS, "the writers hardly wrote: the kills proved nothing"
    assert len(Registry(home).entries()) == KILLS // FRESH_AFTER
    print(f"{KILLS} kills, {told_in_all} answers told as kept, {torn} torn last lines")
