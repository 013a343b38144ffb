"""Which single answer would put another cause first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnose.belief import UNKNOWN
from diagnose.belief.hypotheses import Floats
from diagnose.job.answers import usually_known
from diagnose.job.job import Job
from diagnose.job.ranking import Group, lines_of, still_possible
from diagnose.model import Finding
from diagnose.planner import Reading
from diagnose.planner.outlook import Outlook

LEAST_CHANCE = 0.01
"""An answer less likely than this is left out: nearly anything first would be (no source)."""


@dataclass(frozen=True)
class Turn:
    """An answer that can still be had, how likely it is now, and what would then stand first.

    moves: how much likelier that would be than now, times how likely the answer is.
    """

    reading: Reading
    finding: Finding
    chance: float
    first: Group
    moves: float


def turns(job: Job) -> tuple[Turn, ...]:
    """Return the answers that would put another cause first, those that move most at their head.

    What hardly tells anything turns two that stand level, and is not what to look for.  Looked at
    is every reading that the planner could ask for with what is at hand.
    """
    step = job.step()
    leading = still_possible(step)[0].causes[0].cause
    planner, questions = job.bench.planner, job.bench.library.questions
    outlook, scored = planner.sift(job.diagnosis.belief, step.posterior, job.situation())
    now = dict(step.posterior.ranking())
    out = []
    for s in scored:
        r = s.reading
        for value, chance, first in _first_by_class(outlook, s.given, s.table.classes):
            if first.causes[0].cause != leading:
                known_by = usually_known(questions[r.question])
                found = Finding(r.question, r.place, value, r.state, known_by)
                moves = chance * (first.probability - sum(now[c] for c in first.causes))
                out.append(Turn(r, found, chance, first, moves))
    return tuple(sorted(out, key=lambda t: -round(t.moves, 9)))


def _first_by_class(
    outlook: Outlook, given: Floats, classes: tuple[str, ...]
) -> Iterator[tuple[str, float, Group]]:
    """Yield each class, how likely it is, and the line of the ranking it would put first."""
    chance, after = outlook.afterwards(given)
    for k, value in enumerate(classes):
        if chance[k] >= LEAST_CHANCE:
            order = np.argsort(-after[:, k], kind="stable").tolist()
            ranking = [(outlook.named(i), float(after[i, k])) for i in order]
            # what nobody listed could answer anything: it is never put first by an answer
            listed = (x for x in ranking if x[0] != UNKNOWN)
            yield value, float(chance[k]), lines_of(listed, 0.0)[0]
