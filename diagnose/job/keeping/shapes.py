"""What each kind of event carries: names and types, so that damage is told where it stands.

A log is written by the tool alone, but it lies on a disk for years and may be opened in an
editor.  Whatever passes here folds without surprise; names of knowledge are checked by the job.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from diagnose.grammar import a
from diagnose.model import DISTURBED, EVIDENCE, KNOWN_BY

Shape = Callable[[object], bool]


def text(value: object) -> bool:
    """Return whether this is text."""
    return isinstance(value, str)


def flag(value: object) -> bool:
    """Return whether this is a yes or no."""
    return isinstance(value, bool)


def count(value: object) -> bool:
    """Return whether this is a count: a whole number that is not negative."""
    # True is an int to Python, never to a reader
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 10**9


def positive(value: object) -> bool:
    """Return whether this is a count from 1 on."""
    return count(value) and value != 0


def number(value: object) -> bool:
    """Return whether this is a finite number."""
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return is_number and math.isfinite(value)  # type: ignore[arg-type] # a number by the line above


def chance(value: object) -> bool:
    """Return whether this is a number from 0 to 1."""
    return number(value) and 0 <= value <= 1  # type: ignore[operator] # a number by then


def maybe(shape: Shape) -> Shape:
    """Return the shape of nothing, or of ``shape``."""
    return lambda value: value is None or shape(value)


def list_of(shape: Shape, length: int | None = None) -> Shape:
    """Return the shape of a list of ``shape``, of ``length`` items where that is given."""
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


def _of_chance(value: object) -> bool:
    pair = isinstance(value, list) and len(value) == 2
    return pair and text(value[0]) and chance(value[1])  # type: ignore[index] # a list by then


def texts(value: object) -> bool:
    """Return whether this is a mapping to texts."""
    return isinstance(value, dict) and all(text(v) for v in value.values())


FINDING = _object(
    {
        "question": text,
        "at": text,
        "value": text,
        "stage": text,
        "settings": texts,
        "known_by": lambda value: value in KNOWN_BY,
        "check": flag,
        "others_normal": flag,
        "number_si": maybe(number),
        "typed": text,
        "after": text,
        "epoch": count,
    },
    {
        "tries": positive,
        "seen": positive,
        "reached": flag,
        "chances": list_of(_of_chance),
        "one_of": list_of(text),
        "one_of_places": list_of(text),
    },
)
DISTURBANCE = _object(
    {
        "kind": lambda value: text(value) and value in DISTURBED,
        "what": text,
        "place": text,
        "restore": text,
    }
)


def _card_line(value: object) -> bool:
    """Return whether this is number, run state, question and at least one place."""
    return (
        isinstance(value, list)
        and len(value) > 3
        and all(text(x) for x in value)
        and re.fullmatch("[0-9]{1,3}", value[0]) is not None
    )


_READING = list_of(text, 3)
_CHECK = list_of(text, 2)
_RANKED = _object({"rank": count, "cause": text, "at": text, "probability": number, "word": text})

NEEDED: Mapping[str, Mapping[str, Shape]] = {
    "opened": {"layout": text, "edition": text, "reported": text},
    "answered": {"finding": FINDING},
    "checked": {"finding": FINDING},
    "changed": {"of": count, "finding": FINDING},
    "withdrawn": {"of": count},
    "not-checked": {},
    "aeroplane-file": {"registration": text, "edition": text, "file": text, "text": text},
    "work": {"what": text, "place": text},
    "at-hand": {"tools": maybe(list_of(text)), "hands": count, "may_run": flag},
    "acknowledged": {"hazard": text},
    "confirmed": {"item": text},
    "run": {},
    "rectified": {"cause": text, "place": text},
    "intervened": {"lost": text},
    "verified": {"gone": flag},
    "proof-waits": {},
    "part-found": {"cause": text, "place": text},
    "stopped": {},
    "first-page": {"left": count},
    "paused": {},
    "resumed": {},
    "finished": {"outcome": text},
    "note": {"text": text},
    "disturbed": {"disturbs": list_of(DISTURBANCE)},
    "restored": {"item": text, "by": text},
    "inspected": {"item": text, "by": text},
    "leak-checked": {"dry": flag, "by": text},
    "followed-up": {"item": text, "text": text, "by": text},
    "complaint": {"text": text, "place": text},
    "complaint-placed": {"of": count, "place": text},
    "split-off": {"complaint": count, "job": text, "by": text},
    "merged": {"job": text, "by": text},
    "tested": {
        "test": text,
        "place": text,
        "fields": texts,
        "says": text,
        "out_of_date": flag,
    },
    "not-reproduced": {
        "condition": text,
        "flights": count,
        "chance": number,
        "each": number,
        "gauges": list_of(text),
        "notes": list_of(text),
    },
    "watch-set": {"flights": count},
    "flown": {"clear": flag, "by": text},
    "card": {"lines": list_of(_card_line)},
    "handed-over": {"by": text, "lines": list_of(list_of(text, 2))},
    "taken-over": {"line": text, "by": text, "agreed": flag},
    "ranked": {"ranking": list_of(_RANKED)},
    "alike-shown": {"lines": list_of(list_of(text, 3))},
    "stepped-back": {"of": count},
}
"""Kind of event -> what it cannot be folded without."""

_OTHERS: Mapping[str, Shape] = {
    "reading": maybe(_READING),
    "check": maybe(_CHECK),
    "readings": list_of(_READING),
    "destroys": list_of(text),
    "disturbs": list_of(lambda value: text(value) or DISTURBANCE(value)),
    "indoors": flag,
    "partly": flag,
    "wind_too_strong": flag,
    "part": lambda value: list_of(count, 2)(value) and 1 <= value[0] <= value[1],  # type: ignore[index] # a list by then
    "probability": number,
    "evidence": lambda value: value in EVIDENCE,
}
"""What an event may carry besides; any other key carries text."""


@dataclass(frozen=True)
class LogKind:
    """What a kind of log is called, how one is taken up again, and what its events carry.

    needed: kind of event -> what it cannot be read without.  others: what an event may carry
    besides; any other key carries text.  The first event, and no other, is 'opened'.
    """

    name: str
    take_up: str
    needed: Mapping[str, Mapping[str, Shape]]
    others: Mapping[str, Shape]


JOB = LogKind("job", "diagnose job resume", NEEDED, _OTHERS)


def wrong_with(event: object, place: int, log: LogKind = JOB) -> str:
    """Return what is wrong with ``event``, which should be the ``place``-th; '' when sound."""
    if not isinstance(event, dict) or not isinstance(event.get("event"), str):
        return f"not an event of {a(log.name)}"
    n, kind = event.get("n"), event["event"]
    if not count(n) or n != place:
        return f"event number {_short(n)} where {place} should stand"
    if not _is_time(event.get("at")):
        return "an event without its time"
    if kind not in log.needed:
        return f"{_short(kind)} is not a kind of event this version knows"
    if (kind == "opened") != (place == 1):
        return f"{a(log.name)} is opened by its first event and by no other"
    for key, shape in log.needed[kind].items():
        if key not in event:
            return f"'{kind}' without its '{key}'"
        if not shape(event[key]):
            return f"'{kind}' with {_short(event[key])} for its '{key}'"
    for key in event.keys() - log.needed[kind].keys() - {"n", "at", "event"}:
        if not log.others.get(key, text)(event[key]):
            return f"'{kind}' with {_short(event[key])} for its {_short(key)}"
    if event.get("of", 0) >= place:
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
