"""The belief of one job: findings in, posterior over causes out.

Exact over single causes and over pairs of the best ``PAIRED`` causes plus every instrument cause
in question; the prior mass of the pairs left out is reported.  One answer redoes one effect.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from diagnose.belief.factors import Factor, factor, figure_counted
from diagnose.belief.hypotheses import NOTHING, STRANGERS, UNKNOWN, Floats, Hypotheses, hypotheses
from diagnose.belief.net import BeliefNet, Ints
from diagnose.belief.pairs import PairBlock
from diagnose.in_use import InUse
from diagnose.model import CauseAt, Finding, Work
from diagnose.signs import InstanceKey, Sign, counting, signs_in

PAIRS_TOLD = 10
"""Pairs listed as the likeliest."""

PAIRED = 400
"""Causes taken into pairs; beyond them the prior mass of pairs is only bounded."""

NEVER = 1e-4
"""Factor on the odds of a cause that a rule says cannot be, given confirmed facts."""

Weight = tuple[tuple[InstanceKey, ...], float]
"""Effect instances whose signs are weighed together, and their factor on the odds of a cause."""

KEPT = 2000
"""Factors kept for answers that come back: a change of mind, or the next of many jobs."""


@dataclass(frozen=True)
class Posterior:
    """Belief after the findings.

    causes: as in ``Hypotheses`` (``UNKNOWN`` last).  single: P(this cause alone), shape (n,).
    marginal: P(this cause is there), alone or with a second, shape (n,).
    grades: P(grade | this cause alone, data), shape (n, 3); the last row is the three strangers.
    strangers: P(part, stranger | not in the knowledge, data), shape (homes, 3).
    paired: how many causes were taken into pairs.  left_out: bound on the mass of pairs not
    looked at.  evidence: log P(signs), so that differences predict answers.
    alphabetic: place of each cause in the order of names, shape (n,).
    """

    causes: tuple[CauseAt, ...]
    single: Floats
    marginal: Floats
    grades: Floats
    strangers: Floats
    paired: int
    left_out: float
    evidence: float
    alphabetic: Ints

    @cached_property
    def standing(self) -> Floats:
        """Return what each cause is ranked by, shape (n,): the chance that it is there at its part.

        ``UNKNOWN`` is every failure that no one has listed, at every part.  It stands where the
        likeliest part of it would, or it would go before things that can be looked at.
        """
        out = self.marginal.copy()
        out[-1] *= self.strangers.sum(axis=1).max(initial=0.0)
        return out

    def ranking(self) -> tuple[tuple[CauseAt, float], ...]:
        """Return (cause, P) by ``standing``, best first; ties in the order of the causes' names."""
        order = np.lexsort((self.alphabetic, -np.round(self.standing, 12)))
        listed = zip(order.tolist(), self.marginal[order].tolist(), strict=True)
        return tuple((self.causes[i], p) for i, p in listed)


class Belief:
    """The findings of one job, weighed; exact whatever the order of answers or changes."""

    def __init__(
        self,
        net: BeliefNet,
        before: Iterable[Work] = (),
        paired: int = PAIRED,
        listed: Mapping[CauseAt, str] = NOTHING,
    ) -> None:
        """Start from the prior, lifted by the work done ``before`` the report.

        ``listed``: open defects of this aeroplane's papers, with the entry in words; those the
        ``net`` knows to be there are in every hypothesis, the others only lifted.
        """
        self.net = net
        known = {c: w for c, w in listed.items() if net.index.get(c) in net.known}
        self.prior: Hypotheses = hypotheses(
            net.library, net.layout, net.instances, before, listed, known
        )
        self._signs: dict[InstanceKey, tuple[Sign, ...]] = {}
        self._factors: dict[InstanceKey, Factor] = {}
        self._kept: dict[tuple[tuple[Sign, ...], frozenset[int]], Factor] = {}
        h, n = self.prior, self.prior.count
        self._own: dict[int, tuple[Finding, tuple[Sign, ...]]] = {}  # by the finding's identity
        self._like = np.ones((n, 3))  # product of single factors
        self._fuel = np.flatnonzero(h.odds > 0.0)
        self._scale = float((h.prior[self._fuel] / h.odds[self._fuel]).max(initial=0.0))
        mass = net.home_mass(self.prior.prior)
        self._homes = mass / max(mass.sum(), 1e-300)  # where an unlisted failure may be
        self._strange = np.ones((len(net.homes), len(STRANGERS)))
        self._block = PairBlock(min(paired, max(n - 1, 1)), n)
        self._weighed_pairs = np.zeros((self._block.size, 3)), 0.0  # and what makes it a chance
        self._removed: dict[int, int] = {}
        self._never: frozenset[int] = frozenset()
        self.epoch = 0  # epoch in which the next reading would be taken
        self.in_use = InUse()  # tanks that fed when it came: the next reading is read with them

    # ------------------------------------------------------------------ findings

    def update(
        self,
        findings: Sequence[Finding],
        rectified: Mapping[CauseAt, int] | None = None,
        never: Iterable[CauseAt] = (),
    ) -> Posterior:
        """Weigh exactly ``findings`` and return the posterior.

        ``rectified``: cause -> first epoch in which it no longer acts.  ``never``: causes that
        rules exclude on confirmed facts.
        """
        self.epoch = max(list((rectified or {}).values()) + [f.epoch for f in findings], default=0)
        removed = {
            self.prior.index[c]: e for c, e in (rectified or {}).items() if c in self.prior.index
        }
        self._never = frozenset(self.prior.index[c] for c in never if c in self.prior.index)
        new = self._signs_by_instance(findings)
        gone = [k for k in self._factors if new.get(k) != self._signs.get(k)]
        if removed != self._removed:
            gone = list(self._factors)
            self._removed = removed
        for k in gone:
            del self._factors[k]
        added = [k for k in new if k not in self._factors]
        for k in added:
            out = frozenset(i for i, e in removed.items() if k[3] >= e)
            self._factors[k] = self._weighed(new[k], out)
        self._signs = new
        if gone:
            self._like[:] = 1.0
            self._strange[:] = 1.0
            for f in self._factors.values():
                self._multiply(f)
            self._block.clear()
        else:
            for k in added:
                self._multiply(self._factors[k])
                self._block.add(self._factors[k])
        return self._posterior()

    def _signs_by_instance(
        self, findings: Sequence[Finding]
    ) -> dict[InstanceKey, tuple[Sign, ...]]:
        """Return the signs that count; a finding seen before is not read again.

        Each is read as if alone: which finding a sign came from does not change its weight.
        """
        library, layout, own = self.net.library, self.net.layout, self._own
        self._own = {id(f): own.get(id(f)) or (f, signs_in(f, library, layout)) for f in findings}
        wanted: dict[InstanceKey, list[Sign]] = {}
        for sign in counting(s for f in findings for s in self._own[id(f)][1]):
            wanted.setdefault(sign.instance, []).append(sign)
        return {key: tuple(signs) for key, signs in wanted.items()}

    def _weighed(self, signs: tuple[Sign, ...], out: frozenset[int]) -> Factor:
        found = self._kept.get((signs, out))
        if found is None:
            if len(self._kept) >= KEPT:
                self._kept.clear()
            found = self._kept[signs, out] = factor(self.net, signs, out, self.prior.prior)
        return found

    def _multiply(self, f: Factor) -> None:
        self._like[f.active] *= f.single
        self._strange[f.homes] *= f.stranger

    # ------------------------------------------------------------------ posterior

    def _posterior(self) -> Posterior:
        h = self.prior
        strange = self._homes[:, None] * self._strange / len(STRANGERS)
        graded = self._like * h.grades
        graded[-1] = strange.sum(axis=0)
        like = graded.sum(axis=1)
        odds, alone = h.odds, h.prior * like
        if self._never:
            held = np.ones(h.count)
            held[list(self._never)] = NEVER
            odds, alone = odds * held, alone * held
        self._block.choose(self._best(alone), self._factors.values())
        # An empty slot (-1) stands for the last hypothesis, the unknown: its odds are 0.
        slots = self._block.slots
        weight = graded[slots] * odds[slots, None]
        masses = self._scale * self._block.masses(weight)
        total = float(alone.sum() + masses.sum() / 2.0)
        self._weighed_pairs = weight, self._scale / total
        marginal = alone.copy()
        marginal[slots] += masses
        each = odds * like
        everyone = each.sum()
        each[slots] = 0.0
        left = self._scale * float(each.sum() * everyone)
        return Posterior(
            h.causes,
            alone / total,
            marginal / total,
            graded / np.maximum(like, 1e-300)[:, None],
            strange / max(strange.sum(), 1e-300),
            int((slots >= 0).sum()),
            left / (total + left),
            math.log(total) + sum(math.log(f.base) for f in self._factors.values()),
            h.alphabetic,
        )

    def _best(self, alone: Floats) -> Ints:
        """Return the causes to take into pairs: as many of the best as there is room for."""
        size, can = self._block.size, self._fuel
        if len(can) <= size:
            return can
        order = can[np.argsort(-alone[can], kind="stable")]
        must = np.zeros(len(alone), dtype=bool)
        must[order[: size // 2]] = True
        must[
            [i for s in self._signs.values() for x in s for i in self.net.instruments.bending(x)]
        ] = True
        must &= self.prior.odds > 0.0
        # A held cause stays while it is anywhere near: swapping slots costs more than it gains.
        near = np.zeros(len(alone), dtype=bool)
        near[order[: 2 * size]] = True
        slots = self._block.slots
        keep = slots[near[slots] & ~must[slots] & (slots >= 0)]
        taken = must.copy()
        taken[keep] = True
        return np.concatenate([np.flatnonzero(must), keep, order[~taken[order]]])[:size]

    # ------------------------------------------------------------------ for the planner and 'why'

    def likeliest_pairs(self) -> tuple[tuple[CauseAt, CauseAt, float], ...]:
        """Return the likeliest pairs by the last update with their probability, best first."""
        weight, scale = self._weighed_pairs
        both = np.triu(self._block.weights(weight))
        names, out = [self.prior.causes[c] for c in self._block.slots], []
        for at in np.argsort(-both, axis=None, kind="stable")[:PAIRS_TOLD].tolist():
            i, j = divmod(at, len(names))
            if both[i, j] > 0.0:
                first, second = sorted((names[i], names[j]), key=str)
                out.append((first, second, scale * float(both[i, j])))
        return tuple(out)

    @property
    def removed(self) -> frozenset[int]:
        """Return the causes rectified by now: they act on nothing that is read from here on."""
        return frozenset(self._removed)

    @property
    def factors(self) -> Mapping[InstanceKey, Factor]:
        """Return the factor of each effect instance with known signs."""
        return self._factors

    @property
    def signs(self) -> Mapping[InstanceKey, tuple[Sign, ...]]:
        """Return the signs weighed, by effect instance."""
        return self._signs

    def weight_of(self, cause: CauseAt) -> tuple[Weight, ...]:
        """Return the factor each effect instance puts on the odds of ``cause`` against none."""
        return tuple(((key,), self.times(cause, (key,))) for key in self._factors)

    def times(self, cause: CauseAt, keys: Collection[InstanceKey]) -> float:
        """Return the factor the known signs of ``keys`` together put on the odds of ``cause``."""
        factors = [f for key, f in self._factors.items() if key in keys]
        if cause == UNKNOWN:
            strange = np.ones_like(self._strange)
            for f in factors:
                strange[f.homes] *= f.stranger
            return float(self._homes @ strange.mean(axis=1))
        i = self.prior.index[cause]
        like = np.prod([np.ones(3), *(_single(f, i) for f in factors)], axis=0)
        return float(like @ self.prior.grades[i])

    def chance_of(self, one: CauseAt, other: CauseAt) -> float:
        """Return P(exactly these two | findings) by the last update, 0 where not looked at."""
        weight, scale = self._weighed_pairs
        s, t = (int(self._block.slot_of[self.prior.index[c]]) for c in (one, other))
        if s < 0 or t < 0:
            return 0.0
        ratio = self._block.ratio[3 * s : 3 * s + 3, 3 * t : 3 * t + 3]
        return scale * float(weight[s] @ ratio @ weight[t])

    def by_figures(self, cause: CauseAt) -> Mapping[InstanceKey, tuple[Sign, float]]:
        """Return the sign whose figure counts, and its part in ``weight_of``, by effect instance.

        Instances without a figure that counts are not in it.
        """
        i = self.prior.index[cause]
        grades = self.prior.grades[i]
        out = {}
        for key, with_it in self._factors.items():
            signs = self._signs[key]
            sign = figure_counted(self.net, signs) if self.net.figures else None
            if sign is None:
                continue
            removed = frozenset(c for c, e in self._removed.items() if key[3] >= e)
            bare = tuple(replace(s, figure=None) for s in signs)
            without = factor(self.net, bare, removed, self.prior.prior)
            times = float((_single(with_it, i) @ grades) / (_single(without, i) @ grades))
            out[key] = (sign, times)
        return out


def _single(f: Factor, cause: int) -> Floats:
    """Return the relative likelihood of a cause in ``f`` by its grades, shape (3,)."""
    r = int(np.searchsorted(f.active, cause))
    hit = r < len(f.active) and f.active[r] == cause
    return f.single[r] if hit else np.ones(3)
