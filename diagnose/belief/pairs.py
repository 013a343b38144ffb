"""The interaction of pairs of causes: where two act on the same effect, their joint view.

P(data | i, j) = P(data | i) P(data | j) / P(data | none) times one ratio for each effect instance
on which both act.  The block keeps the product of those ratios for the best causes; an answer
multiplies the rows and columns it touches, nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from diagnose.belief.factors import Factor
from diagnose.belief.hypotheses import Floats
from diagnose.belief.net import Ints


class PairBlock:
    """Product of pair ratios over the known effect instances, shape (3K, 3K), cause-major.

    A cause makes no pair with itself: those blocks hold 0.
    """

    def __init__(self, size: int, causes: int) -> None:
        """Make room for ``size`` of ``causes`` causes."""
        self.size = size
        self.slots = np.full(size, -1, dtype=np.int64)  # slot -> cause
        self.slot_of = np.full(causes, -1, dtype=np.int64)  # cause -> slot
        self.ratio = np.ones((3 * size, 3 * size))

    def choose(self, best: Ints, factors: Iterable[Factor]) -> None:
        """Hold exactly the causes ``best`` (at most ``size``), keeping those already held."""
        wanted = np.zeros(len(self.slot_of), dtype=bool)
        wanted[best] = True
        gone = np.flatnonzero((self.slots >= 0) & ~wanted[self.slots])
        self.slot_of[self.slots[gone]] = -1
        self.slots[gone] = -1
        new = best[self.slot_of[best] < 0]
        if not len(new):
            return
        slots = np.flatnonzero(self.slots < 0)[: len(new)]
        self.slots[slots] = new
        self.slot_of[new] = slots
        wide = _wide(slots)
        self.ratio[wide, :] = 1.0
        self.ratio[:, wide] = 1.0
        self.ratio.reshape(self.size, 3, self.size, 3)[slots, :, slots, :] = 0.0
        fresh = np.zeros(self.size, dtype=bool)
        fresh[slots] = True
        for f in factors:
            self._apply(f, fresh)

    def add(self, factor: Factor) -> None:
        """Multiply in the factor of an effect instance that had none."""
        self._apply(factor, np.ones(self.size, dtype=bool))

    def clear(self) -> None:
        """Hold nothing: exact after a changed or withdrawn answer, ``choose`` starts afresh."""
        self.slots[:] = -1
        self.slot_of[:] = -1

    def _apply(self, factor: Factor, fresh: NDArray[np.bool_]) -> None:
        """Multiply in ``factor`` for the pairs of which at least one slot is ``fresh``."""
        slots = self.slot_of[factor.active]
        rows = np.flatnonzero(slots >= 0)
        slots = slots[rows]
        new = fresh[slots]
        if len(rows) < 2 or not new.any():
            return
        ratio = factor.pair(rows[new], rows)
        here, everywhere = _wide(slots[new]), _wide(slots)
        self.ratio[here[:, None], everywhere] *= ratio
        if not new.all():
            held = np.repeat(~new, 3)
            self.ratio[everywhere[held][:, None], here] *= ratio[:, held].T

    def masses(self, single: Floats) -> Floats:
        """Return, for each slot, the sum of single_i single_j ratio_ij over its pairs, shape (K,).

        ``single``: severity-weighted likelihood of each held slot and grade, shape (K, 3);
        empty slots must hold 0.
        """
        flat = single.ravel()
        # row by row: as one product it wakes threads that cost more than they bring
        rows = (self.ratio[:, None, :] @ flat).ravel()
        out: Floats = (flat * rows).reshape(-1, 3).sum(axis=1)
        return out

    def weights(self, single: Floats) -> Floats:
        """Return single_i single_j ratio_ij summed over the grades of both, shape (K, K)."""
        k = self.size
        right = np.einsum("akg,kg->ak", self.ratio.reshape(3 * k, k, 3), single)
        out: Floats = np.einsum("kgl,kg->kl", right.reshape(k, 3, k), single)
        return out


def _wide(slots: Ints) -> Ints:
    """Return the row numbers of the three grades of each slot."""
    out: Ints = (slots[:, None] * 3 + np.arange(3)).ravel()
    return out
