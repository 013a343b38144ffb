"""How long, in one way of writing: 'an hour and a quarter' is 75 minutes, 'twenty minutes' 20."""

from __future__ import annotations

import re

_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
         "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
         "nineteen")  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_NUMBERS = {word: n for n, word in enumerate(_ONES, 1)} | {
    f"{ten}{joint}{one}".strip("- "): 10 * t + n
    for t, ten in enumerate(_TENS, 2)
    for n, one in enumerate(["", *_ONES[:9]])
    for joint in ("-", " ")
}
_WORDS = "|".join(sorted(_NUMBERS, key=len, reverse=True))
_COUNT = rf"(?:\d{{1,3}}|{_WORDS})"
_PARTS = {"a quarter": 15, "a half": 30, "three quarters": 45}
_FIVES = "|".join(f"{n}|{word}" for word, n in _NUMBERS.items() if n % 5 == 0 and n < 60)
_LONG = re.compile(
    rf"\b(?:(an|one|{_COUNT}) )?(?:hours?|hrs?)(?: and)? "
    rf"(?:({'|'.join(_PARTS)}|{_FIVES})|({_COUNT}) ?(?:minutes|mins?))"
    r"(?: ?(?:minutes|mins?))?\b(?! ?(?:hours?|hrs?|gal|lit|psi|deg|feet|ft|rpm|knots))"
)
"""'Hour and a half', 'three hours twenty', '1 hr 20 min', and not 'an hour, two tanks'."""
_PART = (
    (re.compile(r"\bthree[ -]quarters of an (?:hour|hr)\b"), "45 minutes"),
    (re.compile(r"\b(?:a )?half(?:[ -]an?)?[ -](?:hour|hr)\b"), "half an hour"),
    (re.compile(r"\bquarter(?: of an)?[ -](?:hour|hr)\b"), "quarter of an hour"),
)
"""Less than an hour, in one way of writing."""
_MINUTES = re.compile(rf"\b({_WORDS})(?= (?:minutes|mins?)\b)")

SPAN = re.compile(
    r"\b(?:(?:about|some|around|nearly|just|only) )?"
    rf"(?:an?|half an?|a few|several|a couple of|{_COUNT})(?: or (?:two|so|three))? "
    r"(?:seconds?|minutes?|hours?)\b"
)
"""So many minutes or hours."""


def in_minutes(text: str) -> str:
    """Return ``text`` (lower case) with every span of hours and minutes as so many minutes.

    Whole hours stand as they are told, and words for minutes become figures.
    """
    for part, told in _PART:
        text = part.sub(told, text)
    return _MINUTES.sub(lambda hit: str(_NUMBERS[hit[1]]), _LONG.sub(_minutes, text))


def _minutes(hit: re.Match[str]) -> str:
    """Return a span of hours and minutes in minutes."""
    hours = 1 if hit[1] in (None, "an") else _number(hit[1])
    more = _PARTS.get(hit[2]) or _number(hit[2] or hit[3])
    return f"{60 * hours + more} minutes"


def _number(text: str) -> int:
    return int(text) if text.isdigit() else _NUMBERS[text]
