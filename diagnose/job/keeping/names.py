"""Whether an event of a log names only what the knowledge and the layout in use have."""

from __future__ import annotations

from diagnose.job.keeping.disturbed import told_by
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.model import AEROPLANE, DIMENSIONS, STAGES, Finding, Layout, Library
from diagnose.places import joint_positions

_PLACED = ("work", "tested", "complaint", "complaint-placed")
"""Kinds of event that name a place and nothing else of the layout."""


def unknown_name(library: Library, layout: Layout, event: Event) -> str:
    """Return what ``event`` names that is unknown, in words; '' when it names nothing unknown.

    The event has passed ``wrong_with``: its keys and types are sound.
    """
    kind = event["event"]
    if kind == "opened" and event["layout"] != layout.id:
        return f"the job is of layout '{event['layout']}', not of '{layout.id}'"
    if "finding" in event:
        unknown = _in_finding(library, layout, finding_of(event["finding"]))
        if unknown:
            return unknown
    # pairs of a name and where it is said to be, whichever of them the event carries
    readings = [r for r in (event.get("reading"), *event.get("readings", ())) if r]
    if kind == "card":
        readings += [
            [question, at, ""] for _, _, question, *places in event["lines"] for at in places
        ]
    for question, at, _ in readings:
        if question not in library.questions:
            return _not("question", question)
        if unknown := _place(layout, at):
            return unknown
    for d in told_by(event):
        if unknown := _place(layout, d.place):
            return unknown
    if event.get("check"):
        check, at = event["check"]
        return _place(layout, at) if check in library.checks else _not("check", check)
    if kind in ("rectified", "part-found"):
        if event["cause"] not in library.causes:
            return _not("cause", event["cause"])
        return _place(layout, event["place"])
    return _place(layout, event["place"]) if kind in _PLACED else ""


def _in_finding(library: Library, layout: Layout, f: Finding) -> str:
    known = library.checks.get(f.question) if f.check else library.questions.get(f.question)
    if known is None:
        return _not("check" if f.check else "question", f.question)
    for value in f.classes:
        if value not in known.answers:
            return f"'{value}' is not an answer to '{f.question}' in the knowledge in use"
    if f.state.stage and f.state.stage not in STAGES:
        return f"'{f.state.stage}' is not a stage of operation"
    for name, value in f.state.settings.items():
        values = DIMENSIONS.get(name)
        if values is None or (values and value not in values):
            return f"'{name} {value}' is not a run state"
        if not values and value not in (*layout.parts, *joint_positions(layout)):
            return _place(layout, value)
    return next((unknown for at in (f.at, *f.places) if (unknown := _place(layout, at))), "")


def _place(layout: Layout, at: str) -> str:
    if at == AEROPLANE or at in layout.parts:
        return ""
    return f"'{at}' is not a part of layout '{layout.id}'"


def _not(what: str, name: str) -> str:
    return f"'{name}' is not a {what} of the knowledge in use"
