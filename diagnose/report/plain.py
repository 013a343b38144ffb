"""The record of a job as plain frozen data: what every form of it is printed from."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

Row = Mapping[str, object]
"""One row: ids and labels side by side, numbers with their unit in the key."""

UNREVIEWED = "UNREVIEWED"
NOT_A_RELEASE = "This is not a release to service"
NO_FIGURE = "no approved figure entered"

_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


@dataclass(frozen=True)
class Section:
    """One table of the record.

    columns: (key, heading) of what people see; rows may carry more, which JSON gives as well.
    none: what is said when there are no rows.
    """

    id: str
    title: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[Row, ...]
    note: str = ""
    none: str = "none"

    def cells(self, row: Row) -> tuple[str, ...]:
        """Return what people see of ``row``, one text a column, '' where nothing was said."""
        return tuple(shown(row.get(key, "")) for key, _ in self.columns)


@dataclass(frozen=True)
class Report:
    """The record of one job.

    labels: what stands on every page.  sections: its tables in printing order.  made_at: UTC.
    """

    job: str
    aeroplane: str
    layout: str
    edition: str
    edition_in_use: str
    phase: str
    outcome: str
    reported: str
    made_at: str
    warnings: tuple[str, ...]
    sections: tuple[Section, ...]

    @property
    def labels(self) -> tuple[str, ...]:
        """Return the labels that stand on every page."""
        return (
            UNREVIEWED,
            f"job {shown(self.job)}",
            shown(self.aeroplane),
            f"knowledge edition {shown(self.edition)}",
            NOT_A_RELEASE,
        )


def shown(value: object) -> str:
    """Return ``value`` in one line for people, its control characters made visible.

    A typed escape sequence or a change of writing direction must not alter how a page reads;
    JSON keeps what was typed.
    """
    return _visible(" ".join(_as_text(value).split()))


def shown_lines(text: str) -> tuple[str, ...]:
    """Return the lines of a verbatim text, control characters made visible, breaks kept."""
    return tuple(_visible(line.expandtabs(4)) for line in text.splitlines()) or ("",)


def utc(at: object) -> str:
    """Return a logged time in UTC for people; a time that cannot be read is given as it stands."""
    try:
        time = datetime.fromisoformat(str(at))
    except ValueError:
        return str(at)
    if time.tzinfo is None:
        return f"{time:%Y-%m-%d %H:%M:%S} (zone not stated)"
    return f"{time.astimezone(UTC):%Y-%m-%d %H:%M:%S} UTC"


def _as_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return ", ".join(_as_text(v) for v in value)
    return str(value)


def _visible(text: str) -> str:
    return "".join(
        "\ufffd" if c in _BIDI or unicodedata.category(c) in ("Cc", "Cs") else c for c in text
    )
