"""Scores: where the true cause stands, and what a set of cases adds up to.

Sources: Brier 1950 (multi-class score, per cause); log score with the probability clipped at
1e-6; ties are broken worst-case, so that a flat list cannot score.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

import numpy as np
from numpy.typing import NDArray

from diagnose.belief import UNKNOWN, Posterior
from diagnose.belief.hypotheses import Floats
from diagnose.job.ranking import grouped
from diagnose.model import Case, CauseAt, Library

FLOOR = 1e-6
"""Probabilities are clipped here for the log score."""


@dataclass(frozen=True)
class Place:
    """Rank of the truth, 1 best; 0 = the knowledge has no such cause on this layout.

    line: of the ranking as people see it, like parts that nothing tells apart on one line.
    """

    cause_and_place: int
    line: int
    part: int
    family: int


@dataclass(frozen=True)
class Scored:
    """Rank, probability and quadratic score of one belief against one case's truth."""

    place: Place
    probability: float
    brier: float


def accepted(case: Case) -> tuple[CauseAt, ...]:
    """Return every answer that counts as right; '' stands for not in the knowledge."""
    return tuple(
        UNKNOWN if not c.cause or c.cause == UNKNOWN.cause else c
        for c in (*case.causes, *case.also_accept)
    )


def place_of(posterior: Posterior, case: Case, library: Library) -> Scored:
    """Return how ``posterior`` stands against the truth of ``case``."""
    ranking = posterior.ranking()
    right = set(accepted(case))
    families = {library.causes[c.cause].family for c in right if c.cause in library.causes}
    parts = {c.at for c in right}
    p = dict(ranking)

    stands = dict(zip(posterior.causes, posterior.standing.tolist(), strict=True))
    level = np.array([stands[c] for c, _ in ranking])

    def rank(hit: Sequence[bool]) -> int:
        return rank_of(level, np.array(hit, dtype=bool))

    mode = rank([c in right for c, _ in ranking])
    groups = grouped(posterior)
    line = rank_of(
        np.array([g.standing for g in groups]),
        np.array([not right.isdisjoint(g.causes) for g in groups]),
    )
    part = rank([c.at in parts for c, _ in ranking])
    known = library.causes
    family = rank([c.cause in known and known[c.cause].family in families for c, _ in ranking])
    probability = max((p.get(c, 0.0) for c in right), default=0.0)
    truth = {c for c in right if c in p}
    hit = max(truth, key=lambda c: p[c], default=None)
    brier = sum((q - (1.0 if c == hit else 0.0)) ** 2 for c, q in ranking)
    return Scored(Place(mode, line, part, family), probability, brier)


def rank_of(probability: Floats, right: NDArray[np.bool_]) -> int:
    """Return the rank of the best ``right`` cause, 1 first; 0 when none is right.

    Worst case among ties: everything as likely that is not right stands before it.
    """
    if not right.any():
        return 0
    level = np.round(probability, 12)
    best = level[right].max()
    return 1 + int((level > best).sum() + ((level == best) & ~right).sum())


def totals(scored: Sequence[Scored]) -> Mapping[str, float]:
    """Return the scores over cases, and how often the line people see was right."""
    if not scored:
        return {}
    return {
        "cases": len(scored),
        "line_top1": fmean(s.place.line == 1 for s in scored),
        "line_top3": fmean(0 < s.place.line <= 3 for s in scored),
        **scores((s.place.cause_and_place, s.probability, s.brier) for s in scored),
    }


def scores(ranked: Iterable[tuple[int, float, float]]) -> dict[str, float]:
    """Return the scores of rankings, each given by rank, probability and Brier of its truth."""
    ranks, probabilities, brier = zip(*ranked, strict=True)
    return {
        "top1": fmean(r == 1 for r in ranks),
        "top3": fmean(0 < r <= 3 for r in ranks),
        "mrr": fmean(1.0 / r if r else 0.0 for r in ranks),
        "log_score": fmean(-math.log(max(p, FLOOR)) for p in probabilities),
        "brier_per_cause": fmean(brier),
    }
