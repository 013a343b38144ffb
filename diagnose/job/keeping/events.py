"""What the events of a log add up to: the state of a job.

``fold`` is pure: the same events give the same state, so undoing is folding without an event.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
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
    "proof-waits",
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
    flight.  proof_waits: what bars the verification is looked into first.  phase: open, part-found,
    rectified, verified, finished or stopped.  first_page: how many of its parts are still to be
    gone through; None: it was never begun, as where the findings came from a case.
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
    proof_waits: bool = False
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
    def known_bad(self) -> frozenset[CauseAt]:
        """Return what a check found, cured by it or not, and what was mended and is not in vain."""
        return self.part_found | frozenset(self.mended)

    @property
    def last_repair(self) -> int:
        """Return the epoch that the last repair began: a danger seen before it is no news."""
        return max(self.rectified.values(), default=0)

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


_OPENED = ("opening", "draining", "moving")
"""What a look or a sample opens and may leave so, as what it spoils is called: cap, drain, cock."""


def _may_be_left_open(event: Event) -> bool:
    """Return whether an event is a look or a sample for which a cap, drain or cock was opened."""
    return any(lost.partition(" ")[0] in _OPENED for lost in event.get("destroys", ()))


def disturbs(event: Event) -> bool:
    """Return whether an event opened, moved or filled something fuel could come out of."""
    return event["event"] in MENDING or may_leak(event)


def _apply(state: JobState, e: Event) -> JobState:
    if disturbs(e) or _may_be_left_open(e):
        # 'no line left open' and 'fire guard in view' were said of the aeroplane before this work
        state = replace(state, confirmed=frozenset())
    if e.get("disturbs"):
        new = {d.id: d for d in told_by(e)}
        due = state.leak_due or any(d.kind == "line" for d in new.values())
        state = replace(state, disturbed={**state.disturbed, **new}, leak_due=due)
    return _after(state, e)


def _after(s: JobState, e: Event) -> JobState:
    """Return the state after one event; a kind not listed changes nothing but what it disturbs."""
    match e["event"]:
        # what is known
        case "opened":
            indoors = bool(in_a_closed_place(str(e.get("place", ""))))
            return replace(s, opened=e, indoors=indoors, stood_indoors=indoors)
        case "answered" | "checked":
            found = {**s.findings, e["n"]: finding_of(e["finding"])}
            return _asked(replace(s, findings=found), e)
        case "not-checked":
            return _asked(s, e)
        case "changed":
            return replace(s, findings={**s.findings, e["of"]: finding_of(e["finding"])})
        case "withdrawn":
            kept = {n: f for n, f in s.findings.items() if n != e["of"]}
            worked = {n: w for n, w in s.worked.items() if n != e["of"]}
            return replace(s, findings=kept, worked=worked)
        case "work":
            return replace(s, worked={**s.worked, e["n"]: Work(e["what"], e["place"])})
        case "note":
            return replace(s, notes=(*s.notes, e["text"]))
        case "first-page":
            return replace(s, first_page=e["left"])
        # what is at hand, and safe
        case "at-hand":
            return replace(
                s,
                tools=None if e["tools"] is None else frozenset(e["tools"]),
                hands=e["hands"],
                may_run=e["may_run"],
                ground_power=e.get("ground_power", "") != "no",
                indoors=e.get("indoors", False),
                stood_indoors=s.stood_indoors or e.get("indoors", False),
                wind=e.get("wind", ""),
                wind_too_strong=e.get("wind_too_strong", False),
            )
        case "acknowledged":
            return replace(s, acknowledged=s.acknowledged | {e["hazard"]})
        case "confirmed":
            return replace(s, confirmed=s.confirmed | {e["item"]})
        case "run":
            # every caution is told again after it, and what was confirmed for it must be again; a
            # danger acted on is no news; where an engine was run, one may be run, whatever was
            # said before of here
            ran = replace(s, engine_runs=s.engine_runs + 1, may_run=True, indoors=False)
            over = replace(ran, card={})
            return replace(over, acknowledged=_stops_read(s), confirmed=frozenset())
        # how far the job is
        case "rectified":
            cause = CauseAt(e["cause"], e["place"])
            return replace(
                s,
                epoch=s.epoch + 1,
                phase="rectified",
                acknowledged=_stops_read(s),
                rectified={**s.rectified, cause: s.epoch + 1},
                in_vain=s.in_vain - {cause},
                proof_waits=False,
            )
        case "intervened":
            return replace(s, epoch=s.epoch + 1, lost=s.lost | {e["lost"]}, proof_waits=False)
        case "verified":
            # the state of the report was set up again: how a cock had been left shows no more
            s = replace(s, lost=s.lost | {"moving"})
            if e.get("partly"):  # of several troubles one is gone: nothing mended was in vain
                return replace(s, phase="open")
            return replace(s, phase="verified") if e["gone"] else _came_back(s)
        case "proof-waits":
            return replace(s, proof_waits=True)
        case "part-found":
            part = CauseAt(e["cause"], e["place"])
            return replace(s, phase="part-found", part_found=s.part_found | {part})
        case "stopped":
            return replace(s, phase="stopped")
        case "resumed":
            # whoever takes it up reads the cautions anew, and confirms guard and chocks
            phase = "open" if s.phase == "stopped" else s.phase
            return replace(s, phase=phase, acknowledged=_stops_read(s), confirmed=frozenset())
        case "finished":
            return replace(s, phase="finished", outcome=e["outcome"])
        # state of the aeroplane
        case "restored" | "inspected" if item := s.disturbed.get(e["item"]):
            signed = replace(item, **{e["event"]: e["by"]})
            return _gear_off(replace(s, disturbed={**s.disturbed, item.id: signed}), item)
        case "leak-checked":
            return _leak_checked(s, dry=e["dry"])
        case "followed-up":
            return replace(s, followed={**s.followed, e["item"]: e["text"]})
        case "watch-set":
            return replace(s, flights=e["flights"])
        case "not-reproduced":
            return replace(s, flights=e["flights"], flown=0, phase="watched")
        case "flown":
            # where the trouble came back, the flights begin anew
            return replace(s, flown=s.flown + 1) if e["clear"] else replace(_came_back(s), flown=0)
        # between people
        case "card":
            return replace(s, card=e)
        case "handed-over":
            return replace(s, giver=e["by"], handover=dict(e["lines"]), not_so={})
        case "taken-over":
            line, left = e["line"], {k: v for k, v in s.handover.items() if k != e["line"]}
            said = (
                {} if e["agreed"] else {line: f"{s.handover.get(line, '')} -- {e.get('text', '')}"}
            )
            return replace(s, handover=left, not_so={**s.not_so, **said})
    return s


def _asked(s: JobState, e: Event) -> JobState:
    """Return the state after a reading or check that is asked for no more, answered or not."""
    if reading := e.get("reading"):
        s = replace(s, asked=s.asked | {(reading[0], reading[1], reading[2])})
    if check := e.get("check"):
        s = replace(s, done=s.done | {(check[0], check[1])})
    return replace(s, lost=s.lost | frozenset(e.get("destroys", ())))


def _stops_read(s: JobState) -> frozenset[str]:
    """Return the stops acted on: what was seen before a repair is no news after it."""
    return frozenset(h for h in s.acknowledged if h.startswith("stop "))


def _came_back(s: JobState) -> JobState:
    """Return the state after the trouble was seen again: nothing that was mended cured it."""
    return replace(s, phase="open", in_vain=frozenset(s.rectified))


def _gear_off(s: JobState, item: Disturbed) -> JobState:
    """Return the state after ``item`` was signed: where test gear came off, so did its joint.

    The joint was closed round the gear and proved so; without the gear it is another joint.
    """
    if item.kind != "test-gear":
        return s
    anew = {
        d.id: replace(d, restored="", inspected="", dry=False)
        for d in s.disturbed.values()
        if d.kind == "line" and d.restored and d.told_in == item.told_in
    }
    return replace(s, disturbed={**s.disturbed, **anew}, leak_due=s.leak_due or bool(anew))


def _leak_checked(s: JobState, *, dry: bool) -> JobState:
    """Return the state after a leak check: what leaks was not closed.

    Each joint not proved dry before is made anew then, and seen anew.
    """
    proved = {"dry": True} if dry else {"restored": "", "inspected": ""}
    looked_at = {
        d.id: replace(d, **proved)
        for d in s.disturbed.values()
        if d.kind == "line" and not d.open and not d.dry
    }
    return replace(s, disturbed={**s.disturbed, **looked_at}, leak_due=not dry)
