"""Estimates as typed: lowest, highest, best, how sure; and as figures between 0 and 1.

The four questions in this order are those of the IDEA protocol (2018); natural counts because
people reckon better with them than with chances.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.capture.picking import NUMBERS
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
            f"are in %, as {example}, or the best alone."
        )
    low, high, best, sure = (float(x) for x in match.groups()[:4])
    return checked(text, Figures(low, high, best, sure), of), match.group(5).strip()


def checked(text: str, figures: Figures, of: int) -> Figures:
    """Return an estimate that can be.

    Raises:
        UsageError: One line: what is wrong with it, typed as ``text``, and what to do.
    """
    low, high, best, sure = figures.low, figures.high, figures.best, figures.sure
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
    return figures


@dataclass(frozen=True)
class Begun:
    """What was said of an estimate so far; what is None is asked for next."""

    low: float | None = None
    high: float | None = None
    best: float | None = None
    sure: float | None = None


_SURE = re.compile(
    r"(?i)\b(?:(\d{2,3})\s*(?:%|per ?cent\b|sure\b)(?:\s*sure\b)?|sure,? (\d{2,3})\b\s*%?)"
)
_BEYOND = re.compile(
    r"\b(over|above|more than|better than|under|below|less than|short of)(?: the)? $"
)
"""Before what is no count of its own: 'well over half' is more than half, nobody knows how much."""
_DIGITS = re.compile(r"(?<![\w.])(?:\d{1,7}(?:\.\d{1,6})?|\.\d{1,6})(?![\w.]*\w)")
AS_SAID: Mapping[str, tuple[str, ...]] = {
    "never": ("never", "none", "not one", "not any"),
    "rarely": ("rarely", "hardly ever", "hardly any", "seldom", "rare"),
    "sometimes": ("sometimes", "now and then", "once in a while"),
    "half": ("half", "every other", "fifty fifty"),
    "very-often": ("very often", "nearly all", "nearly always", "almost all", "almost always"),
    "often": ("often", "most of them", "mostly", "most", "usually"),
    "always": ("always", "every time", "every one", "all of them", "all"),
}
"""The frequency words of the knowledge and what people say for them (common practice, no source);
of two that fit the longer is meant."""


def begun_in(text: str, of: int, rates: Mapping[str, float]) -> tuple[Begun, str]:
    """Return what ``text`` says of an estimate, and the frequency word it was said in, ''.

    'between 10 and 18, say 15', '15', 'about half': nothing is made up for what it leaves open.
    ``rates``: what the frequency words stand for in the knowledge.

    Raises:
        UsageError: If it says nothing of it.
    """
    low = " ".join(text.lower().split())
    sure = _SURE.search(low)
    rest = _SURE.sub(" ", low)
    if of:
        rest = re.sub(rf"(?:\bout of|\bof|\bin|/)\s*(?:the\s+)?{of}\b", " ", rest)
        rest = re.sub("[a-z]+", lambda m: str(NUMBERS.get(m[0], m[0])), rest)
    found = [float(x) for x in _DIGITS.findall(rest)]
    how_sure = float(sure[1] or sure[2]) if sure else None
    if len(found) == 3:
        return Begun(found[0], found[1], found[2], how_sure), ""
    if len(found) == 2:
        return Begun(found[0], found[1], None, how_sure), ""
    if len(found) == 1:
        return Begun(best=found[0], sure=how_sure), ""
    said = {w: name for name, words in AS_SAID.items() for w in words}
    for word in sorted(said, key=len, reverse=True) if of and not found else ():
        if (at := re.search(rf"\b{word}\b", rest)) and said[word] in rates:
            rate = {"never": 0.0, "always": 1.0}.get(said[word], rates[said[word]])
            if beyond := _BEYOND.search(rest[: at.start()]):
                bound = f"'{beyond[1]} {word}' is {beyond[1]} {rate * of:.0f} of {of}"
                raise UsageError(f"{bound}; type how many you would say, as the best alone.")
            return Begun(best=float(round(rate * of)), sure=how_sure), word
    read_figures(text, of)  # says what was meant
    raise UsageError(f"'{text}' says no figure.")


COMMON_OF = 300


def how_common(text: str, numbers: Mapping[str, float]) -> str:
    """Return the word of ``numbers`` that is nearest to a count of ``COMMON_OF``, by decades.

    Raises:
        UsageError: If ``text`` is no count.
    """
    low = text.lower().replace(",", "")
    share = re.search(r"(?:1|one|once) in (\d{1,7})\b", low)
    words = re.sub("[a-z]+", lambda m: str(NUMBERS.get(m[0], m[0])), low)
    found = [float(x) for x in _DIGITS.findall(re.sub(rf"\b(?:of|in) {COMMON_OF}\b", "", words))]
    if share and int(share[1]):
        count = COMMON_OF / int(share[1])
    elif found and max(found) <= COMMON_OF:
        count = sum(found) / len(found)
    else:
        raise UsageError(
            f"'{text}' is no count of {COMMON_OF}; type how many it is, as 10, 2 or 3, 1 in 3000."
        )
    rate = max(count, 1e-9) / COMMON_OF
    return min(numbers, key=lambda name: abs(math.log(numbers[name] / rate)))


def words_of(figures: Figures, of: int) -> str:
    """Return an estimate in words: '6 of 20 (2 to 12, 80 % sure)'."""
    best = f"{figures.best:g}" + (f" of {of}" if of else "")
    return f"{best} ({figures.low:g} to {figures.high:g}, {figures.sure:g} % sure)"
