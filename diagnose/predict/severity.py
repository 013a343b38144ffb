"""How bad a fault is inside its grade, and how sound aeroplanes differ.

Common practice, no source: knowledge names one figure a grade; real damage lies around it.  Each
cause is solved at its three figures and half-way between neighbours, and a grade is a weighted
mean of the points round its own figure.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from diagnose.fuel import Readings
from diagnose.model import GRADES, Physical

POINTS = 5
"""Severities solved: slight, between, half, between, severe."""
GRADE_POINTS = (0, 2, 4)
"""Those that are the grades' own figures."""
WEIGHTS = np.asarray(
    [[0.6, 0.4, 0.0, 0.0, 0.0], [0.0, 0.3, 0.4, 0.3, 0.0], [0.0, 0.0, 0.0, 0.4, 0.6]]
)
"""Weight of each point in each grade."""
SHARES_LOST = ("blocked", "vent-blocked", "stuck-shut")
"""Changes whose figure is a share lost: their steps are even in what is left open."""

SCATTER: Mapping[str, float] = MappingProxyType(
    {
        "metering-pressure": 0.04,
        "pressure-gauge": 0.04,
        "flow": 0.02,
        "flow-meter": 0.02,
        "burn-fraction": 0.02,
        "return-flow": 0.10,
        "tank-rate": 0.02,
        "booster-duty": 0.03,
    }
)
"""Relative scatter of sound aeroplanes, one standard deviation (common practice, no source)."""
SCATTERS = 4
"""Sound aeroplanes looked at for each solve."""


def points_of(physical: Physical) -> tuple[float | None, ...]:
    """Return the values to solve, None where the grades round it are not given."""
    known = {g: float(v) for g, v in physical.grades.items()}
    slight, half, severe = (known.get(g) for g in GRADES)
    lost = physical.change in SHARES_LOST
    return (slight, _middle(slight, half, lost), half, _middle(half, severe, lost), severe)


def _middle(a: float | None, b: float | None, lost: bool) -> float | None:
    return None if a is None or b is None else on_the_way(a, b, 0.5, lost)


def on_the_way(a: float, b: float, share: float, lost: bool) -> float:
    """Return the figure ``share`` of the way from ``a`` to ``b``.

    Geometric in what is left open for a share ``lost``, else in the figure where it has a sign.
    """
    if lost and a < 1.0 and b < 1.0:
        return 1.0 - math.pow(1.0 - a, 1.0 - share) * math.pow(1.0 - b, share)
    if a > 0.0 and b > 0.0:
        return math.pow(a, 1.0 - share) * math.pow(b, share)
    return a + (b - a) * share


def scattered(found: Readings, rows: np.ndarray, count: int, rng: np.random.Generator) -> Readings:
    """Return ``found`` as another sound aeroplane would show it.

    ``rows`` (B,) numbers the aeroplane of each row, of ``count``: rows of one number get the same
    scatter, so that a fault that changes nothing differs in nothing from the sound state.
    """
    values = dict(found.values)
    for name, sigma in SCATTER.items():
        if name in values:
            z = np.clip(rng.standard_normal((count, values[name].shape[1])), -2.0, 2.0)
            values[name] = values[name] * (1.0 + sigma * z[rows])
    return Readings(values, found.places)


_WELL = ("normal", "full", "")


def without_air(found: Readings) -> Readings:
    """Return the readings as if neither air nor vapour made them swing."""
    values = dict(found.values)
    values["air-share"] = np.zeros_like(values["air-share"])
    values["vapour-margin"] = np.full_like(values["vapour-margin"], np.inf)
    return Readings(values, found.places)


def pulled_down(
    words: Mapping[str, np.ndarray], calm: Mapping[str, np.ndarray]
) -> dict[str, np.ndarray]:
    """Return the words of one who tells the mean of a swinging reading, where that is off too.

    Air and vapour swing a needle and pull it down: of those who look, half call it hunting, half
    low (common practice, no source).  ``calm`` are the words without the swing.
    """
    return {
        name: np.where(np.isin(calm[name], _WELL), word, calm[name]) for name, word in words.items()
    }
