"""The record of one interview: its log, and what the answers add up to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagnose.capture.events import INTERVIEW
from diagnose.errors import CaseError, Origin, Problem, UsageError
from diagnose.job.events import finding_as_json, finding_of
from diagnose.job.log import Event, JobLog
from diagnose.job.log_folder import LogFolder
from diagnose.model import Finding

LEFT_OUT = "left out"
CANNOT_SAY = "cannot say"


@dataclass(frozen=True)
class Figures:
    """An estimate: lowest, highest and best, and how sure he is that it lies between, per cent."""

    low: float
    high: float
    best: float
    sure: float

    def as_json(self) -> dict[str, float]:
        """Return the four as plain data."""
        return {"low": self.low, "high": self.high, "best": self.best, "sure": self.sure}


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
    rests_on: str = ""  # the answer whose words were heard, or whose lines were chosen from


@dataclass(frozen=True)
class Told:
    """What an interview adds up to.

    said: by question id, answers taken back left out.  passed: questions left out or answered
    'cannot say', with which.  closed: steps left out whole.  begun: lines of a story not yet ended.
    """

    opened: Mapping[str, Any]
    said: Mapping[str, Said]
    passed: Mapping[str, str]
    closed: frozenset[str]
    finished: bool
    begun: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

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

    @property
    def who(self) -> str:
        """Return who speaks, by role and initials."""
        o = self.opened
        return f"{o['role']} {o['by']}, {o['years']} years"


def folder(home: Path | None = None) -> LogFolder:
    """Return where interviews live."""
    return LogFolder("interviews", "interview", home)


class Interview:
    """One interview: its log, and what was said so far."""

    def __init__(self, name: str, log: JobLog) -> None:
        """Take up the interview ``name``.

        Raises:
            CaseError: If its log has no opening entry.
        """
        self.name = name
        self.log = log
        if not log.events:
            text = (
                "nothing was agreed to and nothing kept; begin a new one: diagnose interview start"
            )
            raise CaseError([Problem(Origin(log.path.name, 1, 1), text)])

    @classmethod
    def open(cls, place: LogFolder, day: str, **opened: str) -> Interview:
        """Begin an interview on ``day``; ``opened`` as the first event carries it."""
        name = place.new_id(day)
        log = JobLog(place.path(name), INTERVIEW)
        log.append("opened", **opened)
        return cls(name, log)

    @classmethod
    def find(cls, place: LogFolder, name: str) -> Interview:
        """Return an interview kept before.

        Raises:
            UsageError: If there is none of this name.
            CaseError: If its log cannot be read.
        """
        return cls(name, JobLog(place.find(name), INTERVIEW))

    @classmethod
    def find_whole(cls, place: LogFolder, name: str) -> Interview:
        """Return an interview kept before, which is no blind one.

        Raises:
            UsageError: If there is none of this name, or it answers another blind.
            CaseError: If its log cannot be read.
        """
        found = cls.find(place, name)
        if found.of:
            raise UsageError(f"{name} answers {found.of} blind; name {found.of}.")
        return found

    @property
    def kind(self) -> str:
        """Return 'interview' or 'blind'."""
        return str(self.log.events[0]["form"])

    @property
    def source(self) -> str:
        """Return the id under which the knowledge cites it."""
        return f"{self.kind}-{self.name}"

    @property
    def of(self) -> str:
        """Return the interview whose questions a blind one answers, ''."""
        return str(self.log.events[0].get("answers", ""))

    def told(self) -> Told:
        """Return what was said so far."""
        return fold(self.log.events)

    def keep(
        self,
        step: str,
        ask: str,
        prompt: str,
        text: str,
        *,
        findings: Sequence[Finding] = (),
        figures: Figures | None = None,
        **more: Any,
    ) -> Event:
        """Keep one answer, on disk when this returns."""
        if findings:
            more["findings"] = [finding_as_json(f) for f in findings]
        if figures:
            more["figures"] = figures.as_json()
        kept = {k: list(v) if isinstance(v, tuple) else v for k, v in more.items() if v}
        return self.log.append("said", step=step, ask=ask, prompt=prompt, text=text, **kept)

    def take_back(self, entry: int) -> list[int]:
        """Take an answer back, and those that rest on it, all or none; return their numbers."""
        by_ask = {s.ask: s for s in self.told().said.values()}
        gone = [entry]
        asks = {s.ask for s in by_ask.values() if s.entry == entry}
        for s in by_ask.values():
            if s.rests_on in asks:
                gone.append(s.entry)
        self.log.append_group([("taken-back", {"of": n}) for n in gone])
        return gone

    def verdicts(self) -> dict[str, Event]:
        """Return the last verdict on each draft."""
        return {e["draft"]: e for e in self.log.events if e["event"] == "reviewed"}


def fold(events: Iterable[Event]) -> Told:
    """Return what ``events`` add up to; what was taken back counts no more."""
    listed = list(events)
    gone = {e["of"] for e in listed if e["event"] == "taken-back"}
    said: dict[str, Said] = {}
    passed: dict[str, str] = {}
    closed: set[str] = set()
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
        elif e["event"] == "left-out":
            passed[e["ask"]] = e["why"]
        elif e["event"] == "step-left-out":
            closed.add(e["step"])
    finished = any(e["event"] == "finished" for e in listed)
    return Told(listed[0] if listed else {}, said, passed, frozenset(closed), finished, begun)


def last_given(events: Iterable[Event]) -> Event | None:
    """Return the last answer, or question or step left out, that still counts."""
    listed = list(events)
    gone = {e["of"] for e in listed if e["event"] == "taken-back"}
    kinds = ("said", "left-out", "step-left-out")
    return next((e for e in reversed(listed) if e["event"] in kinds and e["n"] not in gone), None)


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
