"""The belief of one job: findings in, posterior over causes out.

Exact over single causes and over pairs of the best ``PAIRED`` causes plus every instrument cause
in question; the prior mass of the pairs left out is reported.  One answer redoes one effect.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.belief.factors import Factor, factor, figure_counted
from diagnose.belief.hypotheses import NOTHING, STRANGERS, UNKNOWN, Floats, Hypotheses, hypotheses
from diagnose.belief.net import BeliefNet, Ints
from diagnose.belief.pairs import PairBlock
from diagnose.model import CauseAt, Finding, Work
from diagnose.signs import InstanceKey, Sign, signs_of

PAIRED = 400
"""Causes taken into pairs; beyond them the prior mass of pairs is only bounded."""

NEVER = 1e-4
"""Factor on the odds of a cause that a rule says cannot be, given confirmed facts."""

KEPT = 2000
"""Factors kept for answers that come back: a change of mind, or the next of many jobs."""


@dataclass(frozen=True)
class Posterior:
    """Belief after the findings.

    causes: as in ``Hypotheses`` (``UNKNOWN`` last).  single: P(this cause alone), shape (n,).
    marginal: P(this cause is there), alone or with a second, shape (n,).
    pairs: the likeliest pairs with their probability, best first.
    grades: P(grade | this cause alone, data), shape (n, 3); the last row is the three strangers.
    strangers: P(part, stranger | not in the knowledge, data), shape (homes, 3).
    paired: how many causes were taken into pairs.  left_out: bound on the mass of pairs not
    looked at.  evidence: log P(signs), so that differences predict answers.
    """

    causes: tuple[CauseAt, ...]
    single: Floats
    marginal: Floats
    pairs: tuple[tuple[CauseAt, CauseAt, float], ...]
    grades: Floats
    strangers: Floats
    paired: int
    left_out: float
    evidence: float

    def ranking(self) -> tuple[tuple[CauseAt, float], ...]:
        """Return (cause, P) best first; ties in the order of the causes' names."""
        order = sorted(
            range(len(self.causes)),
            key=lambda i: (-round(float(self.marginal[i]), 12), str(self.causes[i])),
        )
        return tuple((self.causes[i], float(self.marginal[i])) for i in order)


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
        n = self.prior.count
        self._like = np.ones((n, 3))  # product of single factors
        mass = net.home_mass(self.prior.prior)
        self._homes = mass / max(mass.sum(), 1e-300)  # where an unlisted failure may be
        self._strange = np.ones((len(net.homes), len(STRANGERS)))
        self._block = PairBlock(min(paired, max(n - 1, 1)))
        self._removed: dict[int, int] = {}
        self._never: frozenset[int] = frozenset()
        self.epoch = 0  # epoch in which the next reading would be taken

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
        wanted: dict[InstanceKey, list[Sign]] = {}
        for sign in signs_of(findings, self.net.library, self.net.layout):
            wanted.setdefault(sign.instance, []).append(sign)
        # which finding a sign came from does not change its weight
        new = {k: tuple(_plain(s) for s in v) for k, v in wanted.items()}
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
        held = np.ones(h.count)
        held[list(self._never)] = NEVER
        odds = h.odds * held
        alone = h.prior * held * graded.sum(axis=1)
        scale = float(np.max(h.prior / np.maximum(h.odds, 1e-300), where=h.odds > 0, initial=0.0))
        best = self._best(alone, odds)
        self._block.choose(best, self._factors)
        slots = self._block.slots
        used = slots >= 0
        weight = np.zeros((self._block.size, 3))
        weight[used] = graded[slots[used]] * odds[slots[used], None]
        both = self._block.weights(weight) * scale
        np.fill_diagonal(both, 0.0)
        pair_mass = both.sum(axis=1)
        total = alone.sum() + pair_mass.sum() / 2.0
        marginal = alone.copy()
        marginal[slots[used]] += pair_mass[used]
        rest = odds.copy()
        rest[slots[used]] = 0.0
        left = scale * float((rest * graded.sum(axis=1)).sum() * (odds * graded.sum(axis=1)).sum())
        return Posterior(
            h.causes,
            alone / total,
            marginal / total,
            self._top_pairs(both / total),
            graded / np.maximum(graded.sum(axis=1, keepdims=True), 1e-300),
            strange / max(strange.sum(), 1e-300),
            int(used.sum()),
            left / (total + left),
            float(np.log(total)) + sum(float(np.log(f.base)) for f in self._factors.values()),
        )

    def _best(self, alone: Floats, odds: Floats) -> Ints:
        size = self._block.size
        can = np.flatnonzero(odds > 0.0)
        if len(can) <= size:
            return can
        order = can[np.argsort(-alone[can], kind="stable")]
        # A held cause stays while it is anywhere near: swapping slots costs more than it gains.
        near = set(order[: 2 * size].tolist())
        top = order[: size // 2].tolist()
        must = set(top) | {
            i for s in self._signs.values() for x in s for i in self.net.distortions(x)
        } & set(can.tolist())
        keep = [c for c in self._block.slots.tolist() if c in near and c not in must]
        fill = [c for c in order.tolist() if c not in must]
        chosen = list(dict.fromkeys([*sorted(must), *keep, *fill]))[:size]
        return np.array(chosen, dtype=np.int64)

    def _top_pairs(
        self, both: Floats, count: int = 10
    ) -> tuple[tuple[CauseAt, CauseAt, float], ...]:
        upper = np.triu(both, 1)
        flat = np.argpartition(-upper, min(count, upper.size - 1), axis=None)[:count]
        got = []
        for f in flat[np.argsort(-upper.ravel()[flat], kind="stable")]:
            i, j = divmod(int(f), upper.shape[1])
            if upper[i, j] > 0.0:
                a, b = sorted(
                    (
                        self.prior.causes[self._block.slots[i]],
                        self.prior.causes[self._block.slots[j]],
                    ),
                    key=str,
                )
                got.append((a, b, float(upper[i, j])))
        return tuple(got)

    # ------------------------------------------------------------------ for the planner and 'why'

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

    def weight_of(self, cause: CauseAt) -> tuple[tuple[InstanceKey, float], ...]:
        """Return the factor each effect instance puts on the odds of ``cause`` against none."""
        i = self.prior.index[cause]
        grades = self.prior.grades[i]
        out = []
        for key, f in self._factors.items():
            if cause == UNKNOWN:
                alike = f.stranger.mean(axis=1)
                share = self._homes[f.homes]
                out.append((key, float(1.0 + share @ (alike - 1.0))))
                continue
            out.append((key, _single(f, i, grades)))
        return tuple(out)

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
            times = _single(with_it, i, grades) / _single(without, i, grades)
            out[key] = (sign, times)
        return out


def _single(f: Factor, cause: int, grades: Floats) -> float:
    """Return the relative likelihood of a cause in ``f``, the mean over its grades."""
    r = int(np.searchsorted(f.active, cause))
    hit = r < len(f.active) and f.active[r] == cause
    return float(f.single[r] @ grades) if hit else 1.0


def _plain(sign: Sign) -> Sign:
    return Sign(
        sign.question,
        sign.place,
        sign.value,
        sign.known,
        sign.instance,
        sign.known_by,
        0,
        sign.check,
        tries=sign.tries,
        seen=sign.seen,
        chances=sign.chances,
        figure=sign.figure,
        one_of=sign.one_of,
    )
