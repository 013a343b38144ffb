"""Whole numbers as people type them: a place in a list, an entry, people, flights."""

from __future__ import annotations

MOST_DIGITS = 9


def whole_number(text: str) -> int | None:
    """Return the number that ``text`` is, None where it is not written in digits alone.

    A raised '²' is a digit to Python and no number, and of thousands of digits it makes none.
    """
    return int(text) if text.isdecimal() and len(text) <= MOST_DIGITS else None
