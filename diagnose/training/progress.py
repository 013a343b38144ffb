"""What the events of an exercise add up to: what was found and done, and what it has cost."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from diagnose.job.keeping.disturbed import may_leak
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.model import CauseAt, Finding
from diagnose.planner import Key


@dataclass(frozen=True)
class Naming:
    """A part named at fault: event number, cause, confidence 0 to 1, and how far it was right.

    chance: of the part by what was known then; None where the log does not keep it.
    """

    n: int
    cause: CauseAt
    confidence: float
    right: str
    chance: float | None


@dataclass(frozen=True)
class Progress:
    """Where an exercise stands.

    findings: by number, those of the report below 1.  running: whether an engine runs; state: the
    run state set up last; died: whether it stopped there, so that any other state is another
    start.  confirmed: precautions in place, used up when an engine stops or the system is opened;
    in_hand: they were in place for a start since which nothing was opened.  cleared: parts the
    apprentice has struck off his own list.  owed: safety steps he was sent back for and has not
    made since; skipped: refusals for one that he was not already sent back for, so that a mistyped
    or repeated line counts once.  dangers: told of.
    """

    opened: Mapping[str, Any] = field(default_factory=dict)
    findings: Mapping[int, Finding] = field(default_factory=dict)
    asked: frozenset[Key] = frozenset()
    done: frozenset[tuple[str, str]] = frozenset()
    lost: frozenset[str] = frozenset()
    confirmed: frozenset[str] = frozenset()
    in_hand: bool = False
    running: bool = False
    died: bool = False
    state: str = ""
    minutes: float = 0.0
    starts: int = 0
    cleared: frozenset[str] = frozenset()
    keeps_list: bool = False
    namings: tuple[Naming, ...] = ()
    refusals: tuple[Event, ...] = ()
    owed: frozenset[str] = frozenset()
    skipped: tuple[Event, ...] = ()
    dangers: frozenset[str] = frozenset()
    hints: int = 0
    stopped: bool = False

    @property
    def solved(self) -> str:
        """Return 'cause' or 'part' where the part at fault was named, else ''."""
        return self.namings[-1].right if self.namings else ""

    def runs_in(self, state: str) -> bool:
        """Return whether ``state`` can be set up without another start."""
        return self.running and (not self.died or state == self.state)

    @property
    def worked_on(self) -> frozenset[str]:
        """Return the parts that were worked on while the trouble stayed."""
        return frozenset(n.cause.at for n in self.namings if not n.right)

    @property
    def over(self) -> bool:
        """Return whether there is nothing more to do."""
        return self.stopped or bool(self.solved)


def progress(events: Iterable[Event]) -> Progress:
    """Return what ``events`` add up to."""
    out = Progress()
    for event in events:
        out = _after(out, event)
    return out


def _after(p: Progress, e: Event) -> Progress:
    """Return ``p`` after one more event."""
    p = replace(p, minutes=p.minutes + e.get("minutes", 0.0), starts=p.starts + e.get("starts", 0))
    match e["event"]:
        case "opened":
            told = [finding_of(f) for f in e["told"]]
            return replace(p, opened=e, findings={k - len(told): f for k, f in enumerate(told)})
        case "asked":
            return _asked(p, e)
        case "checked":
            return replace(
                p,
                findings={**p.findings, e["n"]: finding_of(e["finding"])},
                done=p.done | {(e["check"][0], e["check"][1])},
                lost=p.lost | set(e.get("destroys", ())),
                running=False,
                died=False,
                state="",
                confirmed=frozenset(),
                in_hand=p.in_hand and not may_leak(e),
            )
        case "confirmed":
            made = frozenset(e["items"])
            return replace(p, confirmed=p.confirmed | made, owed=p.owed - made, in_hand=True)
        case "refused":
            # written before 'owed' was kept, a refusal has its reason alone
            owed = p.owed | set(e.get("owed", [e["why"]] if e["safety"] else []))
            skipped = (*p.skipped, e) if owed > p.owed else p.skipped
            return replace(p, refusals=(*p.refusals, e), owed=owed, skipped=skipped)
        case "danger":
            return replace(p, dangers=p.dangers | {e["danger"]})
        case "hint":
            return replace(p, hints=p.hints + 1)
        case "cleared":
            return replace(p, cleared=p.cleared | {e["place"]}, keeps_list=True)
        case "kept":
            return replace(p, cleared=p.cleared - {e["place"]})
        case "named":
            cause = CauseAt(e["cause"], e["place"])
            naming = Naming(e["n"], cause, e["confidence"], e["right"], e.get("chance"))
            return _shut_down(replace(p, namings=(*p.namings, naming), in_hand=False))
        case "shut-down":
            return _shut_down(p)
        case "finished":
            return replace(p, stopped=True)
    return p


def gate_id(question: str, place: str) -> str:
    """Return what a gate is called among the safety steps owed."""
    return f"{question} {place}"


def _asked(p: Progress, e: Event) -> Progress:
    question, place, state = e["reading"]
    p = replace(
        p,
        findings={**p.findings, e["n"]: finding_of(e["finding"])},
        asked=p.asked | {(question, place, state)},
        owed=p.owed - {gate_id(question, place)},
        lost=p.lost | set(e.get("destroys", ())),
    )
    if not state:
        return p  # from memory or papers: whatever runs goes on running
    runs = e.get("runs", "") == "yes"
    died = e.get("runs", "") == "stopped"
    if p.running and not (runs or died):
        p = _shut_down(p)
    kept = frozenset() if died else p.confirmed
    return replace(p, running=runs or died, died=died, state=state, confirmed=kept)


def _shut_down(p: Progress) -> Progress:
    return replace(p, running=False, died=False, state="", confirmed=frozenset())
