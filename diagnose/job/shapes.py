"""What each kind of event carries: names and types, so that damage is told where it stands.

A log is written by the tool alone, but it lies on a disk for years and may be opened in an
editor.  Whatever passes here folds without surprise; names of knowledge are checked by the job.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from datetime import datetime

from diagnose.model import DISTURBED, EVIDENCE, KNOWN_BY

Shape = Callable[[object], bool]


def _text(value: object) -> bool:
    return isinstance(value, str)


def _flag(value: object) -> bool:
    return isinstance(value, bool)


def _count(value: object) -> bool:
    # True is an int to Python, never to a reader
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 10**9


def _number(value: object) -> bool:
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return number and math.isfinite(value)  # type: ignore[arg-type] # a number by the line above


def _maybe(shape: Shape) -> Shape:
    return lambda value: value is None or shape(value)


def _list_of(shape: Shape, length: int | None = None) -> Shape:
    return lambda value: (
        isinstance(value, list)
        and length in (None, len(value))
        and all(shape(item) for item in value)
    )


def _object(needs: Mapping[str, Shape], may: Mapping[str, Shape] | None = None) -> Shape:
    return lambda value: (
        isinstance(value, dict)
        and all(k in value and s(value[k]) for k, s in needs.items())
        and all(s(value[k]) for k, s in (may or {}).items() if k in value)
    )


def _chance(value: object) -> bool:
    pair = isinstance(value, list) and len(value) == 2
    return pair and _text(value[0]) and _number(value[1]) and 0 <= value[1] <= 1  # type: ignore[index] # a list by then


def _settings(value: object) -> bool:
    return isinstance(value, dict) and all(_text(v) for v in value.values())


_FINDING = _object(
    {
        "question": _text,
        "at": _text,
        "value": _text,
        "stage": _text,
        "settings": _settings,
        "known_by": lambda value: value in KNOWN_BY,
        "check": _flag,
        "others_normal": _flag,
        "number_si": _maybe(_number),
        "typed": _text,
        "after": _text,
        "epoch": _count,
    },
    {
        "tries": lambda value: _count(value) and value != 0,
        "seen": lambda value: _count(value) and value != 0,
        "reached": _flag,
        "chances": _list_of(_chance),
        "one_of": _list_of(_text),
        "one_of_places": _list_of(_text),
    },
)
_DISTURBANCE = _object(
    {
        "kind": lambda value: _text(value) and value in DISTURBED,
        "what": _text,
        "place": _text,
        "restore": _text,
    }
)


def _card_line(value: object) -> bool:
    """Return whether this is number, run state, question and at least one place."""
    return (
        isinstance(value, list)
        and len(value) > 3
        and all(_text(x) for x in value)
        and re.fullmatch("[0-9]{1,3}", value[0]) is not None
    )


_READING = _list_of(_text, 3)
_CHECK = _list_of(_text, 2)
_RANKED = _object(
    {"rank": _count, "cause": _text, "at": _text, "probability": _number, "word": _text}
)

NEEDED: Mapping[str, Mapping[str, Shape]] = {
    "opened": {"layout": _text, "edition": _text, "reported": _text},
    "answered": {"finding": _FINDING},
    "checked": {"finding": _FINDING},
    "changed": {"of": _count, "finding": _FINDING},
    "withdrawn": {"of": _count},
    "not-checked": {},
    "aeroplane-file": {"registration": _text, "edition": _text, "file": _text, "text": _text},
    "work": {"what": _text, "place": _text},
    "at-hand": {"tools": _maybe(_list_of(_text)), "hands": _count, "may_run": _flag},
    "acknowledged": {"hazard": _text},
    "confirmed": {"item": _text},
    "run": {},
    "rectified": {"cause": _text, "place": _text},
    "intervened": {"lost": _text},
    "verified": {"gone": _flag},
    "part-found": {"cause": _text, "place": _text},
    "stopped": {},
    "first-page": {"left": _count},
    "paused": {},
    "resumed": {},
    "finished": {"outcome": _text},
    "note": {"text": _text},
    "disturbed": {"disturbs": _list_of(_DISTURBANCE)},
    "restored": {"item": _text, "by": _text},
    "inspected": {"item": _text, "by": _text},
    "leak-checked": {"dry": _flag, "by": _text},
    "followed-up": {"item": _text, "text": _text, "by": _text},
    "complaint": {"text": _text, "place": _text},
    "complaint-placed": {"of": _count, "place": _text},
    "split-off": {"complaint": _count, "job": _text, "by": _text},
    "merged": {"job": _text, "by": _text},
    "tested": {
        "test": _text,
        "place": _text,
        "fields": _settings,
        "says": _text,
        "out_of_date": _flag,
    },
    "not-reproduced": {
        "condition": _text,
        "flights": _count,
        "chance": _number,
        "each": _number,
        "gauges": _list_of(_text),
        "notes": _list_of(_text),
    },
    "watch-set": {"flights": _count},
    "flown": {"clear": _flag, "by": _text},
    "card": {"lines": _list_of(_card_line)},
    "handed-over": {"by": _text, "lines": _list_of(_list_of(_text, 2))},
    "taken-over": {"line": _text, "by": _text, "agreed": _flag},
    "ranked": {"ranking": _list_of(_RANKED)},
    "alike-shown": {"lines": _list_of(_list_of(_text, 3))},
    "stepped-back": {"of": _count},
}
"""Kind of event -> what it cannot be folded without."""

_OTHERS: Mapping[str, Shape] = {
    "reading": _maybe(_READING),
    "check": _maybe(_CHECK),
    "readings": _list_of(_READING),
    "destroys": _list_of(_text),
    "disturbs": _list_of(lambda value: _text(value) or _DISTURBANCE(value)),
    "indoors": _flag,
    "wind_too_strong": _flag,
    "part": lambda value: _list_of(_count, 2)(value) and 1 <= value[0] <= value[1],  # type: ignore[index] # a list by then
    "probability": _number,
    "evidence": lambda value: value in EVIDENCE,
}
"""What an event may carry besides; any other key carries text."""


def wrong_with(event: object, number: int) -> str:
    """Return what is wrong with ``event``, which should be the ``number``-th; '' when sound."""
    if not isinstance(event, dict) or not isinstance(event.get("event"), str):
        return "not an event of a job"
    n, kind = event.get("n"), event["event"]
    if not _count(n) or n != number:
        return f"event number {_short(n)} where {number} should stand"
    if not _is_time(event.get("at")):
        return "an event without its time"
    if kind not in NEEDED:
        return f"{_short(kind)} is not a kind of event this version knows"
    if (kind == "opened") != (number == 1):
        return "a job is opened by its first event and by no other"
    for key, shape in NEEDED[kind].items():
        if key not in event:
            return f"'{kind}' without its '{key}'"
        if not shape(event[key]):
            return f"'{kind}' with {_short(event[key])} for its '{key}'"
    for key in event.keys() - NEEDED[kind].keys() - {"n", "at", "event"}:
        if not _OTHERS.get(key, _text)(event[key]):
            return f"'{kind}' with {_short(event[key])} for its {_short(key)}"
    if event.get("of", 0) >= number:
        return f"'{kind}' of event {event['of']}, which stands no earlier"
    return ""


def _is_time(value: object) -> bool:
    try:
        return isinstance(value, str) and datetime.fromisoformat(value).utcoffset() is not None
    except ValueError:
        return False


def _short(value: object) -> str:
    said = ascii(value)
    return said if len(said) <= 40 else said[:37] + "..."
