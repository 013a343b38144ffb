"""The record of one interview: what its log carries, and how it is appended to answer by answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any, Final

from diagnose.capture.told import Figures, Told, fold
from diagnose.errors import CaseError, UsageError
from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.job.keeping.log import Event, JobLog
from diagnose.job.keeping.log_folder import LogFolder
from diagnose.job.keeping.shapes import (
    FINDING,
    LogKind,
    Shape,
    flag,
    list_of,
    number,
    positive,
    text,
    texts,
)
from diagnose.model import Finding

KINDS: Final = ("interview", "blind")
"""A whole interview, or the frequency questions of another asked blind."""
VERDICTS: Final = ("accepted", "sent-back", "refused")


def _figures(value: object) -> bool:
    keys = ("low", "high", "best", "sure")
    return isinstance(value, dict) and set(value) == set(keys) and all(map(number, value.values()))


_NEEDED: Mapping[str, Mapping[str, Shape]] = {
    "opened": {
        "form": lambda value: value in KINDS,
        "layout": text,
        "edition": text,
        "by": text,
        "role": text,
        "years": text,
        "kinds": text,
        "interviewer": text,
        "consent": text,
    },
    "said": {"step": text, "ask": text, "prompt": text, "text": text},
    "line": {"step": text, "ask": text, "text": text},
    "line-back": {"step": text, "ask": text},
    "left-out": {"step": text, "ask": text, "why": text},
    "step-left-out": {"step": text},
    "taken-back": {"of": positive},
    "note": {"text": text},
    "paused": {},
    "resumed": {},
    "finished": {},
    "reworded": {"draft": text, "key": text, "before": text, "text": text, "by": text},
    "reviewed": {
        "draft": text,
        "digest": text,
        "verdict": lambda value: value in VERDICTS,
        "by": text,
        "reason": text,
    },
}

_OTHERS: Mapping[str, Shape] = {
    "findings": list_of(FINDING),
    "picked": list_of(text),
    "lines": list_of(text),
    "figures": _figures,
    "about": texts,
    "licensed": flag,
    "part": list_of(positive, 2),
}
"""What an event may carry besides; any other key carries text."""

INTERVIEW: Final = LogKind("interview", "diagnose interview resume", _NEEDED, _OTHERS)


def folder() -> LogFolder:
    """Return where interviews live."""
    return LogFolder("interviews", "interview")


class Interview:
    """One interview: its log, and what was said so far."""

    def __init__(self, name: str, log: JobLog) -> None:
        """Take up the interview ``name``.

        Raises:
            CaseError: If its log has no opening entry.
        """
        self.name = name
        self.log = log
        log.opening(
            "nothing was agreed to and nothing kept; begin a new one: diagnose interview start"
        )

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
            more["figures"] = asdict(figures)
        kept = {k: list(v) if isinstance(v, tuple) else v for k, v in more.items() if v}
        return self.log.append("said", step=step, ask=ask, prompt=prompt, text=text, **kept)

    def take_back(self, entry: int) -> list[int]:
        """Take an answer back, and those that rest on it, all or none; return their numbers."""
        taken = {e["of"] for e in self.log.events if e["event"] == "taken-back"}
        answers = [
            e for e in self.log.events if e["event"] in ("said", "left-out") and e["n"] not in taken
        ]
        gone, asks = [entry], {e["ask"] for e in answers if e["n"] == entry}
        for e in answers:  # what rests on an answer was asked after it
            if e.get("rests_on") in asks and e["n"] not in gone:
                gone.append(e["n"])
                asks.add(e["ask"])
        self.log.append_group([("taken-back", {"of": n}) for n in gone])
        return gone

    def verdicts(self) -> dict[str, Event]:
        """Return the last verdict on each draft."""
        return {e["draft"]: e for e in self.log.events if e["event"] == "reviewed"}


def rows_listed() -> list[dict[str, Any]]:
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


def record_body(interview: Interview) -> dict[str, Any]:
    """Return the whole record as plain data: every event, taken back or not."""
    gone = {e["of"]: e["n"] for e in interview.log.events if e["event"] == "taken-back"}
    events = [{**e, "taken_back_by": gone.get(e["n"])} for e in interview.log.events]
    return {"interview": interview.name, "source": interview.source, "events": events}
