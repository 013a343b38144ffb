"""Several experts on one figure: the pool, the spread, and how well each one's ranges hold.

Pooling is linear with equal weights and a floor of .01, every expert's own number kept beside it:
a linear pool keeps marginals, and no single nought can veto.  Calibration and information are those
of Cooke's classical model (1991); with few seeds the score is asymptotic, so that it is shown and
weighs nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean

from diagnose.capture.told import Figures
from diagnose.errors import UsageError

FLOOR = 0.01
"""No pooled chance is nearer to 0 or 1 than this: nothing is certain."""
FEWEST_SEEDS = 10
"""With fewer seeds the score is shown and no weight derived (from memory)."""
SHARES = (0.05, 0.45, 0.45, 0.05)
"""Chance of the truth below the 5 % point, up to the median, up to the 95 % point, above."""
OVERSHOOT = 0.10
"""Share of the whole range added on each side of it (Cooke's 10 %)."""
_INNER = 0.90

Points = tuple[float, float, float]
"""The 5, 50 and 95 % points of one estimate."""


@dataclass(frozen=True)
class Pool:
    """One chance from several: ``value`` pooled, ``spread`` highest less lowest."""

    value: float
    spread: float


def pooled(chances: Sequence[float]) -> Pool:
    """Return the linear pool, equal weights, kept between the floor and 1 less the floor.

    Raises:
        UsageError: If there is nothing to pool.
    """
    if not chances:
        raise UsageError("there is no figure to pool.")
    value = min(max(fmean(chances), FLOOR), 1.0 - FLOOR)
    return Pool(value, max(chances) - min(chances))


def points(figures: Figures) -> Points:
    """Return the 5, 50 and 95 % points: the range stretched or drawn in to 90 % about the best.

    In proportion to how sure he was, as the IDEA protocol (2018) makes ranges comparable (from
    memory); never below nothing.
    """
    scale = _INNER / (figures.sure / 100.0)
    low = max(0.0, figures.best - (figures.best - figures.low) * scale)
    return low, figures.best, figures.best + (figures.high - figures.best) * scale


def hits(answers: Sequence[tuple[Points, float]]) -> tuple[int, int, int, int]:
    """Return how many truths fell below, in the lower and upper half of, and above the ranges."""
    out = [0, 0, 0, 0]
    for (low, mid, high), truth in answers:
        out[0 if truth < low else 1 if truth <= mid else 2 if truth <= high else 3] += 1
    return (out[0], out[1], out[2], out[3])


def calibration(found: Sequence[int]) -> float:
    """Return P(chi-square with 3 degrees of freedom > 2 N I): 1 where the ranges hold exactly."""
    n = sum(found)
    if not n:
        return 1.0
    x = 2.0 * sum(k * math.log(k / n / p) for k, p in zip(found, SHARES, strict=True) if k)
    x = max(x, 0.0)
    return math.erfc(math.sqrt(x / 2.0)) + math.sqrt(2.0 * x / math.pi) * math.exp(-x / 2.0)


def information(at: Points, low: float, high: float) -> float:
    """Return how narrow one range is against all that anybody said, ``low`` to ``high``.

    ln(U - L) + sum p ln(p / width), with L and U the range and a tenth of it on each side.
    """
    over = OVERSHOOT * (high - low)
    edges = (low - over, *at, high + over)
    widths = [max(b - a, 1e-9) for a, b in pairwise(edges)]
    return math.log(edges[-1] - edges[0]) + sum(
        p * math.log(p / w) for p, w in zip(SHARES, widths, strict=True)
    )


@dataclass(frozen=True)
class Score:
    """How one expert did on the seed questions.

    weight: calibration times information, as Cooke's model would weigh; None under ten seeds.
    """

    seeds: int
    hits: tuple[int, int, int, int]
    calibration: float
    information: float
    weight: float | None


def score(
    mine: Mapping[str, Figures],
    all_said: Mapping[str, Sequence[Figures]],
    truths: Mapping[str, float],
) -> Score:
    """Return the score on the seeds answered; ``all_said``: of every expert, by seed."""
    answered = {k: points(f) for k, f in mine.items() if k in truths}
    found = hits([(at, truths[k]) for k, at in answered.items()])
    narrow = []
    for k, at in answered.items():
        every = [x for f in all_said.get(k, ()) for x in points(f)] + [truths[k], *at]
        if max(every) > min(every):
            narrow.append(information(at, min(every), max(every)))
    held, told = calibration(found), fmean(narrow) if narrow else 0.0
    weight = held * told if len(answered) >= FEWEST_SEEDS else None
    return Score(len(answered), found, held, told, weight)
