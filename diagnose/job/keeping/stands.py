"""Where the aeroplane stands, as a person says it: in a closed place, in the open, or not said.

A closed place holds vapour and exhaust, so no engine and no pump is run in one.
"""

from __future__ import annotations

import re

_CLOSED = r"(?:hangars?|hangared|sheds?|barns?|garages?|workshops?|paint ?shop)"
_OPEN = r"(?:apron|ramp|hard ?standing|outside|outdoors|in the open|open air)"
_BESIDE_IT = re.compile(
    r"\b(?:outside|(?:in )?front of|behind|beside|near|next to|by|opposite|out of|clear of)"
    rf" (?:the |our |a |no\.? ?\d+ )*(?:\w+ )?{_CLOSED}\b|\b{_CLOSED}(?: \w+)? {_OPEN}\b"
)
_IN_IT = re.compile(rf"\b(?:{_CLOSED}|indoors|inside|under cover)\b")
_IN_THE_OPEN = re.compile(rf"\b(?:{_OPEN}|field|airfield|grass)\b")


def in_a_closed_place(text: str) -> bool | None:
    """Return whether ``text`` names a closed place; None where it names no place known here.

    'Outside the hangar' and 'hangar apron' are in the open; of 'hangar, north field' the hangar
    counts.
    """
    low = text.lower()
    beside = _BESIDE_IT.sub(" apron ", low)
    if _IN_IT.search(beside):
        return True
    return False if _IN_THE_OPEN.search(beside) else None
