"""How many lines a text takes: by the letter widths of the common sans-serif faces.

The widths are those of Helvetica in the Adobe Core 14 font metrics; Arial, Liberation Sans and
Arimo were drawn to the same widths.  A little is added, so that a face somewhat wider still fits.
"""

from __future__ import annotations

from functools import lru_cache

SPARE = 1.04
"""Widths times this: room for a wider face and for rounding."""

BOLD = 1.07
"""Mean width of bold letters over plain ones in the same metrics."""

_PLAIN = {
    " !,./:;I[\\]ft|": 278,
    "'": 191,
    "ijl": 222,
    "()-`r": 333,
    '"{}*': 360,
    "Jcksvxyz": 500,
    "#$0123456789?Labdeghnopqu_": 556,
    "+<=>~^": 584,
    "FTZ": 611,
    "&ABEKPSVXY": 667,
    "CDHNRUw": 722,
    "GOQ": 778,
    "Mm": 833,
    "%": 889,
    "W": 944,
    "\u2192@": 1000,
}
_WIDTH = {letter: width / 1000 for letters, width in _PLAIN.items() for letter in letters}
_OTHER = 0.7


@lru_cache(maxsize=8192)
def word_width(word: str) -> float:
    """Return the width of a word over the size of its letters."""
    return SPARE * sum(_WIDTH.get(letter, _OTHER) for letter in word)


@lru_cache(maxsize=65536)
def lines_of(text: str, width: float, bold: bool = False) -> int:
    """Return how many lines ``text`` takes in a column of ``width`` letter sizes; at least 1."""
    wide = BOLD if bold else 1.0
    space = word_width(" ") * wide
    lines, used = 1, 0.0
    for word in text.split():
        long = word_width(word) * wide
        if used and used + space + long > width:
            lines, used = lines + 1, 0.0
        used += long + (space if used else 0.0)
        while used > width:  # a word longer than a line is broken
            lines, used = lines + 1, used - width
    return lines
