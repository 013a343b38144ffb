"""Interviews as they are printed: the list, and the record word for word."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from diagnose.cli.room import wrap


def list_lines(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return the interviews kept, one a line."""
    none = "No interviews yet. Begin one with: diagnose interview start"
    return [_row(row) for row in rows] or [none]


def _row(row: Mapping[str, Any]) -> str:
    if row["state"] == "unreadable":
        return f"{row['interview']}  unreadable  {row['says']}"
    kind = f"blind on {row['of']}" if row["of"] else "interview"
    verdicts = "; ".join(f"{d} {v}" for d, v in row["verdicts"].items())
    return (
        f"{row['interview']}  {row['state']:<8}  {kind}  {row['layout']}  "
        f"{row['role']} {row['by']}, {row['years']} years, {row['answers']} answers"
        + (f"; {verdicts}" if verdicts else "")
    )


def show_lines(body: Mapping[str, Any]) -> list[str]:
    """Return the record as lines: who, and each answer with its number."""
    first, *rest = body["events"]
    lines = [
        f"Interview {body['interview']}, {first['at']}, layout {first['layout']}",
        f"{first['role']} {first['by']}, {first['years']} years, on {first['kinds']}",
        f"asked by {first['interviewer']}; consent: {first['consent']}",
        "Said by one person and UNREVIEWED until a second one has reviewed what was made of it.",
        "",
    ]
    for e in rest:
        lines += entry_lines(e)
    return lines


def by_ids(f: Mapping[str, Any]) -> str:
    """Return a finding of the record by its ids, with its run state."""
    state = [f["stage"], *(f"{d} {v}" for d, v in f["settings"].items())]
    within = ", ".join(filter(None, state))
    at = " or ".join(f["one_of_places"]) or f["at"]
    value = " or ".join(f["one_of"]) or f["value"]
    return f"{f['question']} {value} at {at}" + (f" [{within}]" if within else "")


def entry_lines(
    e: Mapping[str, Any], words: Callable[[Mapping[str, Any]], str] = by_ids
) -> list[str]:
    """Return one entry of the record as lines, [] of one that says nothing.

    ``words``: how a finding is said.
    """
    mark = " (taken back)" if e["taken_back_by"] else ""
    head = f"{e['n']:>4}  "
    if e["event"] == "said":
        lines = wrap(e["prompt"] + mark, " " * 6, head)
        if not (e.get("rests_on") and e.get("findings")):  # heard words stand just above
            lines += [x for line in e["text"].splitlines() for x in wrap(line, " " * 10, " " * 8)]
        if e.get("first_said"):
            lines += wrap(f"said at first: {e['first_said']}", " " * 10, " " * 8)
        if e.get("chosen"):
            lines += wrap(f"chosen: {e['chosen']}", " " * 10, " " * 8)
        for f in e.get("findings", ()):
            lines += wrap(f"finding: {words(f)}", " " * 10, " " * 8)
        if e.get("reason"):
            lines += wrap(f"why: {e['reason']}", " " * 10, " " * 8)
        return lines
    if e["event"] == "left-out":
        return wrap(f"{e.get('prompt', e['ask'])} {e['why'].upper()}{mark}", " " * 6, head)
    if e["event"] == "step-left-out":
        return [f"{head}part left out: {e['step']}{mark}"]
    if e["event"] == "reviewed":
        return wrap(
            f"{e['draft']}: {e['verdict']} by {e['by']}, {e['at']}. {e['reason']}", " " * 6, head
        )
    if e["event"] == "reworded":
        said = f"{e['draft']}: {e['key']} in the words of {e['by']}, {e['at']}: {e['text']}"
        return wrap(said, " " * 6, head)
    if e["event"] == "note":
        return wrap(f"note: {e['text']}", " " * 6, head)
    return []
