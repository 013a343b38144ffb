"""What an interview adds up to: each answer that still counts, by its question."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.errors import UsageError
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.model import Finding, Library

LEFT_OUT = "left out"
CANNOT_SAY = "cannot say"


@dataclass(frozen=True)
class Figures:
    """An estimate: lowest, highest and best, and how sure he is that it lies between, per cent."""

    low: float
    high: float
    best: float
    sure: float


@dataclass(frozen=True)
class Said:
    """One answer: ``entry`` is its number in the log, ``text`` the words as typed.

    findings: what was taken of the words.  picked: ids chosen.  lines: the words line by line.
    about: what the question was about, by kind (cause, question, value ...).
    """

    entry: int
    step: str
    ask: str
    prompt: str
    text: str
    findings: tuple[Finding, ...] = ()
    picked: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    figures: Figures | None = None
    about: Mapping[str, str] = field(default_factory=dict)
    chosen: str = ""  # what was picked, in words
    rests_on: str = ""  # the answer without which this one would mean something else


@dataclass(frozen=True)
class Told:
    """What an interview adds up to.

    said: by question id, answers taken back left out.  passed: questions left out or answered
    'cannot say', with which.  closed: steps left out whole.  reopened: questions taken up again
    since in one of those.  begun: lines of a story not yet ended.  notes: by entry.
    """

    opened: Mapping[str, Any]
    said: Mapping[str, Said]
    passed: Mapping[str, str]
    closed: frozenset[str]
    finished: bool
    reopened: frozenset[str] = frozenset()
    begun: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    notes: Mapping[int, str] = field(default_factory=dict)

    def words(self, ask: str) -> str:
        """Return what was said to ``ask``, ''."""
        found = self.said.get(ask)
        return found.text if found else ""

    def picked(self, ask: str) -> tuple[str, ...]:
        """Return what was chosen at ``ask``."""
        found = self.said.get(ask)
        return found.picked if found else ()

    def findings(self, *asks: str) -> tuple[Finding, ...]:
        """Return the findings taken at ``asks``, each once, in order."""
        found = (f for ask in asks if ask in self.said for f in self.said[ask].findings)
        once: dict[tuple[object, ...], Finding] = {}
        for f in found:
            once.setdefault((f.question, f.at, f.value, str(f.state)), f)
        return tuple(once.values())

    def must_fit(self, library: Library) -> None:
        """Go on with knowledge that has every cause and question spoken of.

        Raises:
            UsageError: If something of it is not there.
        """
        causes = {s.about["cause"] for s in self.said.values() if "cause" in s.about}
        for ask, s in self.said.items():
            if ask in ("case-cause", "new-like") or ask.endswith("-ruled-cause"):
                causes |= set(s.picked)
        asked = {f.question for s in self.said.values() for f in s.findings}
        lacking = (causes - {*library.causes, "new"}) | (asked - set(library.questions))
        if lacking:
            raise UsageError(
                f"the interview speaks of {', '.join(sorted(lacking))}, which this knowledge does "
                "not have; name the one it was begun with by --knowledge."
            )

    @property
    def who(self) -> str:
        """Return who speaks, by role and initials."""
        o = self.opened
        return f"{o['role']} {o['by']}, {o['years']} years"


def fold(events: Iterable[Event]) -> Told:
    """Return what ``events`` add up to; what was taken back counts no more."""
    listed = list(events)
    gone = {e["of"] for e in listed if e["event"] == "taken-back"}
    said: dict[str, Said] = {}
    passed: dict[str, str] = {}
    closed: dict[str, int] = {}
    by_number = {e["n"]: e for e in listed}
    reopened: set[str] = set()
    begun: dict[str, tuple[str, ...]] = {}
    for e in listed:
        if e["event"] == "said":
            begun.pop(e["ask"], None)
        if e["n"] in gone:
            continue
        if e["event"] == "said":
            said[e["ask"]] = _said(e)
        elif e["event"] == "line":
            begun[e["ask"]] = (*begun.get(e["ask"], ()), e["text"])
        elif e["event"] == "line-back":
            begun[e["ask"]] = begun.get(e["ask"], ())[:-1]
        elif e["event"] == "left-out":
            passed[e["ask"]] = e["why"]
        elif e["event"] == "step-left-out":
            closed[e["step"]] = e["n"]
        elif e["event"] == "taken-back":
            back = by_number[e["of"]]
            if "ask" in back and back["step"] in closed:
                reopened.add(back["ask"])
    notes = {e["n"]: e["text"] for e in listed if e["event"] == "note"}
    finished = any(e["event"] == "finished" for e in listed)
    return Told(
        listed[0] if listed else {},
        said,
        passed,
        frozenset(closed),
        finished,
        frozenset(reopened),
        {ask: lines for ask, lines in begun.items() if lines},
        notes,
    )


def given(events: Iterable[Event]) -> list[Event]:
    """Return the answers, and the questions and steps left out, that still count, in order.

    Of a question answered again only the last counts.
    """
    listed = list(events)
    gone = {e["of"] for e in listed if e["event"] == "taken-back"}
    kinds = ("said", "left-out", "step-left-out")
    last = {e.get("ask", e.get("step")): e for e in listed
            if e["event"] in kinds and e["n"] not in gone}  # fmt: skip
    return sorted(last.values(), key=lambda e: int(e["n"]))


def _said(e: Event) -> Said:
    f = e.get("figures")
    return Said(
        e["n"],
        e["step"],
        e["ask"],
        e["prompt"],
        e["text"],
        tuple(finding_of(x) for x in e.get("findings", ())),
        tuple(e.get("picked", ())),
        tuple(e.get("lines", ())),
        Figures(f["low"], f["high"], f["best"], f["sure"]) if f else None,
        dict(e.get("about", {})),
        e.get("chosen", ""),
        e.get("rests_on", ""),
    )
