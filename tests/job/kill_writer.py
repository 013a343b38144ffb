"""Writes answers to one job as fast as it can and prints the number of each that is kept.

    python kill_writer.py HOME KNOWLEDGE

Meant to be killed: run by the test of that, never by hand.  Opens no belief and plans nothing.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from diagnose.job.diagnosis import Bench  # noqa: E402 - the path must be set first
from diagnose.job.job import Job  # noqa: E402
from diagnose.job.keeping.log import JobLog  # noqa: E402
from diagnose.job.keeping.registry import Registry  # noqa: E402
from diagnose.knowledge_files import load_layout, load_library  # noqa: E402
from diagnose.model import Finding, State  # noqa: E402


def main(home: Path, knowledge: Path) -> None:
    """Fork a writer for each job named on stdin: its pid is printed, then what it has kept.

    Forking spares each of the many writers the start of the interpreter.
    """
    library = load_library(knowledge, use_cache=False)
    bench = Bench(library, load_layout(knowledge / "layouts" / "tiny-single.yaml"))
    for line in sys.stdin:
        name = line.strip()
        child = os.fork()
        if child == 0:
            write(Job(name, JobLog(Registry(home).path(name)), bench, Registry(home)))
        os.waitpid(child, 0)
        print("gone", flush=True)


def write(job: Job) -> None:
    """Append answers without end; a line is printed only after the append has returned."""
    finding = Finding("fuel-pressure", "engine", "low", State("run-up", {"booster": "off"}))
    os.write(1, f"pid {os.getpid()} {len(job.log.events)}\n".encode())
    k = len(job.log.events)
    while True:
        k += 1
        event = job.answer(finding, note=f"answer {k} " + "–" * (k % 400))
        os.write(1, f"kept {event['n']} {event['note'].split()[1]}\n".encode())


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
