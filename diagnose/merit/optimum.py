"""Expected minutes of the planner against the best possible, on problems small enough to solve.

A problem: a drawn report, the few likeliest causes after it, and the few readings with the engine
at rest that tell most of them (none that would be lost).  At any point one may stop asking and go
by the plain plan (checks by probability over price).  The optimum is the full tree; the planner is
followed through every answer.  Source of the tree: Pattipati & Alexandridis 1990.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief import Posterior
from diagnose.belief.hypotheses import Floats
from diagnose.how_far import HowFar, untold
from diagnose.job.diagnosis import Bench
from diagnose.merit.drawn import Drawn
from diagnose.planner import Reading, Situation
from diagnose.planner.outlook import Outlook, reading_table
from diagnose.planner.sequencing import Test, lookahead
from diagnose.planner.worth import Purse, entropy_gain
from diagnose.signs import instance_of

CAUSES = 6
READINGS = 5
PROBLEMS = 12
"""Size and number of the problems for each layout."""


@dataclass(frozen=True)
class Minutes:
    """Expected minutes of one problem: at best, by the planner, and without asking anything."""

    best: float
    planned: float
    unasked: float


def against_optimum(bench: Bench, problems: int, seed: int, told: HowFar = untold) -> list[Minutes]:
    """Return the minutes of ``problems`` problems, the same for the same ``seed``."""
    drawn = Drawn(bench, seed)
    out = []
    for k in range(problems):
        _, findings = drawn.report()
        posterior = drawn.belief.update(list(findings.values()))
        out.append(_Problem(drawn, posterior, {f.question for f in findings.values()}).minutes())
        told(k + 1, problems)
    return out


class _Problem:
    def __init__(self, drawn: Drawn, posterior: Posterior, asked: set[str]) -> None:
        self.bench, self.belief = drawn.bench, drawn.belief
        listed = posterior.marginal.copy()
        listed[-1] = 0.0  # what is not in the knowledge has no check to go by
        self.causes = np.argsort(-listed, kind="stable")[:CAUSES]
        marginal = np.zeros_like(listed)
        marginal[self.causes] = listed[self.causes] / listed[self.causes].sum()
        self.start = replace(posterior, marginal=marginal)
        self.outlook = Outlook(self.belief, self.start)
        self.readings = self._telling(asked)
        keys = frozenset(r.key for r in self.bench.planner.catalogue.readings)
        mine = {r.key for r in self.readings}
        self.situation = Situation(asked=keys - mine, may_run=False, hands=9)
        self.purse: Purse = self.bench.planner.purse(self.outlook, self.situation)
        self.given = {r.key: self._given(r) for r in self.readings}
        self.price = {r.key: self.bench.planner.minutes_of((r,)) for r in self.readings}

    def minutes(self) -> Minutes:
        """Return the expected minutes of the best tree and of the planner."""
        weights = self.outlook.weights
        held = np.flatnonzero(weights > 0.0)
        few = Purse(self.purse.check_of[held], self.purse.minutes, self.purse.columns)
        tests = [Test(self.given[r.key][held], self.price[r.key]) for r in self.readings]
        best, _ = lookahead(weights[held], tests, few.value, len(tests))
        unasked = float(self.purse.value(weights[None, :])[0])
        return Minutes(best, self._planned(weights, self.situation), unasked)

    def _planned(self, weights: Floats, situation: Situation) -> float:
        plan = self.bench.planner.next(
            self.belief, self._posterior(weights), situation, deadline=float("inf")
        )
        # a check that narrows the search is no part of the tree: the plan goes without it as well
        narrows = plan.action is not None and plan.action.is_check and plan.action.saves > 0.0
        worth = (a for a in plan.others if a.readings and a.saves > 0.0)
        action = next(worth, None) if narrows else plan.action
        if action is None or action.is_check:
            return float(self.purse.value(weights[None, :])[0])
        (reading,) = action.readings
        onward = replace(situation, asked=situation.asked | {reading.key})
        cost = self.price[reading.key]
        for column in (weights[:, None] * self.given[reading.key]).T:
            mass = float(column.sum())
            if mass > 1e-9:
                cost += mass * self._planned(column / mass, onward)
        return cost

    def _posterior(self, weights: Floats) -> Posterior:
        """Return the belief that has exactly these weights on the hypotheses."""
        each = weights.reshape(-1, 3)
        marginal = np.zeros_like(self.start.marginal)
        marginal[self.outlook.causes] = each.sum(axis=1)
        grades = self.start.grades.copy()
        held = each.sum(axis=1) > 0.0
        grades[self.outlook.causes[held]] = each[held] / each[held].sum(axis=1, keepdims=True)
        return replace(self.start, marginal=marginal, grades=grades)

    def _telling(self, asked: set[str]) -> Sequence[Reading]:
        """Return the readings at rest that tell most, one for each effect instance."""
        library = self.bench.library
        best: dict[object, tuple[float, Reading]] = {}
        for r in self.bench.planner.catalogue.readings:
            question = library.questions[r.question]
            if r.is_run or question.id in asked:
                continue
            if question.perishable:  # asked first lest it be lost, whatever the minutes say
                continue
            known = r.state.known()
            key = instance_of(library.effects[question.reads], r.place, known, 0)
            bits = entropy_gain(self.outlook.weights, self._given(r))
            if bits > 1e-6 and bits > best.get(key, (0.0, r))[0]:
                best[key] = (bits, r)
        order = sorted(best.values(), key=lambda b: (-b[0], b[1].key))
        return [r for _, r in order[:READINGS]]

    def _given(self, reading: Reading) -> Floats:
        return self.outlook.given(reading_table(self.belief, reading))


def beyond(minutes: Sequence[Minutes]) -> Mapping[str, float]:
    """Return means over problems: minutes at best and as planned, and the excess as a share."""
    if not minutes:
        return {"problems": 0}
    best = float(np.mean([m.best for m in minutes]))
    planned = float(np.mean([m.planned for m in minutes]))
    return {
        "problems": len(minutes),
        "best_minutes": best,
        "planned_minutes": planned,
        "unasked_minutes": float(np.mean([m.unasked for m in minutes])),
        "beyond_best": planned / max(best, 1e-9) - 1.0,
        "worst_beyond_best": max(m.planned / max(m.best, 1e-9) for m in minutes) - 1.0,
    }
