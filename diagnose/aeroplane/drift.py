"""Does a reading drift?  A straight line through its history, with the interval of the next one.

The slope is tested by Student's t, the newest reading against the prediction interval of those
before it (NIST/SEMATECH e-Handbook of Statistical Methods, 4.5.1; section from memory).  A
condition noted with every reading is fitted along, so that weather is not taken for wear.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagnose.aeroplane.student import both_tails, quantile

Floats = NDArray[np.float64]

FEWEST = 5
"""Readings from which a line is drawn: fewer leave too little to judge the scatter by."""

FALSE_ALARM = 0.01
"""Chance of calling any of the series looked at together a drift, or a step, when none is one."""

FORESEEN = 0.95
"""Share of the interval in which the next readings are foretold."""


@dataclass(frozen=True)
class Line:
    """Least squares: value = level + slope (day - middle) + effect (condition - usual).

    sigma: scatter about the line; dof: degrees of freedom left for it.  inverse: (X'X)^-1.
    """

    middle: float
    usual: float | None
    coefficients: Floats
    inverse: Floats
    sigma: float
    dof: int

    @property
    def slope(self) -> float:
        """Return the change a day."""
        return float(self.coefficients[1])

    @property
    def p(self) -> float:
        """Return the chance of a slope as steep as this where there is none, both ways."""
        spread = self.sigma * math.sqrt(float(self.inverse[1, 1]))
        if spread == 0.0:
            return float(self.slope == 0.0)
        return both_tails(self.slope / spread, self.dof)

    def at(self, day: float, condition: float | None = None) -> float:
        """Return the value on ``day``; at the usual condition where none is given."""
        return float(self._row(day, condition) @ self.coefficients)

    def half_width(self, day: float, share: float, condition: float | None = None) -> float:
        """Return the half-width of the interval that holds a reading of ``day``."""
        row = self._row(day, condition)
        spread = self.sigma * math.sqrt(1.0 + float(row @ self.inverse @ row))
        return quantile(1.0 - share, self.dof) * spread

    def _row(self, day: float, condition: float | None) -> Floats:
        row = [1.0, day - self.middle]
        if self.usual is not None:
            row.append(0.0 if condition is None else condition - self.usual)
        return np.array(row)


def fit(
    days: Sequence[float], values: Sequence[float], conditions: Sequence[float] | None = None
) -> Line:
    """Return the line through ``values`` over ``days``, a condition of each fitted along.

    Raises:
        ValueError: If the days are all one, or fewer readings than the line has figures plus one.
    """
    x = np.asarray(days, float)
    middle = float(x.mean())
    columns = [np.ones(len(x)), x - middle]
    usual = None
    if conditions is not None:
        c = np.asarray(conditions, float)
        usual = float(c.mean())
        columns.append(c - usual)
    design = np.column_stack(columns)
    dof = len(x) - design.shape[1]
    if dof < 1 or np.linalg.matrix_rank(design) < design.shape[1]:
        raise ValueError("too few readings, or all on one day, to draw a line through")
    inverse = np.linalg.inv(design.T @ design)
    coefficients = inverse @ design.T @ np.asarray(values, float)
    rest = np.asarray(values, float) - design @ coefficients
    return Line(middle, usual, coefficients, inverse, math.sqrt(float(rest @ rest) / dof), dof)


@dataclass(frozen=True)
class Judged:
    """What the history of one reading says.

    word: 'too few', 'steady', 'drift' or 'step'.  reaches: day on which the line meets the limit
    it runs towards, None when it runs towards none; earliest: day from which the interval of a
    single reading meets it.  corrected: whether a condition was fitted along.
    """

    word: str
    line: Line | None = None
    p: float = 1.0
    reaches: float | None = None
    earliest: float | None = None
    limit: float | None = None
    corrected: bool = False


def judge(
    days: Sequence[float],
    values: Sequence[float],
    conditions: Sequence[float | None] = (),
    low: float | None = None,
    high: float | None = None,
    looked_at: int = 1,
) -> Judged:
    """Return what a series says; ``looked_at``: how many series are judged together.

    The false-alarm chance is shared out over the series (Bonferroni), so that looking at many
    does not find drift by itself.
    """
    if len(days) < FEWEST or len(set(days)) < FEWEST - 1:
        return Judged("too few")
    along = _usable(days, conditions)
    line = fit(days, values, along)
    alpha = FALSE_ALARM / max(looked_at, 1)
    word, p = ("drift", line.p) if line.p < alpha else ("steady", line.p)
    if word == "steady" and len(days) > FEWEST and _stands_apart(days, values, along, alpha):
        word = "step"
    reaches = earliest = limit = None
    if word == "drift":
        limit = low if line.slope < 0 else high
        if limit is not None:
            reaches = days[-1] + max(0.0, (limit - line.at(days[-1])) / line.slope)
            earliest = _first_meeting(line, days[-1], reaches, limit)
    return Judged(word, line, p, reaches, earliest, limit, along is not None)


def _usable(days: Sequence[float], conditions: Sequence[float | None]) -> list[float] | None:
    """Return the conditions when every reading has one, they differ, and enough readings stand."""
    there = [c for c in conditions if c is not None]
    if len(there) != len(days) or len(days) < FEWEST + 1 or max(there) - min(there) < 1e-9:
        return None
    # a condition that runs with the calendar cannot be told from wear
    if abs(float(np.corrcoef(days, there)[0, 1])) > 0.9:
        return None
    return there


def _stands_apart(
    days: Sequence[float], values: Sequence[float], along: Sequence[float] | None, alpha: float
) -> bool:
    """Return whether the newest reading lies outside the interval of those before it."""
    try:
        before = fit(days[:-1], values[:-1], along[:-1] if along else None)
    except ValueError:
        return False
    condition = along[-1] if along else None
    off = abs(values[-1] - before.at(days[-1], condition))
    scale = max(abs(v) for v in values)
    width = before.half_width(days[-1], 1.0 - alpha, condition)
    return off > max(width, 1e-9 * scale)


def _first_meeting(line: Line, now: float, reaches: float, limit: float) -> float:
    """Return the first day from ``now`` on which a single reading may lie beyond the limit."""
    side = -1.0 if line.slope < 0 else 1.0

    def beyond(day: float) -> bool:
        edge = line.at(day) + side * line.half_width(day, FORESEEN)
        return side * (edge - limit) >= 0.0

    low, high = now, reaches
    if beyond(low):
        return low
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (low, middle) if beyond(middle) else (middle, high)
    return high
