"""Choices of a list as people name them: '1, 2 and 4', '2 to 5', 'the left one', 'a pump fault'."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.job.choices import choose_listed

_COUNTED = "one two three four five six seven eight nine ten eleven twelve"
NUMBERS = {word: number for number, word in enumerate(_COUNTED.split(), start=1)}
_SAYING_NOTHING = """
a all an and any at because by fault faults first for from get gets goes i in is it its kind no nos
not number of on one or our said say some sort that the them they this to trouble was we when which
with would you your
"""
FILLERS = frozenset(_SAYING_NOTHING.split())
"""Words that name no choice."""
_JOINED = re.compile(r"\s*(?:,|;|&|\band\b|\s)\s*", re.IGNORECASE)
_SPAN = re.compile(r"(\d+)\s*(?:-|–|\bto\b)\s*(\d+)", re.IGNORECASE)
LEAST = 3
"""Letters by which a word may begin another: 'carb' carburettor."""


def numbers_in(text: str, most: int) -> tuple[int, ...]:
    """Return the numbers of a list that ``text`` names and nothing else, () where it says more.

    ``most``: how long the list is; '2 to 5' is each of them.
    """
    low = re.sub(r"(?i)^(?:numbers?|nos?\.?)\s+", "", text.strip())
    spread = _SPAN.sub(lambda m: " ".join(map(str, range(int(m[1][:4]), int(m[2][:4]) + 1))), low)
    found = []
    for word in _JOINED.split(spread.strip(" .")):
        number = whole_number(word) or NUMBERS.get(word.lower())
        if number is None or not 1 <= number <= most:
            return ()
        found.append(number)
    return tuple(dict.fromkeys(found))


def named_in(text: str, choices: Mapping[str, str]) -> tuple[str, ...]:
    """Return the choices whose labels have most of the telling words of ``text``, () where none.

    Of those that have as many, those with fewest other words; several are for him to choose from.
    """
    wanted = [
        str(NUMBERS.get(w, w))
        for w in re.findall(r"[a-z0-9]+", text.lower())
        if w not in FILLERS or w in NUMBERS
    ]
    hits = {}
    for name, label in choices.items():
        words = set(re.findall(r"[a-z0-9]+", f"{label} {name}".lower()))
        told = sum(any(_alike(w, x) for x in words) for w in dict.fromkeys(wanted))
        if told:
            hits[name] = told
    if not hits:
        return ()
    most = max(hits.values())
    if 2 * most < len(set(wanted)):
        return ()  # a sentence with one word of a label in it speaks of something else
    return tuple(name for name, told in hits.items() if told == most)


def _alike(word: str, other: str) -> bool:
    if word.isdigit() or other.isdigit() or min(len(word), len(other)) < LEAST:
        return word == other
    return word.startswith(other) or other.startswith(word)


def picked_one(text: str, choices: Mapping[str, str]) -> tuple[str, ...]:
    """Return the choice that ``text`` names, or the few it may name.

    Raises:
        UsageError: If it names none.
    """
    try:
        return (choose_listed(text, choices, "0"),)
    except UsageError:
        numbers = numbers_in(text, len(choices))
        if len(numbers) == 1:
            return (list(choices)[numbers[0] - 1],)
        found = named_in(text, choices)
        if not found or len(found) == len(choices) > 1:
            raise
        return found


def picked_some(text: str, choices: Mapping[str, str]) -> tuple[str, ...]:
    """Return the choices that ``text`` names, by numbers or by words between commas.

    Raises:
        UsageError: If a part of it names none, or may name several.
    """
    names = list(choices)
    numbers = numbers_in(text, len(names))
    if numbers:
        return tuple(names[n - 1] for n in numbers)
    if text.strip().lower() in ("all", "all of them", "both"):
        return tuple(names)
    out: list[str] = []
    for part in _parts(text, choices):
        found = picked_one(part, choices)
        if len(found) > 1:
            said = ", ".join(str(names.index(n) + 1) for n in found)
            raise UsageError(f"'{part}' may be {said}; type the numbers.")
        out += found
    return tuple(dict.fromkeys(out))


def _parts(text: str, choices: Mapping[str, str]) -> Sequence[str]:
    """Return what stands between commas and 'and'; the whole where it is a label."""
    whole = " ".join(text.lower().split())
    if any(whole == label.lower() for label in choices.values()):
        return [text]
    return [p for p in re.split(r"\s*(?:[,;]|\band\b)\s*", text) if p.strip()]
