"""A figure beside the class of a reading, in the unit of the aeroplane's papers."""

from __future__ import annotations

from diagnose.knowledge_files import cut, limit_of
from diagnose.model import Layout, Question
from diagnose.units import unit_of

BELOW, BEYOND = 0.3, 1.4
"""Figures lie from this share of the low edge of a band to this multiple of its high edge."""
CLEAR = 0.05
"""Share of such a range next to its ends that is left out: no figure stands on an edge."""


def figure_in(question: Question, layout: Layout, value: str, share: float) -> float | None:
    """Return the figure a ``share`` of the way through what the layout's limit calls ``value``.

    None where there is none.
    """
    limit = limit_of(question, layout)
    where = next((w for w, called in question.cut_as.items() if called == value), "")
    if limit is None or not where or not unit_of(typed_limit(question, layout)):
        return None
    edges = [x for x in (limit.low, limit.high) if x is not None]
    if not edges:
        return None
    bottom, top = BELOW * edges[0], BEYOND * edges[-1]
    low = bottom if limit.low is None else limit.low
    high = top if limit.high is None else limit.high
    ends = {"zero": (0.0, 0.0), "low": (bottom, low), "normal": (low, high), "high": (high, top)}
    begin, end = ends[where]
    figure = begin + (CLEAR + (1.0 - 2.0 * CLEAR) * share) * (end - begin)
    return figure if cut(question, layout, figure) == value else None


def typed_limit(question: Question, layout: Layout) -> str:
    """Return the figure with its unit that ends the limit as its owner typed it, '' for none.

    What the aeroplane shows is told in the unit its papers use.
    """
    limit = limit_of(question, layout)
    words = limit.shown.split() if limit else []
    first = next((k for k in reversed(range(len(words))) if words[k][:1].isdigit()), None)
    return " ".join(words[first:]) if first is not None else ""
