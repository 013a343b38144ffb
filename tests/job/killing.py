"""Jobs whose writers are killed while they write: forked on one side, shot on the other."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from job.job_kit import open_job

from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import Registry
from diagnose.knowledge_files import load_layout, load_library

KILLS = 200
FRESH_AFTER = 10  # kills, so that no log grows long and slow
MOST_ACTS = 8  # that are waited for before a kill


def serve(registry: Registry, knowledge: Path, write: Callable[[Job], None]) -> None:
    """Fork a writer for each job named on stdin: its pid is printed, then what it has kept.

    Forking spares each of the many writers the start of the interpreter.
    """
    library = load_library(knowledge, use_cache=False)
    bench = Bench(library, load_layout(knowledge / "layouts" / "tiny-single.yaml"))
    bench.planner  # noqa: B018 - made once here, not in every writer
    for line in sys.stdin:
        name = line.strip()
        if os.fork() == 0:
            job = Job(name, JobLog(registry.path(name)), bench, registry)
            tell(f"pid {os.getpid()} {len(job.log.events)}")
            write(job)
        os.wait()
        tell("gone")


def tell(line: str) -> None:
    """Print ``line`` at once: a writer may be killed behind any of its acts."""
    os.write(1, f"{line}\n".encode())


def shot(writer: Path, folder: Path, bench: Bench) -> Iterator[tuple[Job, int, list[str]]]:
    """Kill a writer by signal 9 at 200 random moments, after it told of a few acts or of none.

    Yields (job, events there before, the lines in which it told what was kept).
    """
    chance = random.Random(20261125)
    words = [sys.executable, str(writer), str(folder / "home"), str(folder / "knowledge")]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as w:
        assert w.stdin
        assert w.stdout
        for k in range(KILLS):
            if k % FRESH_AFTER == 0:
                job = open_job(folder / "home", bench)
            w.stdin.write(f"{job.name}\n")
            w.stdin.flush()
            _, pid, before = w.stdout.readline().split()
            begun = time.monotonic()
            told = [w.stdout.readline().strip() for _ in range(chance.randint(0, MOST_ACTS))]
            # somewhere in the next act, however long one takes on this disk now
            time.sleep(chance.uniform(0.0, (time.monotonic() - begun) / max(len(told), 1)))
            os.kill(int(pid), signal.SIGKILL)
            while (line := w.stdout.readline()) not in ("gone\n", ""):
                told.append(line.strip())
            yield job, int(before), told
