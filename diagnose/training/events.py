"""The log of an exercise: what its events carry, and where it lies."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from diagnose.job.keeping.log_folder import LogFolder
from diagnose.job.keeping.shapes import (
    DISTURBANCE,
    FINDING,
    LogKind,
    Shape,
    chance,
    count,
    flag,
    list_of,
    maybe,
    number,
    text,
)


def _minutes(value: object) -> bool:
    return number(value) and value >= 0  # type: ignore[operator] # a number by then


_COST: Mapping[str, Shape] = {"minutes": _minutes, "starts": count}

NEEDED: Mapping[str, Mapping[str, Shape]] = {
    "opened": {
        "layout": text,
        "edition": text,
        "reported": text,
        "told": list_of(FINDING),
        "covered": text,
        "hands": count,
        "may_run": flag,
        "tools": maybe(list_of(text)),
    },
    "asked": {"reading": list_of(text, 3), "finding": FINDING, **_COST},
    "checked": {"check": list_of(text, 2), "finding": FINDING, **_COST},
    "confirmed": {"items": list_of(text)},
    "refused": {"what": text, "why": text, "safety": flag},
    "danger": {"danger": text, "text": text},
    "hint": {"text": text},
    "cleared": {"place": text},
    "kept": {"place": text},
    "named": {"cause": text, "place": text, "confidence": chance, "right": text, **_COST},
    "shut-down": {},
    "paused": {},
    "resumed": {},
    "finished": {"outcome": text},
}
"""Kind of event -> what it cannot be folded without."""

_OTHERS: Mapping[str, Shape] = {
    "disturbs": list_of(DISTURBANCE),
    "destroys": list_of(text),
    "modes": count,
    "owed": list_of(text),
    "chance": chance,
}
"""What an event may carry besides; any other key carries text."""

EXERCISE = LogKind("exercise", "diagnose exercise resume", NEEDED, _OTHERS)


class Exercises(LogFolder):
    """The exercises of one user: a log each in ``home/exercises``."""

    def __init__(self, home: Path | None = None) -> None:
        """Use ``home``, else DIAGNOSE_HOME, else the user's data folder."""
        super().__init__("exercises", "exercise", home)
