"""Belief where findings can be meant in several ways: the mean of the ways, each weighed exactly.

P(hypothesis | data) is the sum over the ways of P(way | data) P(hypothesis | data, way), and
P(way | data) goes by the chance of the data in that way.  Nothing is approximated by it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from diagnose.belief.belief import PAIRS_TOLD, Belief, Posterior, Weight
from diagnose.belief.hypotheses import Floats, Hypotheses
from diagnose.belief.net import BeliefNet
from diagnose.model import CauseAt
from diagnose.signs import InstanceKey, Sign


class Mixed:
    """The beliefs of all ways, as likely beforehand, read as one."""

    def __init__(self, beliefs: Sequence[Belief], posteriors: Sequence[Posterior]) -> None:
        """Take one updated belief, and what its update returned, for each way."""
        self.beliefs = tuple(beliefs)
        self.posteriors = tuple(posteriors)
        logs = np.array([p.evidence for p in posteriors])
        top = float(logs.max())
        chances = np.exp(logs - top)
        self._evidence = top + math.log(float(chances.mean()))
        self.chances: Floats = chances / chances.sum()
        first = beliefs[0]
        self.net: BeliefNet = first.net
        self.prior: Hypotheses = first.prior
        self.epoch = first.epoch
        self.in_use = first.in_use
        keys = {k for b in beliefs for k in b.signs}
        self.varying: frozenset[InstanceKey] = frozenset(
            k for k in keys if any(b.signs.get(k) != first.signs.get(k) for b in beliefs)
        )

    @property
    def removed(self) -> frozenset[int]:
        """Return the causes rectified by now, as ``Belief.removed``."""
        return self.beliefs[0].removed

    def posterior(self) -> Posterior:
        """Return the belief over causes, whichever way is meant."""
        p, each = self.posteriors, self.chances
        single = _mean(each, [x.single for x in p])
        alone = np.array([c * x.single for c, x in zip(each, p, strict=True)])
        grades = sum(a[:, None] * x.grades for a, x in zip(alone, p, strict=True))
        strangers = sum(a[-1] * x.strangers for a, x in zip(alone, p, strict=True))
        # as a multiple of what was looked at, so that the bounds of all ways add up
        left = float(sum(c * x.left_out / (1.0 - x.left_out) for c, x in zip(each, p, strict=True)))
        return Posterior(
            p[0].causes,
            single,
            _mean(each, [x.marginal for x in p]),
            np.where(
                single[:, None] > 0.0, grades / np.maximum(single, 1e-300)[:, None], p[0].grades
            ),
            strangers / max(float(np.sum(strangers)), 1e-300),
            min(x.paired for x in p),
            left / (1.0 + left),
            self._evidence,
            p[0].alphabetic,
        )

    # ------------------------------------------------------------------ for 'why'

    def weight_of(self, cause: CauseAt) -> tuple[Weight, ...]:
        """Return the factors on the odds of ``cause`` against none, as ``Belief.weight_of``.

        The effect instances that differ from way to way make one factor together.
        """
        first = [w for w in self.beliefs[0].weight_of(cause) if not self.varying & set(w[0])]
        if not self.varying:
            return tuple(first)
        none = [self._none(b) for b in self.beliefs]
        times = [b.times(cause, self.varying) for b in self.beliefs]
        both = sum(n * t for n, t in zip(none, times, strict=True)) / sum(none)
        return (*first, (tuple(sorted(self.varying)), float(both)))

    def _none(self, belief: Belief) -> float:
        """Return P(the signs that differ, in this way | none of our causes)."""
        return math.prod(f.base for k, f in belief.factors.items() if k in self.varying)

    def by_figures(self, cause: CauseAt) -> Mapping[InstanceKey, tuple[Sign, float]]:
        """Return what figures do, as ``Belief.by_figures``, where all ways agree."""
        found = self.beliefs[0].by_figures(cause)
        return {k: v for k, v in found.items() if k not in self.varying}

    def likeliest_pairs(self) -> tuple[tuple[CauseAt, CauseAt, float], ...]:
        """Return the likeliest pairs, as ``Belief.likeliest_pairs``: each of those of any way."""
        listed = {(a, b): 0.0 for x in self.beliefs for a, b, _ in x.likeliest_pairs()}
        for a, b in listed:
            listed[a, b] = float(
                sum(c * x.chance_of(a, b) for c, x in zip(self.chances, self.beliefs, strict=True))
            )
        best = sorted(listed.items(), key=lambda item: (-item[1], str(item[0])))[:PAIRS_TOLD]
        return tuple((a, b, p) for (a, b), p in best)


def _mean(chances: Floats, arrays: Sequence[Floats]) -> Floats:
    out: Floats = np.tensordot(chances, np.array(arrays), axes=1)
    return out


Held = Belief | Mixed
"""What a planner and 'why' ask: the belief of one way, or of several."""
