"""Goes on with interviews as they are named, typing from a file, until it is killed.

    python kill_talker.py KNOWLEDGE

Meant to be killed: run by the test of that, never by hand.  Each line on stdin names an interview
and the file of what is typed; a fork prints its pid, then 'kept N' for each entry on disk.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from diagnose.capture.record import Interview, folder  # noqa: E402 - the path must be set first
from diagnose.cli.interview.opening import go_on  # noqa: E402
from diagnose.cli.loading import bench_at  # noqa: E402
from diagnose.job.keeping.log import JobLog  # noqa: E402


def main(root: Path) -> None:
    """Fork a talker for each line of stdin; forking spares it the start of the interpreter."""
    bench_at(root, "tiny-single").planner  # noqa: B018 - compiled once, for every fork
    for line in sys.stdin:
        name, typed = line.split()
        child = os.fork()
        if child == 0:
            talk(root, name, Path(typed))
        os.waitpid(child, 0)
        os.write(1, b"gone\n")


def talk(root: Path, name: str, typed: Path) -> None:
    """Play one sitting; what is kept is told only after the append has returned."""
    append = JobLog.append_group

    def told(self: JobLog, entries: Any) -> Any:
        events = append(self, entries)
        os.write(1, f"kept {events[-1]['n']}\n".encode())
        return events

    JobLog.append_group = told  # type: ignore[method-assign] # to see what was told as kept
    os.write(1, f"pid {os.getpid()}\n".encode())
    sys.stdout = open(os.devnull, "w")  # noqa: SIM115 - the process ends with it
    with typed.open(encoding="utf-8") as sys.stdin:
        go_on(root, Interview.find(folder(), name))
    os._exit(0)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
