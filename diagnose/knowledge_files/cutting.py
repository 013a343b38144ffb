"""Typed figures to classes: where a figure lies against the layout's limit."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Final

from diagnose.model import Card, Layout, Limit, Question

NOT_CHECKED: Final = ("", "not checked", "not-checked", "cannot tell", "cannot-tell", "?")
"""Ways to say that a thing was not looked at, or could not be told."""

LEAST_CHANCE: Final = 0.001
"""A class less likely than this to hold a measured figure is left out."""

NO_FIGURE: Final = "no approved figure entered"
"""What is said wherever neither the layout nor the aeroplane's own file has a limit."""

NOT_CUT: Final = "no limit tells these answers apart"
"""What is said of a figure that was never to be held against a limit: the air of the day."""

_STANDS_IN: Final = {"booster-pressure": "hand-pump-pressure"}
"""Limit -> the one that holds where a layout has none of it: the same gauge, pumped by hand."""

Chances = tuple[tuple[str, float], ...]
"""(class, chance that the true figure lies in it), likeliest first, together 1."""

_FIGURE: Final = re.compile(r"\s*[-+−]?\s*[.\d]")


def is_figure(text: str) -> bool:
    """Say whether ``text`` starts like a figure, so that it is meant as one."""
    return _FIGURE.match(text) is not None


def limit_of(question: Question, layout: Layout) -> Limit | None:
    """Return the layout's limit that cuts the question's figures; None when there is none."""
    names = (question.cut, _STANDS_IN.get(question.cut, ""))
    limit = next((layout.limits[name] for name in names if name in layout.limits), None)
    return limit if limit is not None and limit.unit == question.unit else None


def cut(question: Question, layout: Layout, value_si: float) -> str:
    """Return the class of a figure by the layout's limit.

    '' when the layout has no such limit, or the question has no class there: then nothing may be
    concluded from the figure alone.
    """
    limit = limit_of(question, layout)
    if limit is None:
        return ""
    # a dead needle is another sign than a low one, where the question tells them apart
    if value_si == 0 and "zero" in question.cut_as:
        return question.cut_as["zero"]
    # the edges belong to the band: approved data say 'not less than', 'not more than'
    if limit.low is not None and value_si < limit.low:
        where = "low"
    elif limit.high is not None and value_si > limit.high:
        where = "high"
    else:
        where = "normal"
    return question.cut_as.get(where, "")


def card_of(question: Question, layout: Layout, place: str) -> Card | None:
    """Return the error card of the gauge that ``question`` is read on at ``place``.

    None without an aeroplane's own file, or where several gauges could be meant.
    """
    own = layout.aeroplane
    if own is None:
        return None
    cards = [
        card
        for part, card in own.cards.items()
        if card.dimension == question.unit
        and layout.parts[part].kind in question.instruments
        and place in (part, layout.parts[part].of)
    ]
    return cards[0] if len(cards) == 1 else None


def by_card(question: Question, layout: Layout, place: str, shown_si: float) -> float:
    """Return the true figure for one shown at ``place``, by the gauge's own error card if any."""
    card = card_of(question, layout, place)
    return card.true(shown_si) if card else shown_si


def chances(question: Question, layout: Layout, value_si: float, sigma: float) -> Chances:
    """Return the classes in which the true figure may lie; none where ``cut`` gives none.

    ``sigma``: standard deviation of what it may be out by, SI, normally distributed.
    """
    limit, now = limit_of(question, layout), cut(question, layout, value_si)
    if limit is None or not now:
        return ()
    if sigma <= 0.0 or (value_si == 0 and "zero" in question.cut_as):
        return ((now, 1.0),)
    low = 0.0 if limit.low is None else tail(limit.low - value_si, sigma)
    high = 0.0 if limit.high is None else 1.0 - tail(limit.high - value_si, sigma)
    shares = {"low": low, "normal": 1.0 - low - high, "high": high}
    out: dict[str, float] = {}
    for where, share in shares.items():
        name = question.cut_as.get(where, "")
        if name and share > LEAST_CHANCE:
            out[name] = out.get(name, 0.0) + share
    return ordered(out)


def ordered(shares: Mapping[str, float]) -> Chances:
    """Return the shares that count, likeliest first, together 1."""
    kept = {c: p for c, p in shares.items() if p > LEAST_CHANCE}
    total = sum(kept.values())
    return tuple(sorted(((c, p / total) for c, p in kept.items()), key=lambda x: -x[1]))


def tail(by: float, sigma: float) -> float:
    """Return P(true figure lies beyond a limit it reads ``by`` beyond), normally distributed."""
    if sigma <= 0.0:
        return float(by > 0.0)
    return 0.5 * (1.0 + math.erf(by / (sigma * math.sqrt(2.0))))


def why_unclassed(question: Question, layout: Layout) -> str:
    """Return why a figure of ``question`` has no class: no limit asked for, entered, or met."""
    if not question.cut:
        return NOT_CUT
    return (
        NO_FIGURE if limit_of(question, layout) is None else "the limit entered does not class it"
    )
