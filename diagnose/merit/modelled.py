"""Jobs drawn from the fuel-system model, with noise, on other aeroplanes than the tables know.

A cause with a physical form is drawn by its prior, its damage anywhere round its grade, and every
run state of the layout is solved, a can filled at the open union and a night parked among them.  A
person reports up to four things that are not normal, then answers what tells most of what the
model can answer.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.belief import Belief
from diagnose.belief.hypotheses import Floats
from diagnose.fuel import Fault
from diagnose.fuel.faults import has_form
from diagnose.how_far import HowFar, untold
from diagnose.job.diagnosis import Bench
from diagnose.merit.drawn import ASKED, PAIRED
from diagnose.merit.observed import Modelled, answers_to, askable, reported
from diagnose.merit.scores import Standing, standing, summary
from diagnose.merit.telling import Telling
from diagnose.merit.unlike import Aeroplane, severity_at
from diagnose.model import GRADES, CauseAt

AEROPLANES = 16
"""Aeroplanes built for each layout, each on its own day."""
TOGETHER = 256
"""Rows solved at once."""
TRIES = 50
"""Faults tried for each job before the model is taken to show too little."""


@dataclass(frozen=True)
class Lot:
    """Jobs drawn from the model.

    unseen: faults that showed nothing to report.  unsolved: without a steady state somewhere.
    can: the causes that can be drawn, those with a physical form; share: their prior share.
    """

    jobs: tuple[Modelled, ...]
    unseen: int
    unsolved: int
    can: tuple[CauseAt, ...]
    share: float


def model_lot(bench: Bench, jobs: int, seed: int, told: HowFar = untold) -> Lot:
    """Return ``jobs`` jobs on the layout of ``bench``, the same for the same ``seed``.

    Fewer where the model can break or show too little on the layout.
    """
    rng = np.random.default_rng([seed, zlib.crc32(bench.layout.id.encode()), 7])
    asked = askable(bench)
    states = list(dict.fromkeys(state for _, state in asked))
    if not asked:
        return Lot((), 0, 0, (), 0.0)
    planes = [Aeroplane(bench.layout, states, rng) for _ in range(AEROPLANES)]
    causes, weight, share = _drawable(bench, planes[0])
    each = max(TOGETHER // len(states), 1)
    made: list[Modelled] = []
    unseen = unsolved = turn = 0
    while causes and len(made) < jobs and turn * each < TRIES * jobs + TOGETHER:
        plane = planes[turn % AEROPLANES]
        turn += 1
        faults = [_damaged(bench, causes, weight, rng) for _ in range(each)]
        for (cause, _), answers in zip(
            faults, answers_to(bench, plane, faults, asked, states, rng), strict=True
        ):
            if answers is None:
                unsolved += 1
                continue
            job = reported(bench, cause, answers, rng)
            if job is None:
                unseen += 1
            elif len(made) < jobs:
                made.append(job)
        told(len(made), jobs)
    return Lot(tuple(made), unseen, unsolved, tuple(causes), share)


def rank_lot(bench: Bench, lot: Lot, told: HowFar = untold) -> Mapping[str, Mapping[str, object]]:
    """Return the scores of ``lot`` ranked on ``bench``: from the report, and after questions.

    The last of them is also held among the causes that can be drawn alone, because the belief
    rightly gives much of its chance to those that never are.
    """
    belief = Belief(bench.net, paired=PAIRED)
    telling = Telling(bench, belief)
    can = np.zeros(len(belief.prior.causes))
    can[[bench.net.index[c] for c in lot.can]] = 1.0
    first: list[Standing] = []
    later: list[Standing] = []
    among: list[Standing] = []
    for k, job in enumerate(lot.jobs):
        truth = (bench.net.index[job.cause],)
        marginal = belief.update(job.reported).marginal
        first.append(standing(marginal, truth))
        more = telling.most(marginal, ASKED, job.answers)
        after = belief.update([*job.reported, *(job.answers[r.key] for r in more)])
        later.append(standing(after.marginal, truth))
        left = after.single * can
        among.append(standing(left / max(left.sum(), 1e-300), truth))
        told(k + 1, len(lot.jobs))
    return {
        "report": summary(first),
        "after_questions": summary(later),
        "after_questions_among_drawable": summary(among),
    }


# ------------------------------------------------------------------ what is broken


def _drawable(bench: Bench, plane: Aeroplane) -> tuple[list[CauseAt], Floats, float]:
    """Return the causes with a physical form that fits, their weights, and their prior share."""
    prior = Belief(bench.net, paired=1).prior
    causes: list[CauseAt] = []
    weight: list[float] = []
    for i, c in enumerate(bench.net.instances):
        if _has_form(bench, plane, c):
            causes.append(c)
            weight.append(float(prior.prior[i]))
    w = np.array(weight)
    return causes, w / max(w.sum(), 1e-300), float(w.sum() / prior.prior.sum())


def _has_form(bench: Bench, plane: Aeroplane, cause: CauseAt) -> bool:
    physical = bench.library.causes[cause.cause].physical
    if physical is None or cause.at not in bench.layout.parts or not physical.grades:
        return False
    value = float(next(iter(physical.grades.values())))
    return has_form(plane.network, Fault(cause.at, physical.change, value, physical.unit))


def _damaged(
    bench: Bench, causes: Sequence[CauseAt], weight: Floats, rng: np.random.Generator
) -> tuple[CauseAt, Fault]:
    while True:  # a grade that has no figure is drawn again
        cause = causes[int(rng.choice(len(causes), p=weight))]
        known = bench.library.causes[cause.cause]
        grade = int(rng.choice(len(GRADES), p=[known.severity[g] for g in GRADES]))
        if known.physical is not None:
            value = severity_at(known.physical, grade, float(rng.uniform(-0.5, 0.5)))
            if value is not None:
                return cause, Fault(cause.at, known.physical.change, value, known.physical.unit)
