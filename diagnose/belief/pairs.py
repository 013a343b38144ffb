"""The interaction of pairs of causes: where two act on the same effect, their joint view.

P(data | i, j) = P(data | i) P(data | j) / P(data | none) times one ratio for each effect instance
on which both act.  The block keeps the product of those ratios for the best causes; an answer
multiplies the rows and columns it touches, nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from diagnose.belief.factors import Factor
from diagnose.belief.hypotheses import Floats
from diagnose.belief.net import Ints
from diagnose.signs import InstanceKey


class PairBlock:
    """Product of pair ratios over the known effect instances, shape (3K, 3K), cause-major."""

    def __init__(self, size: int) -> None:
        """Make room for ``size`` causes."""
        self.size = size
        self.slots = np.full(size, -1, dtype=np.int64)  # slot -> cause
        self.where: dict[int, int] = {}  # cause -> slot
        self.ratio = np.ones((3 * size, 3 * size))

    def choose(self, best: Ints, factors: Mapping[InstanceKey, Factor]) -> None:
        """Hold exactly the causes ``best`` (at most ``size``), keeping those already held."""
        wanted = set(best.tolist())
        free = [s for s in range(self.size) if int(self.slots[s]) not in wanted]
        for s in free:
            self.where.pop(int(self.slots[s]), None)
            self.slots[s] = -1
        new = [c for c in best.tolist() if c not in self.where]
        if not new:
            return
        for c, s in zip(new, free, strict=False):
            self.where[c] = s
            self.slots[s] = c
        fresh = np.array([self.where[c] for c in new], dtype=np.int64)
        wide = _wide(fresh)
        self.ratio[wide, :] = 1.0
        self.ratio[:, wide] = 1.0
        only = set(new)
        for f in factors.values():
            self._apply(f, only)

    def add(self, factor: Factor) -> None:
        """Multiply in the factor of an effect instance that had none."""
        self._apply(factor, None)

    def clear(self) -> None:
        """Hold nothing: exact after a changed or withdrawn answer, ``choose`` starts afresh."""
        self.slots[:] = -1
        self.where.clear()

    def _apply(self, factor: Factor, only: set[int] | None) -> None:
        held = [(r, int(c)) for r, c in enumerate(factor.active) if int(c) in self.where]
        if len(held) < 2:
            return
        rows = np.array([r for r, _ in held], dtype=np.int64)
        slots = np.array([self.where[c] for _, c in held], dtype=np.int64)
        if only is None:
            w = _wide(slots)
            self.ratio[np.ix_(w, w)] *= factor.pair(rows, rows)
            return
        new = np.array([c in only for _, c in held])
        if not new.any():
            return
        wn, wo = _wide(slots[new]), _wide(slots[~new])
        self.ratio[np.ix_(wn, wn)] *= factor.pair(rows[new], rows[new])
        if len(wo):
            block = factor.pair(rows[new], rows[~new])
            self.ratio[np.ix_(wn, wo)] *= block
            self.ratio[np.ix_(wo, wn)] *= block.T

    def weights(self, single: Floats) -> Floats:
        """Return the sum over grades of single_i single_j ratio_ij, shape (K, K).

        ``single``: severity-weighted likelihood of each held slot and grade, shape (K, 3);
        empty slots must hold 0.
        """
        k = self.size
        right = np.einsum("akg,kg->ak", self.ratio.reshape(3 * k, k, 3), single)
        out: Floats = np.einsum("kgl,kg->kl", right.reshape(k, 3, k), single)
        return out


def _wide(slots: Ints) -> Ints:
    """Return the row numbers of the three grades of each slot."""
    out: Ints = (slots[:, None] * 3 + np.arange(3)).ravel()
    return out
