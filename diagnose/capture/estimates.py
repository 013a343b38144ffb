"""Estimates as typed: lowest, highest, best, how sure; and as figures between 0 and 1.

The four questions in this order are those of the IDEA protocol (2018); natural counts because
people reckon better with them than with chances.
"""

from __future__ import annotations

import re

from diagnose.capture.told import Figures
from diagnose.errors import UsageError

_NUMBER = r"(\d{1,7}(?:\.\d{1,6})?|\.\d{1,6})"
_FOUR = re.compile(rf"\s*{_NUMBER}[\s,]+{_NUMBER}[\s,]+{_NUMBER}[\s,]+{_NUMBER}\s*%?[\s,;:]*(.*)")
LEAST_SURE = 50.0
"""Less sure than this, he should give a wider range."""


def read_figures(text: str, of: int, unit: str = "") -> tuple[Figures, str]:
    """Return the estimate in ``text`` and the reason behind it, ''.

    ``of``: natural counts out of so many; 0 where the figures are in ``unit``.

    Raises:
        UsageError: One line: what is wrong, what was meant, what to do.
    """
    example = "2 12 6 80" if of else "5 20 10 80"
    what = f"counts of {of}" if of else f"figures in {unit}"
    match = _FOUR.fullmatch(text)
    if match is None:
        raise UsageError(
            f"'{text}' is not four figures; type lowest, highest, best ({what}) and how sure you "
            f"are in %, as {example}."
        )
    low, high, best, sure = (float(x) for x in match.groups()[:4])
    if of and max(low, high, best) > of:
        raise UsageError(f"'{text}': there are only {of} of them; type counts from 0 to {of}.")
    if not low <= best <= high:
        raise UsageError(
            f"'{text}': the best, {best:g}, must lie between lowest, {low:g}, and highest, "
            f"{high:g}; the order is lowest, highest, best, how sure."
        )
    if not LEAST_SURE <= sure <= 100:
        raise UsageError(
            f"'{text}': {sure:g} % sure; widen lowest and highest until it is 50 to 100 %."
        )
    return Figures(low, high, best, sure), match.group(5).strip()


def words_of(figures: Figures, of: int) -> str:
    """Return an estimate in words: '6 of 20 (2 to 12, 80 % sure)'."""
    best = f"{figures.best:g}" + (f" of {of}" if of else "")
    return f"{best} ({figures.low:g} to {figures.high:g}, {figures.sure:g} % sure)"
