"""What the events of a log add up to: the state of a job.

``fold`` is pure: the same events give the same state, so undoing is folding without an event.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from diagnose.job.log import Event
from diagnose.model import CauseAt, Finding, State, Work

UNDOABLE = {
    "answered",
    "not-checked",
    "checked",
    "work",
    "at-hand",
    "acknowledged",
    "confirmed",
    "rectified",
    "intervened",
    "verified",
    "note",
    "changed",
    "withdrawn",
}
"""Kinds of event that stepping back takes back, one at a time."""

INTERVENTIONS = ("drained", "refuelled", "replaced")
"""What starts a new epoch besides a rectification: signs before and after are kept apart."""


@dataclass(frozen=True)
class JobState:
    """A job after its events.

    findings: by the number of the event that gave them.  skipped: readings answered 'not
    checked', by key.  rectified: cause -> first epoch without it.  phase: open, part-found,
    rectified, verified, finished or stopped.
    """

    opened: Event = field(default_factory=dict)
    findings: Mapping[int, Finding] = field(default_factory=dict)
    asked: frozenset[tuple[str, str, str]] = frozenset()
    done: frozenset[tuple[str, str]] = frozenset()
    before: tuple[Work, ...] = ()
    tools: frozenset[str] | None = None
    hands: int = 2
    may_run: bool = True
    acknowledged: frozenset[str] = frozenset()
    confirmed: frozenset[str] = frozenset()
    rectified: Mapping[CauseAt, int] = field(default_factory=dict)
    epoch: int = 0
    lost: frozenset[str] = frozenset()
    phase: str = "open"
    outcome: str = ""
    notes: tuple[str, ...] = ()
    engine_runs: int = 0


def fold(events: Iterable[Event]) -> JobState:
    """Return the state after ``events``; those stepped back from count no more."""
    listed = list(events)
    gone = {e["of"] for e in listed if e["event"] == "stepped-back"}
    state = JobState()
    for event in listed:
        if event["n"] not in gone:
            state = _apply(state, event)
    return state


def last_undoable(events: Iterable[Event]) -> Event | None:
    """Return the event that stepping back would take back, or None."""
    listed = list(events)
    gone = {e["of"] for e in listed if e["event"] == "stepped-back"}
    return next(
        (e for e in reversed(listed) if e["event"] in UNDOABLE and e["n"] not in gone), None
    )


def _apply(state: JobState, e: Event) -> JobState:
    kind = e["event"]
    if kind == "opened":
        return replace(state, opened=e)
    if kind in ("answered", "checked"):
        finding = finding_of(e["finding"])
        state = replace(state, findings={**state.findings, e["n"]: finding})
        return _taken(state, e)
    if kind == "not-checked":
        return _taken(state, e)
    if kind == "changed":
        return replace(state, findings={**state.findings, e["of"]: finding_of(e["finding"])})
    if kind == "withdrawn":
        kept = {n: f for n, f in state.findings.items() if n != e["of"]}
        return replace(state, findings=kept)
    if kind == "work":
        return replace(state, before=(*state.before, Work(e["what"], e["place"])))
    if kind == "at-hand":
        tools = None if e["tools"] is None else frozenset(e["tools"])
        return replace(state, tools=tools, hands=e["hands"], may_run=e["may_run"])
    if kind == "acknowledged":
        return replace(state, acknowledged=state.acknowledged | {e["hazard"]})
    if kind == "confirmed":
        return replace(state, confirmed=state.confirmed | {e["item"]})
    if kind == "run":
        # after a run every hazard is told again, and what was confirmed for it must be again
        return replace(
            state,
            engine_runs=state.engine_runs + 1,
            acknowledged=frozenset(),
            confirmed=frozenset(),
        )
    if kind == "rectified":
        cause = CauseAt(e["cause"], e["place"])
        return replace(
            state,
            epoch=state.epoch + 1,
            phase="rectified",
            acknowledged=frozenset(),
            rectified={**state.rectified, cause: state.epoch + 1},
        )
    if kind == "intervened":
        return replace(state, epoch=state.epoch + 1, lost=state.lost | {e["lost"]})
    if kind == "verified":
        return replace(state, phase="verified" if e["gone"] else "open")
    if kind in ("part-found", "stopped", "paused", "resumed"):
        phase = {"part-found": "part-found", "stopped": "stopped", "resumed": "open"}.get(kind)
        if kind == "resumed" and state.phase != "stopped":
            phase = None
        return replace(state, phase=phase or state.phase)
    if kind == "finished":
        return replace(state, phase="finished", outcome=e["outcome"])
    if kind == "note":
        return replace(state, notes=(*state.notes, e["text"]))
    return state


def _taken(state: JobState, e: Event) -> JobState:
    reading = e.get("reading")
    if reading:
        state = replace(state, asked=state.asked | {(reading[0], reading[1], reading[2])})
    check = e.get("check")
    if check:
        state = replace(state, done=state.done | {(check[0], check[1])})
    return replace(state, lost=state.lost | frozenset(e.get("destroys", ())))


# ------------------------------------------------------------------ findings as JSON


def finding_as_json(f: Finding) -> dict[str, Any]:
    """Return a finding as plain data, every field named."""
    return {
        "question": f.question,
        "at": f.at,
        "value": f.value,
        "stage": f.state.stage,
        "settings": dict(f.state.settings),
        "known_by": f.known_by,
        "check": f.check,
        "others_normal": f.others_normal,
        "number_si": f.number,
        "typed": f.typed,
        "after": f.after,
        "epoch": f.epoch,
    }


def finding_of(data: Mapping[str, Any]) -> Finding:
    """Return the finding ``data`` stands for; the inverse of ``finding_as_json``."""
    return Finding(
        data["question"],
        data["at"],
        data["value"],
        State(data["stage"], dict(data["settings"])),
        data["known_by"],
        data["check"],
        data["others_normal"],
        data["number_si"],
        data["typed"],
        data["after"],
        data["epoch"],
    )
