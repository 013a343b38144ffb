"""What each reading would show under each cause, to choose readings that tell something."""

from __future__ import annotations

from collections.abc import Container, Sequence

import numpy as np

from diagnose.belief import Belief
from diagnose.belief.hypotheses import Floats
from diagnose.job.diagnosis import Bench
from diagnose.planner import Key, Reading
from diagnose.planner.outlook import reading_table


class Telling:
    """P(class | cause) of every reading of a layout, as a table."""

    def __init__(self, bench: Bench, belief: Belief) -> None:
        """Tabulate every reading in the catalogue of ``bench``."""
        self.readings: Sequence[Reading] = bench.planner.catalogue.readings
        questions = bench.library.questions
        most = max((len(questions[r.question].classes) for r in self.readings), default=1)
        # what a cause changes against a sound aeroplane; mostly nothing
        self._moved = np.zeros((len(self.readings), most, belief.prior.count))
        self._usual = np.zeros((len(self.readings), most))
        for k, reading in enumerate(self.readings):
            table = reading_table(belief, reading)
            rows = np.einsum("agc,ag->ac", table.rows, belief.prior.grades[table.active])
            self._moved[k, : rows.shape[1], table.active] = rows - table.default
            self._usual[k, : rows.shape[1]] = table.default
        self._squared = self._moved**2

    def gain(self, marginal: Floats) -> Floats:
        """Return how far each reading is expected to lower the Gini index of its answer.

        marginal: P(cause), shape (n,).  Result: shape (readings,).
        """
        m = marginal / marginal.sum()
        gain: Floats = (self._squared @ m - (self._moved @ m) ** 2).sum(axis=1)
        return np.maximum(gain, 0.0)

    def most(self, marginal: Floats, count: int, among: Container[Key]) -> list[Reading]:
        """Return the ``count`` readings of ``among`` that tell most, best first."""
        out: list[Reading] = []
        for k in np.argsort(-self.gain(marginal), kind="stable"):
            reading = self.readings[int(k)]
            if reading.key in among:
                out.append(reading)
            if len(out) == count:
                break
        return out

    def likely(self, reading: int, least: float) -> list[tuple[int, int]]:
        """Return (class, cause) where a cause makes likely what a sound aeroplane does not show."""
        usual = self._usual[reading][:, None]
        hit = (self._moved[reading] + usual >= least) & (usual < least)
        return [(int(c), int(i)) for c, i in np.argwhere(hit)]
