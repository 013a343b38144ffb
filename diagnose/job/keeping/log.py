"""The log of a job or an interview: one JSON event a line, on disk before anything is told.

A kill at any moment loses at most what is being written: one event, or a group of events that only
count together (a table of readings).  Such a torn end is told, and set aside in a file beside the
log before anything is written after it; any other damage is an error with its place.  Reading
changes nothing on disk: another window may be writing the same job.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from diagnose.errors import CaseError, Origin, Problem
from diagnose.grammar import a
from diagnose.job.keeping.shapes import JOB, LogKind, wrong_with

Event = Mapping[str, Any]
"""``n`` (from 1), ``at`` (UTC time), ``event`` (kind) and what the kind carries."""

Unkept = tuple[str, Mapping[str, Any]]
"""A kind of event and what it carries, before it is kept."""

MOST_PROBLEMS = 8
"""Told at once; a file damaged throughout is not told line by line."""

_UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
_SUSPECT = re.compile(r"\\[ubfr]|[\x7f-\x9f]")  # a line without these holds nothing unprintable


class JobLog:
    """An append-only file of events."""

    def __init__(self, path: Path, kind: LogKind = JOB) -> None:
        """Read the events of ``path``; a missing file is an empty log of ``kind``.

        Raises:
            CaseError: If a line other than a torn last one is damaged, or the file cannot be read.
        """
        self.path = path
        self.kind = kind
        self.set_aside = ""
        self._torn = b""
        self._whole = 0  # bytes of whole lines: what this log has read or written itself
        self.events: list[Event] = self._read()

    def opening(self, nothing: str) -> Event:
        """Return the event that opened it; ``nothing``: what is told where nothing was kept.

        Raises:
            CaseError: If nothing was.
        """
        if not self.events:
            raise CaseError([Problem(Origin(self.path.name, 1, 1), nothing)])
        return self.events[0]

    def append(self, kind: str, **carries: Any) -> Event:
        """Write one event, on disk when this returns, and return it as a later reading would.

        Raises:
            CaseError: If it cannot be written, or another session wrote to the log meanwhile.
            ValueError: If ``carries`` is not what this kind of event carries.
        """
        return self.append_group([(kind, carries)])[0]

    def append_group(self, entries: Sequence[Unkept]) -> list[Event]:
        """Write events that only count together: after a kill all of them stand, or none.

        Every event of a group of two and more carries ``part``: [its place from 1, how many].

        Raises:
            CaseError, ValueError: As ``append``; nothing is kept then.
        """
        events: list[Event] = []
        data = b""
        for k, (kind, carries) in enumerate(entries, start=1):
            part = {"part": [k, len(entries)]} if len(entries) > 1 else {}
            line, event = self._line(len(self.events) + k, kind, {**carries, **part})
            data += line + b"\n"
            events.append(event)
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._write(data)
            self.events.extend(events)
        except OSError as error:
            text = (
                f"the entry could not be kept ({error.strerror}); all before it is. Mend that, "
                f"take it up again with `{self.kind.take_up}` and enter it again."
            )
            raise CaseError([Problem(Origin(self.path.name), text)]) from None
        except KeyboardInterrupt:
            self.events = self._read()  # only the file can say whether it was kept
            raise
        return events

    def _line(self, number: int, kind: str, carries: Mapping[str, Any]) -> tuple[bytes, Event]:
        """Return one event as its line and as a later reading would give it."""
        stamp = datetime.now(UTC).isoformat(timespec="seconds")
        event: Any = {"n": number, "at": stamp, "event": kind, **carries}
        # a terminal may hand over half a character or an arrow key; '?' stands for it, also here
        event = _printable(event)
        text = json.dumps(event, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
        line = text.encode()
        event = json.loads(line)
        wrong = wrong_with(event, number, self.kind)
        if wrong:
            raise ValueError(f"event not kept: {wrong}")
        return line, event

    def _write(self, line: bytes) -> None:
        # unbuffered: a buffer would try again when closed, after the file was cut back
        with self.path.open("ab", buffering=0) as file:
            if file.tell() != self._whole + len(self._torn):
                text = (
                    f"another window has gone on with this {self.kind.name} meanwhile; this entry "
                    "is not kept. Close one of them and take it up again with "
                    f"`{self.kind.take_up}`."
                )
                raise CaseError([Problem(Origin(self.path.name, len(self.events) + 1, 1), text)])
            if self._torn:
                self._put_aside()
            try:
                left = memoryview(line)
                while left:
                    left = left[file.write(left) :]
                os.fsync(file.fileno())
            except OSError:
                # a full disk may have taken half of the line; the next one must start a line
                os.ftruncate(file.fileno(), self._whole)
                raise
            self._whole += len(line)

    def _read(self) -> list[Event]:
        try:
            data = self.path.read_bytes()
        except FileNotFoundError:
            return []
        except OSError as error:
            text = f"the log cannot be read: {error.strerror}."
            raise CaseError([Problem(Origin(self.path.name), text)]) from None
        whole = data.rpartition(b"\n")[0]
        whole = whole[: len(whole) - _half_group(whole)]
        self._whole = len(whole) + 1 if whole else 0
        self._torn = data[self._whole :]
        if self._torn:
            self.set_aside = (
                "the last entry was cut off while it was being written; what there is of it goes "
                f"to {self._aside.name} when it goes on. Enter it again."
            )
        events: list[Event] = []
        problems: list[Problem] = []
        due = (1, 1)
        for number, line in enumerate(whole.split(b"\n") if self._whole else [], start=1):
            try:
                event: Any = _parsed(line)
                wrong, col = wrong_with(event, number, self.kind), 1
                if not wrong:
                    wrong, due = _out_of_group(event, due)
            except UnicodeDecodeError as error:
                wrong, col = "not UTF-8 text", error.start + 1
            except (ValueError, RecursionError) as error:
                # ValueError: not JSON, or a number longer than any figure
                wrong, col = "not a JSON event", getattr(error, "colno", 1)
            if not wrong:
                events.append(event)
                continue
            problems.append(self._problem(number, col, wrong))
            if len(problems) == MOST_PROBLEMS:
                break
        if problems:
            raise CaseError(problems)
        return events

    @property
    def _aside(self) -> Path:
        return self.path.with_suffix(".torn")

    def _put_aside(self) -> None:
        """Move a torn last line out of the way, so that the next event starts a line."""
        with self._aside.open("ab") as file:
            file.write(self._torn + b"\n")
            file.flush()
            os.fsync(file.fileno())
        os.truncate(self.path, self._whole)
        self._torn = b""

    def _problem(self, line: int, col: int, what: str) -> Problem:
        text = (
            f"{what}; the log of {a(self.kind.name)} holds one event a line. "
            "Restore the file from a copy, or remove the damaged line if you know what it held."
        )
        return Problem(Origin(self.path.name, line, col), text)


def _half_group(whole: bytes) -> int:
    """Return the bytes at the end of ``whole`` that belong to a group not written to its end."""
    lines = whole.split(b"\n")
    try:
        k, of = _part(json.loads(lines[-1]))
    except (ValueError, RecursionError):
        return 0  # damage, told where it stands
    return 0 if k == of else min(len(whole), sum(len(x) + 1 for x in lines[-k:]))


def _part(event: Any) -> tuple[int, int]:
    """Return (place, size) of an event in its group; a single event is a group of one."""
    part = event.get("part") if isinstance(event, dict) else None
    if isinstance(part, list) and len(part) == 2 and all(type(x) is int for x in part):
        k, of = part
        return (k, of) if 1 <= k <= of else (1, 1)
    return 1, 1


def _out_of_group(event: Event, due: tuple[int, int]) -> tuple[str, tuple[int, int]]:
    """Return (what is wrong, what is due next); ``due``: place and size, (1, 1) between groups."""
    k, of = _part(event)
    if (k, of) != due and not (due == (1, 1) and k == 1):
        return "a group of entries with one missing", (1, 1)
    return "", (1, 1) if k == of else (k + 1, of)


def _parsed(line: bytes) -> Any:
    """Return the JSON value of a line; raise ValueError when it is none a log could hold."""
    text = line.decode("utf-8")
    value = json.loads(text, parse_constant=_no_constant, object_pairs_hook=_each_once)
    if _SUSPECT.search(text) and _printable(value) != value:
        raise ValueError("text that cannot be printed")
    return value


def printable(text: str) -> str:
    """Return ``text`` with '?' for half characters and for what would drive a terminal."""
    return _UNPRINTABLE.sub("?", text.replace("\r\n", "\n"))


def _printable(value: Any) -> Any:
    """Return ``value`` with every text in it printable."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, Mapping):
        return {_printable(k): _printable(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(v) for v in value]
    return value


def _each_once(pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a key that stands twice: which of the two was meant is not known")
    return found


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is not JSON")
