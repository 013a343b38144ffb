"""What the events of a log add up to: the state of a job.

``fold`` is pure: the same events give the same state, so undoing is folding without an event.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from diagnose.job.keeping.disturbed import Disturbed, may_leak, told_by
from diagnose.job.keeping.log import Event
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
    "disturbed",
    "restored",
    "inspected",
    "leak-checked",
    "followed-up",
    "watch-set",
    "complaint",
    "complaint-placed",
    "not-reproduced",
    "flown",
}
"""Kinds of event that stepping back takes back, one at a time."""


@dataclass(frozen=True)
class JobState:
    """A job after its events.

    findings: by the number of the event that gave them.  asked: readings answered or 'not
    checked', by key.  rectified: cause -> first epoch without it.  phase: open, part-found,
    rectified, verified, finished or stopped.  first_page: how many of its parts are still to be
    gone through; None: it was never begun, as where the findings came from a case.
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
    ground_power: bool = True
    indoors: bool = False
    wind: str = ""
    wind_too_strong: bool = False
    disturbed: Mapping[str, Disturbed] = field(default_factory=dict)
    leak_due: bool = False
    followed: Mapping[str, str] = field(default_factory=dict)
    flights: int | None = None
    flown: int = 0
    card: Event = field(default_factory=dict)
    giver: str = ""
    handover: Mapping[str, str] = field(default_factory=dict)
    not_so: Mapping[str, str] = field(default_factory=dict)
    first_page: int | None = None

    def joints_open(self) -> tuple[Disturbed, ...]:
        """Return the feed and control joints not restored: no pump and no run while there are."""
        return tuple(d for d in self.disturbed.values() if d.joint and not d.restored)


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
    if kind in ("rectified", "intervened") or may_leak(e):
        # 'no line left open' and 'fire guard in view' were said of the aeroplane before this work
        state = replace(state, confirmed=frozenset())
    if e.get("disturbs"):
        state = _opened_up(state, e)
    after = _LATER.get(kind)
    if after is not None:
        return after(state, e)
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
        return replace(
            state,
            tools=tools,
            hands=e["hands"],
            may_run=e["may_run"],
            ground_power=e.get("ground_power", "") != "no",
            indoors=e.get("indoors", False),
            wind=e.get("wind", ""),
            wind_too_strong=e.get("wind_too_strong", False),
        )
    if kind == "acknowledged":
        return replace(state, acknowledged=state.acknowledged | {e["hazard"]})
    if kind == "confirmed":
        return replace(state, confirmed=state.confirmed | {e["item"]})
    if kind == "run":
        # after a run every hazard is told again, and what was confirmed for it must be again
        return replace(
            state,
            engine_runs=state.engine_runs + 1,
            card={},
            acknowledged=frozenset(),
            confirmed=frozenset(),
        )
    if kind == "rectified":
        cause = CauseAt(e["cause"], e["place"])
        return replace(
            state,
            epoch=state.epoch + 1,
            phase="rectified",
            acknowledged=_stops_read(state),
            rectified={**state.rectified, cause: state.epoch + 1},
        )
    if kind == "intervened":
        return replace(state, epoch=state.epoch + 1, lost=state.lost | {e["lost"]})
    if kind == "verified":
        return replace(state, phase="verified" if e["gone"] else "open")
    if kind in ("part-found", "stopped", "paused", "resumed"):
        phase = {"part-found": "part-found", "stopped": "stopped", "resumed": "open"}.get(kind)
        if kind == "resumed":
            phase = phase if state.phase == "stopped" else None
            state = _somebody_else(state)
        return replace(state, phase=phase or state.phase)
    if kind == "finished":
        return replace(state, phase="finished", outcome=e["outcome"])
    if kind == "first-page":
        return replace(state, first_page=e["left"])
    if kind == "note":
        return replace(state, notes=(*state.notes, e["text"]))
    return state


def _somebody_else(state: JobState) -> JobState:
    """Return the state for whoever takes it up: cautions unread, guard and chocks unconfirmed."""
    return replace(state, acknowledged=_stops_read(state), confirmed=frozenset())


def _stops_read(state: JobState) -> frozenset[str]:
    """Return the stops acted on: what was seen before a repair is no news after it."""
    return frozenset(h for h in state.acknowledged if h.startswith("stop "))


def _taken(state: JobState, e: Event) -> JobState:
    reading = e.get("reading")
    if reading:
        state = replace(state, asked=state.asked | {(reading[0], reading[1], reading[2])})
    check = e.get("check")
    if check:
        state = replace(state, done=state.done | {(check[0], check[1])})
    return replace(state, lost=state.lost | frozenset(e.get("destroys", ())))


# ------------------------------------------------------------------ state of the aeroplane


def _opened_up(state: JobState, e: Event) -> JobState:
    new = {d.id: d for d in told_by(e)}
    due = state.leak_due or any(d.kind == "line" for d in new.values())
    return replace(state, disturbed={**state.disturbed, **new}, leak_due=due)


def _shut(state: JobState, e: Event) -> JobState:
    item = state.disturbed.get(e["item"])
    if item is None:
        return state  # what opened it was taken back
    signed = {"restored": e["by"]} if e["event"] == "restored" else {"inspected": e["by"]}
    return replace(state, disturbed={**state.disturbed, item.id: replace(item, **signed)})


def _leak_checked(state: JobState, e: Event) -> JobState:
    return replace(state, leak_due=not e["dry"])


def _followed(state: JobState, e: Event) -> JobState:
    return replace(state, followed={**state.followed, e["item"]: e["text"]})


def _watched(state: JobState, e: Event) -> JobState:
    return replace(state, flights=e["flights"])


def _left_watched(state: JobState, e: Event) -> JobState:
    return replace(state, flights=e["flights"], flown=0, phase="watched")


def _flown(state: JobState, e: Event) -> JobState:
    if e["clear"]:
        return replace(state, flown=state.flown + 1)
    # the trouble came back: what was verified is not, and the flights begin anew
    return replace(state, flown=0, phase="open")


def _carded(state: JobState, e: Event) -> JobState:
    return replace(state, card=e)


def _handed(state: JobState, e: Event) -> JobState:
    lines = dict(e["lines"])
    return replace(state, giver=e["by"], handover=lines, not_so={})


def _taken_over(state: JobState, e: Event) -> JobState:
    left = {key: text for key, text in state.handover.items() if key != e["line"]}
    said = state.not_so
    if not e["agreed"]:
        said = {**said, e["line"]: f"{state.handover.get(e['line'], '')} -- {e.get('text', '')}"}
    return replace(state, handover=left, not_so=said)


_LATER: Mapping[str, Callable[[JobState, Event], JobState]] = {
    "disturbed": lambda state, e: state,
    "restored": _shut,
    "inspected": _shut,
    "leak-checked": _leak_checked,
    "followed-up": _followed,
    "watch-set": _watched,
    "not-reproduced": _left_watched,
    "flown": _flown,
    "card": _carded,
    "handed-over": _handed,
    "taken-over": _taken_over,
}
"""What the day around the diagnosis adds, by kind of event."""


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
        "tries": f.tries,
        "seen": f.seen,
        "reached": f.reached,
        "chances": [[c, p] for c, p in f.chances],
        "one_of": list(f.one_of),
        "one_of_places": list(f.one_of_places),
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
        # logs kept before these were counted have none of them
        tries=data.get("tries", 1),
        seen=data.get("seen", 1),
        reached=data.get("reached", True),
        chances=tuple((c, p) for c, p in data.get("chances", ())),
        one_of=tuple(data.get("one_of", ())),
        one_of_places=tuple(data.get("one_of_places", ())),
    )
