"""What the log of an interview carries: who spoke, what was asked, what was said, who reviewed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

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
    "left-out": {"step": text, "ask": text, "why": text},
    "step-left-out": {"step": text},
    "taken-back": {"of": positive},
    "note": {"text": text},
    "paused": {},
    "resumed": {},
    "finished": {},
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
