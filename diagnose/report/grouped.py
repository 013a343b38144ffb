"""Rows that say the same of several places or at several times, told once: paper has no room."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from itertools import groupby

from diagnose.report.plain import Row


def numbers(entries: Iterable[object]) -> str:
    """Return entry numbers in order, three or more in a row as a span: '2, 4, 9-12'."""
    spans: list[list[int]] = []
    for n in sorted({int(str(x)) for x in entries}):
        if spans and spans[-1][-1] + 1 == n:
            spans[-1].append(n)
        else:
            spans.append([n])
    said = (f"{s[0]}-{s[-1]}" if len(s) > 2 else ", ".join(map(str, s)) for s in spans)
    return ", ".join(said)


def merged(rows: Sequence[Row], listed: Iterable[str] = ()) -> Row:
    """Return rows that say the same as one: every entry number, the first and last time.

    ``listed``: what differs from row to row, and is told of each in turn.
    """
    if len(rows) == 1:
        return rows[0]
    out = dict(rows[0])
    if any(r.get("n") for r in rows):
        out["n"] = numbers(r["n"] for r in rows if r.get("n"))
    times = list(dict.fromkeys(str(r["time"]) for r in rows if r.get("time")))
    if times:
        out["time"] = _from_to(times[0], times[-1])
    for key in listed:
        each = [str(r.get(key) or "") for r in rows]
        out[key] = "; ".join(each) if any(each) else ""
    return out


def _from_to(first: str, last: str) -> str:
    """Return two times as a span, the day and 'UTC' once where they are the same."""
    if first == last:
        return first
    day = first[: len("2000-01-01 ")]
    return f"{first.removesuffix(' UTC')} to {last.removeprefix(day)}"


def side_by_side(
    rows: Sequence[Row],
    block: Callable[[Row], Hashable],
    same: Callable[[Row], Hashable],
    listed: Sequence[str],
) -> list[Row]:
    """Return ``rows`` with neighbours of one ``block`` and the ``same`` answer put on one line.

    ``listed``: what is told of each in turn, the place first; one place asked again begins anew.
    """
    out: list[Row] = []
    for _, near in groupby(rows, block):
        sets: dict[Hashable, list[Row]] = {}
        for r in near:
            key: tuple[Hashable, int] = (same(r), 0)
            while any(x.get(listed[0]) == r.get(listed[0]) for x in sets.get(key, ())):
                key = (key[0], key[1] + 1)
            sets.setdefault(key, []).append(r)
        out += [merged(alike, listed) for alike in sets.values()]
    return out
