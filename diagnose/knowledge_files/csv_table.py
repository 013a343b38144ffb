"""A small table as CSV text: a named column in each head, a unit in its head or in its cells.

All problems are gathered, each with file, line and column; what a cell means is for its reader.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from diagnose.errors import CaseError, Origin, Problem, did_you_mean

MOST_BYTES = 2_000_000


@dataclass(frozen=True)
class Cell:
    """The text of one cell, its column's unit added to a bare number, and where it stands."""

    text: str
    origin: Origin


def table_bytes(path: Path, what: str) -> bytes:
    """Return the bytes of a table; ``what`` it is of, for messages ('flights').

    Raises:
        CaseError: If it cannot be read or is too large.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise CaseError([Problem(Origin(path.name), f"is too large to be a list of {what}")])
        return path.read_bytes()
    except OSError as error:
        problem = Problem(Origin(str(path)), f"cannot be read ({error.strerror})")
        raise CaseError([problem]) from None


def csv_rows(
    data: bytes, file: str, columns: Collection[str], what: str, problems: list[Problem]
) -> list[dict[str, Cell]]:
    """Return the cells of each line by column; lines that begin with '#' are passed over.

    Raises:
        CaseError: If it is not UTF-8 text.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise CaseError([Problem(Origin(file), "is not UTF-8 text")]) from None
    reader = csv.reader(io.StringIO(text), skipinitialspace=True)
    out: list[dict[str, Cell]] = []
    header: list[tuple[str, str]] = []
    try:
        for cells in reader:
            if not any(c.strip() for c in cells) or cells[0].lstrip().startswith("#"):
                continue
            line = reader.line_num
            if not header:
                header = [_column(c, Origin(file, line, k + 1), columns, what, problems)
                          for k, c in enumerate(cells)]  # fmt: skip
                names = [name for name, _ in header]
                for k, name in enumerate(names):
                    if name in names[:k]:
                        problems.append(Problem(Origin(file, line, k + 1),
                                                f"'{name[:40]}' stands twice"))  # fmt: skip
                continue
            if len(cells) > len(header):
                at = Origin(file, line, len(header) + 1)
                text_ = f"has {len(cells)} cells under {len(header)} columns"
                problems.append(Problem(at, text_))
            row = {}
            for k, ((name, unit), cell) in enumerate(zip(header, cells, strict=False)):
                words = cell.strip()
                # a bare number takes the unit of its column's head
                if words and unit and words.removeprefix("-").replace(".", "", 1).isdigit():
                    words = f"{words} {unit}"
                row[name] = Cell(words, Origin(file, line, k + 1))
            out.append(row)
    except csv.Error as error:
        problems.append(Problem(Origin(file, reader.line_num), f"is not CSV ({error})"))
    return out


def _column(
    text: str, origin: Origin, columns: Collection[str], what: str, problems: list[Problem]
) -> tuple[str, str]:
    """Return a column's name and the unit in its head."""
    name, bracket, rest = text.strip().partition("[")
    known_column(name.strip().lower(), origin, columns, what, problems)
    return name.strip().lower(), rest.rstrip("] ") if bracket else ""


def known_column(
    name: str, origin: Origin, columns: Collection[str], what: str, problems: list[Problem]
) -> None:
    """Note a column that ``what`` does not have, with the nearest it has."""
    if name not in columns:
        hint = did_you_mean(name, columns, f"; there are {', '.join(columns)}")
        problems.append(Problem(origin, f"'{name[:40]}' is not a column of {what}{hint}"))
