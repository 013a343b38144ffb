"""What the events of a log add up to: the state of a job.

``fold`` is pure: the same events give the same state, so undoing is folding without an event.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

from diagnose.job.keeping.disturbed import Disturbed, may_leak, told_by
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.job.keeping.stands import in_a_closed_place
from diagnose.model import CauseAt, Finding, Work

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

MENDING = ("rectified", "intervened")
"""Kinds of event that begin a new epoch: what was read on the aeroplane may read differently."""


@dataclass(frozen=True)
class JobState:
    """A job after its events.

    findings: by the number of the event that gave them.  worked: so, too, the work done before
    the report.  asked: readings answered or 'not checked', by key.  rectified: cause -> first
    epoch without it.  in_vain: what of it did not cure: the trouble stayed, or came back in
    flight.  phase: open, part-found, rectified, verified, finished or stopped.  first_page: how
    many of its parts are still to be gone through; None: it was never begun, as where the findings
    came from a case.
    stood_indoors: it was told to stand in a closed place, now or earlier.
    """

    opened: Event = field(default_factory=dict)
    findings: Mapping[int, Finding] = field(default_factory=dict)
    asked: frozenset[tuple[str, str, str]] = frozenset()
    done: frozenset[tuple[str, str]] = frozenset()
    worked: Mapping[int, Work] = field(default_factory=dict)
    tools: frozenset[str] | None = None
    hands: int = 2
    may_run: bool = True
    acknowledged: frozenset[str] = frozenset()
    confirmed: frozenset[str] = frozenset()
    rectified: Mapping[CauseAt, int] = field(default_factory=dict)
    part_found: frozenset[CauseAt] = frozenset()
    in_vain: frozenset[CauseAt] = frozenset()
    epoch: int = 0
    lost: frozenset[str] = frozenset()
    phase: str = "open"
    outcome: str = ""
    notes: tuple[str, ...] = ()
    engine_runs: int = 0
    ground_power: bool = True
    indoors: bool = False
    stood_indoors: bool = False
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

    @property
    def before(self) -> tuple[Work, ...]:
        """Return the work done before the report, in the order it was told."""
        return tuple(w for _, w in sorted(self.worked.items()))

    @property
    def mended(self) -> tuple[CauseAt, ...]:
        """Return what was rectified, without what was mended and did not cure."""
        return tuple(c for c in self.rectified if c not in self.in_vain)

    @property
    def runs_here(self) -> bool:
        """Return whether an engine may be run where the aeroplane stands."""
        return self.may_run and not self.indoors

    def joints_open(self) -> tuple[Disturbed, ...]:
        """Return the feed and control joints not restored: no pump and no run while there are."""
        return tuple(d for d in self.disturbed.values() if d.joint and not d.restored)


def live(events: Iterable[Event]) -> list[Event]:
    """Return the events that still count: those stepped back from are left out."""
    listed = list(events)
    gone = {e["of"] for e in listed if e["event"] == "stepped-back"}
    return [e for e in listed if e["n"] not in gone]


def fold(events: Iterable[Event]) -> JobState:
    """Return the state after ``events``; those stepped back from count no more."""
    state = JobState()
    for event in live(events):
        state = _apply(state, event)
    return state


def last_undoable(events: Iterable[Event]) -> Event | None:
    """Return the event that stepping back would take back, or None.

    Work that came with the aeroplane's file is none: it was kept in one group with the file, and
    that with the job itself.
    """
    return next(
        (
            e
            for e in reversed(live(events))
            if e["event"] in UNDOABLE and not (e["event"] == "work" and e.get("source"))
        ),
        None,
    )


def disturbs(event: Event) -> bool:
    """Return whether an event opened, moved or filled something fuel could come out of."""
    return event["event"] in MENDING or may_leak(event)


def _apply(state: JobState, e: Event) -> JobState:
    if disturbs(e):
        # 'no line left open' and 'fire guard in view' were said of the aeroplane before this work
        state = replace(state, confirmed=frozenset())
    if e.get("disturbs"):
        state = _opened_up(state, e)
    after = _AFTER.get(e["event"])
    return after(state, e) if after else state


# ------------------------------------------------------------------ what is known


def _opened(state: JobState, e: Event) -> JobState:
    indoors = bool(in_a_closed_place(str(e.get("place", ""))))
    return replace(state, opened=e, indoors=indoors, stood_indoors=indoors)


def _given(state: JobState, e: Event) -> JobState:
    finding = finding_of(e["finding"])
    return _taken(replace(state, findings={**state.findings, e["n"]: finding}), e)


def _taken(state: JobState, e: Event) -> JobState:
    reading = e.get("reading")
    if reading:
        state = replace(state, asked=state.asked | {(reading[0], reading[1], reading[2])})
    check = e.get("check")
    if check:
        state = replace(state, done=state.done | {(check[0], check[1])})
    return replace(state, lost=state.lost | frozenset(e.get("destroys", ())))


def _changed(state: JobState, e: Event) -> JobState:
    return replace(state, findings={**state.findings, e["of"]: finding_of(e["finding"])})


def _withdrawn(state: JobState, e: Event) -> JobState:
    kept = {n: f for n, f in state.findings.items() if n != e["of"]}
    worked = {n: w for n, w in state.worked.items() if n != e["of"]}
    return replace(state, findings=kept, worked=worked)


def _worked(state: JobState, e: Event) -> JobState:
    return replace(state, worked={**state.worked, e["n"]: Work(e["what"], e["place"])})


def _noted(state: JobState, e: Event) -> JobState:
    return replace(state, notes=(*state.notes, e["text"]))


# ------------------------------------------------------------------ what is at hand, and safe


def _at_hand(state: JobState, e: Event) -> JobState:
    tools = None if e["tools"] is None else frozenset(e["tools"])
    return replace(
        state,
        tools=tools,
        hands=e["hands"],
        may_run=e["may_run"],
        ground_power=e.get("ground_power", "") != "no",
        indoors=e.get("indoors", False),
        stood_indoors=state.stood_indoors or e.get("indoors", False),
        wind=e.get("wind", ""),
        wind_too_strong=e.get("wind_too_strong", False),
    )


def _acknowledged(state: JobState, e: Event) -> JobState:
    return replace(state, acknowledged=state.acknowledged | {e["hazard"]})


def _confirmed(state: JobState, e: Event) -> JobState:
    return replace(state, confirmed=state.confirmed | {e["item"]})


def _run(state: JobState, _: Event) -> JobState:
    # after a run every hazard is told again, and what was confirmed for it must be again
    return replace(
        state,
        engine_runs=state.engine_runs + 1,
        card={},
        acknowledged=frozenset(),
        confirmed=frozenset(),
    )


# ------------------------------------------------------------------ how far the job is


def _rectified(state: JobState, e: Event) -> JobState:
    cause = CauseAt(e["cause"], e["place"])
    return replace(
        state,
        epoch=state.epoch + 1,
        phase="rectified",
        acknowledged=_stops_read(state),
        rectified={**state.rectified, cause: state.epoch + 1},
        in_vain=state.in_vain - {cause},
    )


def _intervened(state: JobState, e: Event) -> JobState:
    return replace(state, epoch=state.epoch + 1, lost=state.lost | {e["lost"]})


def _verified(state: JobState, e: Event) -> JobState:
    if e["gone"]:
        return replace(state, phase="verified")
    return replace(state, phase="open", in_vain=frozenset(state.rectified))


def _part_found(state: JobState, e: Event) -> JobState:
    found = CauseAt(e["cause"], e["place"])
    return replace(state, phase="part-found", part_found=state.part_found | {found})


def _stopped(state: JobState, _: Event) -> JobState:
    return replace(state, phase="stopped")


def _resumed(state: JobState, _: Event) -> JobState:
    """Return the state for whoever takes it up: cautions unread, guard and chocks unconfirmed."""
    phase = "open" if state.phase == "stopped" else state.phase
    return replace(state, phase=phase, acknowledged=_stops_read(state), confirmed=frozenset())


def _stops_read(state: JobState) -> frozenset[str]:
    """Return the stops acted on: what was seen before a repair is no news after it."""
    return frozenset(h for h in state.acknowledged if h.startswith("stop "))


def _finished(state: JobState, e: Event) -> JobState:
    return replace(state, phase="finished", outcome=e["outcome"])


def _first_page(state: JobState, e: Event) -> JobState:
    return replace(state, first_page=e["left"])


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
    # what leaks was not closed: each joint not proved dry before is made anew, and seen anew
    proved = {"dry": True} if e["dry"] else {"restored": "", "inspected": ""}
    looked_at = {
        d.id: replace(d, **proved)
        for d in state.disturbed.values()
        if d.kind == "line" and not d.open and not d.dry
    }
    return replace(state, disturbed={**state.disturbed, **looked_at}, leak_due=not e["dry"])


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
    return replace(state, flown=0, phase="open", in_vain=frozenset(state.rectified))


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


_AFTER: Mapping[str, Callable[[JobState, Event], JobState]] = {
    "opened": _opened,
    "answered": _given,
    "checked": _given,
    "not-checked": _taken,
    "changed": _changed,
    "withdrawn": _withdrawn,
    "work": _worked,
    "note": _noted,
    "at-hand": _at_hand,
    "acknowledged": _acknowledged,
    "confirmed": _confirmed,
    "run": _run,
    "rectified": _rectified,
    "intervened": _intervened,
    "verified": _verified,
    "part-found": _part_found,
    "stopped": _stopped,
    "resumed": _resumed,
    "finished": _finished,
    "first-page": _first_page,
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
"""What each kind of event changes; the others change nothing but what they disturb."""
