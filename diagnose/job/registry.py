"""Where jobs live, and the index of them; the index can always be made again from the logs."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from diagnose.errors import UsageError
from diagnose.job.log import JobLog

APP = "fuel-system-diagnose"

_TABLE = """create table if not exists jobs (
    id text primary key, layout text not null, aeroplane text not null, reported text not null,
    opened text not null, state text not null, edition text not null)"""


@dataclass(frozen=True)
class Entry:
    """One line of the index."""

    id: str
    layout: str
    aeroplane: str
    reported: str
    opened: str
    state: str
    edition: str


class Registry:
    """The jobs of one user: logs in ``home/jobs``, an SQLite index beside them."""

    def __init__(self, home: Path | None = None) -> None:
        """Use ``home``, else DIAGNOSE_HOME, else the user's data folder."""
        told = os.environ.get("DIAGNOSE_HOME")
        self.home = home or (Path(told) if told else Path(platformdirs.user_data_dir(APP)))
        self.jobs = self.home / "jobs"
        self._index = self.home / "index.sqlite"

    def new_id(self, day: str) -> str:
        """Return a free id, the day and a running number: ``2026-11-25-01``."""
        self.jobs.mkdir(parents=True, exist_ok=True)
        for number in range(1, 1000):
            name = f"{day}-{number:02}"
            try:
                # made exclusively, so that two sessions never share a job
                self.path(name).open("xb").close()
            except FileExistsError:
                continue
            return name
        raise UsageError(f"more than 999 jobs on {day}; set DIAGNOSE_HOME to another folder.")

    def path(self, job: str) -> Path:
        """Return the log file of a job."""
        return self.jobs / f"{job}.jsonl"

    def find(self, job: str) -> Path:
        """Return the log of an existing job.

        Raises:
            UsageError: If there is none; names the ones there are.
        """
        path = self.path(job)
        if "/" in job or not path.is_file():
            there = ", ".join(self._ids()[-8:]) or "none yet"
            raise UsageError(f"there is no job '{job}'. Jobs: {there}. See `diagnose job list`.")
        return path

    def _ids(self) -> list[str]:
        return sorted(p.stem for p in self.jobs.glob("*.jsonl"))

    def note(self, entry: Entry) -> None:
        """Bring the index up to date for one job."""
        self.home.mkdir(parents=True, exist_ok=True)
        values = (
            entry.id,
            entry.layout,
            entry.aeroplane,
            entry.reported,
            entry.opened,
            entry.state,
            entry.edition,
        )
        try:
            self._write([values])
        except sqlite3.DatabaseError:
            self._index.unlink(missing_ok=True)  # an index is made again, never mourned
            self._write([values])

    def _write(self, rows: list[tuple[str, ...]]) -> None:
        with closing(sqlite3.connect(self._index, timeout=5.0)) as db, db:
            db.execute(_TABLE)
            db.executemany("insert or replace into jobs values (?,?,?,?,?,?,?)", rows)

    def entries(self) -> list[Entry]:
        """Return every job, oldest first; logs the index does not know are read."""
        known: dict[str, Entry] = {}
        try:
            with closing(sqlite3.connect(self._index, timeout=5.0)) as db:
                db.execute(_TABLE)
                known = {row[0]: Entry(*row) for row in db.execute("select * from jobs")}
        except (sqlite3.DatabaseError, OSError):
            known = {}
        out = []
        for job in self._ids():
            out.append(known.get(job) or self._from_log(job))
        return out

    def _from_log(self, job: str) -> Entry:
        events = JobLog(self.path(job)).events
        first = events[0] if events else {}
        return Entry(
            job,
            str(first.get("layout", "")),
            str(first.get("aeroplane", "")),
            str(first.get("reported", "")),
            str(first.get("at", "")),
            "open" if events else "empty",
            str(first.get("edition", "")),
        )
