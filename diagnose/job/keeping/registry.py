"""Where jobs live, and the index of them; the index can always be made again from the logs."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from dataclasses import astuple, dataclass
from pathlib import Path

from diagnose.errors import CaseError
from diagnose.job.keeping.events import JobState, fold
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.log_folder import LogFolder

_TABLE = """create table if not exists jobs (
    id text primary key, layout text not null, aeroplane text not null, reported text not null,
    opened text not null, state text not null, edition text not null)"""

_ALL = "select id, layout, aeroplane, reported, opened, state, edition from jobs"

EMPTY = "empty"
"""State of a job whose opening was never confirmed."""

UNREADABLE = "unreadable"
"""State of a job whose log is damaged."""


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

    @property
    def in_short(self) -> str:
        """The beginning of the report on one line, marked where it is not the whole."""
        whole = " ".join(self.reported.split())
        return whole if len(whole) < 60 else whole[:57] + "..."

    @classmethod
    def of(cls, job: str, state: JobState) -> Entry:
        """Return the line of ``job``, whose events add up to ``state``."""
        layout, aeroplane, reported, at, edition = (
            str(state.opened.get(key, ""))
            for key in ("layout", "aeroplane", "reported", "at", "edition")
        )
        return cls(job, layout, aeroplane, reported, at, state.phase, edition)


class Registry(LogFolder):
    """The jobs of one user: logs in ``home/jobs``, an SQLite index beside them."""

    def __init__(self, home: Path | None = None) -> None:
        """Use ``home``, else DIAGNOSE_HOME, else the user's data folder."""
        super().__init__("jobs", "job", home)
        self._index = self.home / "index.sqlite"

    def note(self, entry: Entry) -> None:
        """Bring the index up to date for one job."""
        self.home.mkdir(parents=True, exist_ok=True)
        self._keep([astuple(entry)])

    def _keep(self, rows: list[tuple[str, ...]]) -> None:
        """Write rows; an index that is no good is made again, one that is in use is left."""
        try:
            self._write(rows)
        except sqlite3.OperationalError as error:
            if "locked" not in str(error):
                self._anew(rows)
            # in use by another window: the log has it all, and listing reads the log
        except sqlite3.DatabaseError:
            self._anew(rows)

    def _anew(self, rows: list[tuple[str, ...]]) -> None:
        # an index is made again, never mourned; a job goes on without one (a full disk, say)
        with suppress(OSError, sqlite3.DatabaseError):
            self._index.unlink(missing_ok=True)
            self._write(rows)

    def _write(self, rows: list[tuple[str, ...]]) -> None:
        with closing(sqlite3.connect(self._index, timeout=5.0)) as db, db:
            db.execute(_TABLE)
            db.executemany("insert or replace into jobs values (?,?,?,?,?,?,?)", rows)

    def entries(self) -> list[Entry]:
        """Return every job, oldest first; logs the index does not know are read and noted.

        A log that cannot be read is listed as ``unreadable``, with what is wrong as ``reported``.
        """
        known: dict[str, Entry] = {}
        try:
            if self._index.exists():
                with closing(sqlite3.connect(self._index, timeout=5.0)) as db:
                    known = {row[0]: Entry(*row) for row in db.execute(_ALL)}
        except (sqlite3.DatabaseError, OSError):
            known = {}
        out, read = [], []
        for job in self.ids():
            entry = known.get(job)
            if entry is None:
                entry = self._from_log(job)
                if entry.state not in (EMPTY, UNREADABLE):
                    read.append(astuple(entry))
            out.append(entry)
        if read:
            self._keep(read)
        return out

    def _from_log(self, job: str) -> Entry:
        try:
            events = JobLog(self.path(job)).events
        except CaseError as error:
            return Entry(job, "", "", str(error), "", UNREADABLE, "")
        return Entry.of(job, fold(events) if events else JobState(phase=EMPTY))
