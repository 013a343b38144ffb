"""How the order of causes holds when every frequency word is off by one step.

Every ``produces`` row moves up or down one word of the scale, at random; the words at the ends move
inwards.  The same drawn jobs are ranked by both (Kendall's tau over the first ten).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from diagnose.belief import Belief
from diagnose.belief.hypotheses import Floats
from diagnose.how_far import HowFar
from diagnose.job.diagnosis import Bench
from diagnose.merit.drawn import PAIRED, Drawn
from diagnose.model import Cause, Library

SHIFTS = 3
"""Ways of being off that are tried on every job."""
LOOKED_AT = 10
"""Causes whose order is compared."""


def stability(bench: Bench, jobs: int, seed: int, told: HowFar) -> Mapping[str, float]:
    """Return how often the first cause stays, how much of the first three, and Kendall's tau."""
    drawn = Drawn(bench, seed)
    rng = np.random.default_rng([seed, 23])
    reports = []
    for _ in range(jobs):
        world, findings = drawn.report()
        marginal = drawn.rank(world, findings)[1]
        asked = list(drawn.asked(world, findings, marginal).values())
        reports.append((asked, drawn.belief.update(asked).marginal))
    first: list[bool] = []
    three: list[float] = []
    tau: list[float] = []
    for k in range(SHIFTS):
        other = Bench(off_by_one(bench.library, rng), bench.layout)
        belief = Belief(other.net, paired=PAIRED)
        for n, (findings_of, before) in enumerate(reports):
            after = belief.update(findings_of).marginal
            old, new = _order(before), _order(after)
            first.append(bool(old[0] == new[0]))
            three.append(len(set(old[:3]) & set(new[:3])) / 3.0)
            tau.append(kendall(before[old[:LOOKED_AT]], after[old[:LOOKED_AT]]))
            told(k * jobs + n + 1, SHIFTS * jobs)
    return {
        "jobs": jobs,
        "first_stays": float(np.mean(first)),
        "of_three_stay": float(np.mean(three)),
        "kendall_tau_of_ten": float(np.mean(tau)),
    }


def off_by_one(library: Library, rng: np.random.Generator) -> Library:
    """Return ``library`` with every frequency of every row one word up or down.

    All grades of a row move together.  A number between two words moves as far, in log-odds.
    """
    words = np.array(sorted(library.words.how_often.values()))
    scale = np.log(words / (1.0 - words))
    steps = np.arange(len(scale))

    def moved(p: float, way: int) -> float:
        at = float(np.interp(np.log(p / (1.0 - p)), scale, steps))
        onto = at + way if 0 <= at + way <= steps[-1] else at - way
        return float(1.0 / (1.0 + np.exp(-np.interp(onto, steps, scale))))

    def shifted(cause: Cause) -> Cause:
        rows = []
        for row in cause.produces:
            way = int(rng.choice((-1, 1)))
            rows.append(
                replace(row, how_often={g: moved(p, way) for g, p in row.how_often.items()})
            )
        return replace(cause, produces=tuple(rows))

    return replace(library, causes={k: shifted(c) for k, c in library.causes.items()})


def kendall(one: Floats, other: Floats) -> float:
    """Return Kendall's tau-a of two rankings of the same things (1 same order, -1 reversed)."""
    above = np.triu_indices(len(one), 1)
    a = np.sign(one[above[0]] - one[above[1]])
    b = np.sign(other[above[0]] - other[above[1]])
    return float((a * b).mean()) if len(a) else 1.0


def _order(marginal: Floats) -> np.ndarray:
    return np.argsort(-np.round(marginal, 12), kind="stable")
