"""How a measured figure lies for each cause: the spread of the number within a value of an effect.

A reading enters the belief once: as P(class | value) P(figure | class, value, cause).  The first
factor is the class table of the question; the second, which this module gives, is by how much the
figure fits what the model shows for one cause better than what it shows for all of them.  A cause
on which the model has no say has 1 there, so the class table then stands alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge_files import limit_of
from diagnose.model import CauseAt, Layout, Question
from diagnose.predict.tables import Block, Floats

FIGURES: Mapping[str, str] = MappingProxyType(
    {
        "metering-pressure": "metering-pressure",
        "booster-only-pressure": "metering-pressure",
        "return-flow": "return-flow",
        "delivery": "flow",
    }
)
"""Reading with classes -> the reading in numbers that people write down for it."""
GAUGE = 0.05
"""Standard deviation of a figure as read, as a share of the limit (common practice, no source)."""
IN_BAND = 0.25
"""The same of what a sound aeroplane shows within its band, as a share of the band's width: where
in the band an engine stands is its own (common practice, no source)."""
SHARED = 0.5
"""Weight of what all causes show together in each cause's own spread: five observations of the
model against five of nothing (this project's statement)."""
MOST = 10.0
"""No figure moves the odds of a cause further than this within its class."""


@dataclass(frozen=True)
class Fit:
    """How well a figure fits causes, given that the effect has ``value``.

    ratio: density over that of all causes together, by cause and grade, shape (3,).
    """

    value: str
    ratio: Mapping[CauseAt, Floats]


def moments(figures: Floats, words: NDArray[np.str_], values: tuple[str, ...]) -> Floats:
    """Return share, sum and sum of squares of the figures in each value, (S, rows) -> (rows, V, 3).

    Means over the S aeroplanes; a figure that is NaN has no value.
    """
    there = [(words == v) & np.isfinite(figures) for v in values]
    x = np.nan_to_num(figures)
    return np.stack(
        [np.stack([t.mean(axis=0), (t * x).mean(axis=0), (t * x * x).mean(axis=0)], -1)
         for t in there], axis=-2,
    )  # fmt: skip


def spread(summed: Floats) -> NDArray[np.float32]:
    """Return share, mean and standard deviation (..., 3) from the sums of ``moments``."""
    share = summed[..., 0]
    mean = summed[..., 1] / np.maximum(share, 1e-12)
    variance = np.maximum(summed[..., 2] / np.maximum(share, 1e-12) - mean * mean, 0.0)
    return np.stack([share, mean, np.sqrt(variance)], axis=-1).astype(np.float32)


def edges_of(question: Question, layout: Layout, shown: str) -> tuple[float, float, float, float]:
    """Return where the class begins and ends, the limit's size and the width of its band.

    Infinite where nothing bounds the class; size and band are 0 where the layout has no limit.
    """
    limit = limit_of(question, layout)
    if limit is None:
        return -math.inf, math.inf, 0.0, 0.0
    low = -math.inf if limit.low is None else limit.low
    high = math.inf if limit.high is None else limit.high
    size = high if math.isfinite(high) else low
    band = high - low if math.isfinite(high - low) else 0.0
    sides = {question.cut_as.get(side, ""): side for side in ("low", "normal", "high")}
    side = sides.get(shown, "")
    bounds = {"low": (-math.inf, low), "normal": (low, high), "high": (high, math.inf)}
    return *bounds.get(side, (-math.inf, math.inf)), size, band


def least_spread(
    value: int, figure: float, edges: tuple[float, float, float, float], gauge: float
) -> float:
    """Return the standard deviation no figure lies closer than, SI.

    That of the gauge as read (or of its error card, ``gauge``, where that is wider), and with
    nothing wrong (``value`` 0) where in its band a sound aeroplane stands.
    """
    _, _, size, band = edges
    least = max(GAUGE * size, gauge, 1e-3 * abs(figure), 1e-12)
    return max(least, IN_BAND * band) if value == 0 else least


@dataclass(frozen=True)
class Lies:
    """How the figures of one cause, or of all, lie within a value: by grade, each shape (3,).

    share: how often the model shows the value.  mean, sd: of the figure then, SI; the standard
    deviation is the model's alone, over damage, fuel, heat and scatter of aeroplanes.
    """

    share: Floats
    mean: Floats
    sd: Floats


def lies(
    block: Block, at: NDArray[np.intp], weight: Floats, value: int, row: int | None = None
) -> Lies:
    """Return how figures lie within ``value``: of active cause ``row``, or of the sound aeroplane.

    Run states ``at`` are mixed by ``weight``.
    """
    if row is None:
        cells = np.repeat(block.sound[at, None, value], 3, axis=1).astype(np.float64)
    else:
        cells = block.spread[at, row, :, value].astype(np.float64)  # (n, 3, 3)
    share = weight[:, None] * cells[..., 0]
    total = np.maximum(share.sum(axis=0), 1e-12)
    mean = (share * cells[..., 1]).sum(axis=0) / total
    square = (share * (cells[..., 2] ** 2 + cells[..., 1] ** 2)).sum(axis=0) / total
    return Lies(
        share.sum(axis=0) / max(float(weight.sum()), 1e-12),
        mean,
        np.sqrt(np.maximum(square - mean * mean, 0.0)),
    )


def fits(
    block: Block,
    at: NDArray[np.intp],
    weight: Floats,
    value: int,
    figure: float,
    edges: tuple[float, float, float, float],
    least: float,
) -> Floats | None:
    """Return the ratio for each active cause and grade, shape (a, 3); None without spreads.

    ``at``, ``weight``: the run states that fit, as numbers of the block's cells.  ``least``: as
    ``least_spread`` gives it.
    """
    if not block.spread.size:
        return None
    low, high, _, _ = edges
    mine = block.spread[at, :, :, value].astype(np.float64)  # (n, a, 3, 3)
    share = weight[:, None, None] * mine[..., 0]
    density = _density(figure, mine[..., 1], np.hypot(mine[..., 2], least), low, high)
    own, mass = (share * density).sum(axis=0), share.sum(axis=0)
    if value == 0:  # nothing wrong: as on a sound aeroplane
        sound = block.sound[at, value].astype(np.float64)
        w = weight * sound[:, 0]
        plain = _density(figure, sound[:, 1], np.hypot(sound[:, 2], least), low, high)
        common, total = float((w * plain).sum()), float(w.sum())
    else:
        common, total = float(own.sum()), float(mass.sum())
    if total < 1e-6:
        return None
    common /= total
    ratio = np.where(mass > 1e-3, own / np.maximum(mass, 1e-12) / max(common, 1e-300), 1.0)
    out: Floats = np.minimum(SHARED + (1.0 - SHARED) * ratio, MOST)
    return out


def _density(x: float, mean: Floats, sigma: Floats, low: float, high: float) -> Floats:
    """Return the normal density at ``x`` cut to the class from ``low`` to ``high``."""
    inside = _below((high - mean) / sigma) - _below((low - mean) / sigma)
    z = (x - mean) / sigma
    out: Floats = np.exp(-0.5 * z * z) / sigma / np.maximum(inside, 1e-3) / math.sqrt(2.0 * math.pi)
    return out


def _below(z: Floats) -> Floats:
    """Return the share of a normal distribution below ``z`` (logistic fit, within 0.01)."""
    bounded = np.clip(z, -8.0, 8.0)
    out: Floats = 1.0 / (1.0 + np.exp(-bounded * (1.5976 + 0.07056 * bounded * bounded)))
    return out
