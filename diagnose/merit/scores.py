"""How good a set of rankings of drawn jobs is: their scores, and calibration.

Calibration error is over ten equal bins of the first cause's probability (it is no proper score: a
diagnostic only).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief.hypotheses import Floats
from diagnose.replay.score import rank_of, scores

BINS = 10


@dataclass(frozen=True)
class Standing:
    """How one belief stands against the truth of its job.

    rank: of the best true cause, ties worst-case.  probability: of it.  top: of the first cause.
    right: whether the first cause is true.  brier: over all causes, each true one counting 1.
    """

    rank: int
    probability: float
    top: float
    right: bool
    brier: float


def standing(marginal: Floats, truth: Sequence[int]) -> Standing:
    """Return how ``marginal`` (P(cause is there), shape (n,)) stands; ``truth`` are indices."""
    hit = np.zeros(len(marginal), dtype=bool)
    hit[list(truth)] = True
    first = int(np.argmax(marginal))
    return Standing(
        rank_of(marginal, hit),
        float(marginal[hit].max(initial=0.0)),
        float(marginal[first]),
        bool(hit[first]),
        float(((marginal - hit) ** 2).sum()),
    )


def calibration(top: Sequence[float], right: Sequence[bool]) -> tuple[float, float]:
    """Return (calibration error, the error chance alone would give if every p were true).

    Ten equal bins of the first cause's probability: sum over bins of n/N |share right - mean p|.
    """
    p, y = np.asarray(top, dtype=float), np.asarray(right, dtype=float)
    if not len(p):
        return 0.0, 0.0
    which = np.minimum((p * BINS).astype(int), BINS - 1)
    error = chance = 0.0
    for b in range(BINS):
        here = which == b
        if here.any():
            error += abs(float((y[here] - p[here]).sum()))
            # mean distance of a sum of coin throws from its mean, by the normal approximation
            chance += float(np.sqrt(2.0 / np.pi * (p[here] * (1.0 - p[here])).sum()))
    return error / len(p), chance / len(p)


def bins(top: Sequence[float], right: Sequence[bool]) -> list[dict[str, float]]:
    """Return the ten bins: their jobs, mean probability and share right."""
    p, y = np.asarray(top, dtype=float), np.asarray(right, dtype=float)
    which = np.minimum((p * BINS).astype(int), BINS - 1)
    return [
        {
            "from": b / BINS,
            "jobs": int(here.sum()),
            "mean_probability": float(p[here].mean()) if here.any() else 0.0,
            "share_right": float(y[here].mean()) if here.any() else 0.0,
        }
        for b in range(BINS)
        for here in [which == b]
    ]


def summary(standings: Sequence[Standing]) -> Mapping[str, object]:
    """Return all scores over ``standings`` as plain data."""
    if not standings:
        return {"jobs": 0}
    top, right = [s.top for s in standings], [s.right for s in standings]
    error, chance = calibration(top, right)
    return {
        "jobs": len(standings),
        **scores((s.rank, s.probability, s.brier) for s in standings),
        "mean_top_probability": float(np.mean(top)),
        "calibration_error": error,
        "calibration_error_by_chance": chance,
        "bins": bins(top, right),
    }
