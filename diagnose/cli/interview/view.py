"""Interviews as they are printed: the list, and the record word for word."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from diagnose.capture.record import Interview, folder
from diagnose.cli.job.screens import wrap
from diagnose.errors import CaseError


def listed() -> list[dict[str, Any]]:
    """Return one row an interview, oldest first; one that cannot be read says why."""
    place = folder()
    out: list[dict[str, Any]] = []
    for name in place.ids():
        if not place.path(name).stat().st_size:
            continue  # begun and never agreed to: there is nothing in it
        try:
            interview = Interview.find(place, name)
        except CaseError as error:
            out.append({"interview": name, "state": "unreadable", "says": str(error)})
            continue
        told = interview.told()
        o = told.opened
        out.append(
            {
                "interview": name,
                "kind": interview.kind,
                "of": interview.of,
                "state": "finished" if told.finished else "begun",
                "layout": o["layout"],
                "by": o["by"],
                "role": o["role"],
                "years": o["years"],
                "interviewer": o["interviewer"],
                "answers": len(told.said),
                "verdicts": {k: v["verdict"] for k, v in interview.verdicts().items()},
            }
        )
    return out


def row_text(row: Mapping[str, Any]) -> str:
    """Return a row of the list as one line."""
    if row["state"] == "unreadable":
        return f"{row['interview']}  unreadable  {row['says']}"
    kind = f"blind on {row['of']}" if row["of"] else "interview"
    verdicts = "; ".join(f"{d} {v}" for d, v in row["verdicts"].items())
    return (
        f"{row['interview']}  {row['state']:<8}  {kind}  {row['layout']}  "
        f"{row['role']} {row['by']}, {row['years']} years, {row['answers']} answers"
        + (f"; {verdicts}" if verdicts else "")
    )


def show_body(interview: Interview) -> dict[str, Any]:
    """Return the whole record as plain data: every event, taken back or not."""
    gone = {e["of"]: e["n"] for e in interview.log.events if e["event"] == "taken-back"}
    events = [{**e, "taken_back_by": gone.get(e["n"])} for e in interview.log.events]
    return {"interview": interview.name, "source": interview.source, "events": events}


def show_text(body: Mapping[str, Any]) -> list[str]:
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
    if e["event"] == "note":
        return wrap(f"note: {e['text']}", " " * 6, head)
    return []
