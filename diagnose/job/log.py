"""The log of a job: one JSON event a line, appended and flushed to disk before anything is told.

A kill at any moment loses at most the line being written.  Such a torn last line is set aside in
a file beside the log and told; any other damage is an error with its place.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from diagnose.errors import CaseError, Origin, Problem

Event = Mapping[str, Any]
"""``n`` (from 1), ``at`` (UTC time), ``event`` (kind) and what the kind carries."""


class JobLog:
    """An append-only file of events."""

    def __init__(self, path: Path) -> None:
        """Read the events of ``path``; a missing file is an empty log.

        Raises:
            CaseError: If a line other than a torn last one is damaged.
        """
        self.path = path
        self.set_aside = ""
        self.events: list[Event] = self._read() if path.exists() else []

    def append(self, kind: str, **carries: Any) -> Event:
        """Write one event, on disk when this returns, and return it."""
        event = {
            "n": len(self.events) + 1,
            "at": datetime.now(UTC).isoformat(timespec="seconds"),
            "event": kind,
            **carries,
        }
        line = json.dumps(event, ensure_ascii=False, separators=(",", ":")) + "\n"
        self.path.parent.mkdir(parents=True, exist_ok=True)
        with self.path.open("ab") as file:
            file.write(line.encode())
            file.flush()
            os.fsync(file.fileno())
        self.events.append(event)
        return event

    def _read(self) -> list[Event]:
        data = self.path.read_bytes()
        whole, _, torn = data.rpartition(b"\n")
        if torn:
            self._put_aside(torn, len(data) - len(torn))
        lines = whole.split(b"\n") if whole else []
        events, problems = [], []
        for number, line in enumerate(lines, start=1):
            try:
                event = json.loads(line.decode("utf-8"))
            except UnicodeDecodeError as error:
                problems.append(self._problem(number, error.start + 1, "not UTF-8 text"))
                continue
            except (json.JSONDecodeError, RecursionError) as error:
                col = getattr(error, "colno", 1)
                problems.append(self._problem(number, col, "not a JSON event"))
                continue
            wrong = _wrong(event, number)
            if wrong:
                problems.append(self._problem(number, 1, wrong))
                continue
            events.append(event)
        if problems:
            raise CaseError(problems)
        return events

    def _put_aside(self, torn: bytes, keep: int) -> None:
        """Move a torn last line out of the way, so that the next event starts a line."""
        aside = self.path.with_suffix(".torn")
        with aside.open("ab") as file:
            file.write(torn + b"\n")
        with self.path.open("r+b") as file:
            file.truncate(keep)
        self.set_aside = (
            f"the last entry was cut off while it was being written; "
            f"what there was of it is kept in {aside.name}. Enter it again."
        )

    def _problem(self, line: int, col: int, what: str) -> Problem:
        text = (
            f"{what}; a job log holds one event a line. "
            "Restore the file from a copy, or remove the damaged line if you know what it held."
        )
        return Problem(Origin(self.path.name, line, col), text)


def _wrong(event: object, number: int) -> str:
    if not isinstance(event, dict) or not isinstance(event.get("event"), str):
        return "not an event of a job"
    if event.get("n") != number:
        return f"event number {event.get('n')!r} where {number} should stand"
    if not isinstance(event.get("at"), str):
        return "an event without its time"
    return ""
