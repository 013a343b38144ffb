"""What the model predicts for one layout, as plain arrays, and how a question is put to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from diagnose.model import RUNNING, CauseAt
from diagnose.predict.states import CAN, Cell, fitting

Floats = NDArray[np.float64]

GIVES: Mapping[str, frozenset[str]] = MappingProxyType(
    {
        "metering-pressure": frozenset({"low", "high", "hunting"}),
        "booster-only-pressure": frozenset({"low", "high", "none"}),
        "pressure-gauge": frozenset({"low", "high", "hunting"}),
        "pressure-lamp": frozenset({"lit"}),
        "flow": frozenset({"low", "high", "hunting"}),
        "flow-meter": frozenset({"low", "high", "hunting"}),
        "return-flow": frozenset({"large", "none"}),
        "mixture-strength": frozenset({"rich", "lean"}),
        "engine-running": frozenset({"fades", "stops", "surges", "rough"}),
        "delivery": frozenset({"weak", "none", "with-bubbles"}),
        "trend-parked": frozenset({"falls", "rises"}),
        "trend-running": frozenset({"falls-fast", "rises", "stays"}),
        "vent-outflow": frozenset({"streams"}),
        "vent-suction": frozenset({"suction"}),
        "gauge-against-stick": frozenset(
            {"reads-high", "reads-low", "pegged-full", "pegged-empty"}
        ),
        "booster-current": frozenset({"none", "low", "high"}),
    }
)
"""Reading -> values the model can give besides normal; on any other it has no say."""


def reads_in(reading: str, cell: Cell) -> bool:
    """Say whether a reading is taken in a run state."""
    if reading == "delivery":
        return cell.power == CAN
    if cell.power == CAN:
        return False
    if reading == "trend-parked":
        return cell.parked or (cell.power == "none" and cell.booster == "off"
                               and cell.heat == "cool" and cell.level == "part")  # fmt: skip
    if cell.parked:
        return False
    if reading == "gauge-against-stick":
        return cell.power == "none" and cell.booster == "off" and cell.heat == "cool"
    if reading in ("return-flow", "booster-current"):  # as they are asked for, with engines stopped
        return cell.booster == "on" and cell.power == "none"
    if reading in ("vent-suction", "trend-running", "mixture-strength", "engine-running"):
        return cell.power in RUNNING
    return True


@dataclass(frozen=True)
class Block:
    """One effect at one place.

    values: of the effect, normal first (V).  cells: numbers of the run states solved, shape (s,).
    active: causes that do anything here, shape (a,), ascending; all others do nothing.
    net: P(value | cause, grade) net of background, shape (s, a, 3, V-1); NaN = no say.
    silent: run states and grades in which the model has no say on any cause, shape (s, 3).
    spread: of a reading with figures, share, mean and standard deviation of the number within each
    value, shape (s, a, 3, V, 3), SI; size 0 for others.  sound: the same of the sound aeroplane,
    shape (s, V, 3).
    """

    values: tuple[str, ...]
    cells: NDArray[np.int64]
    active: NDArray[np.int64]
    net: NDArray[np.float32]
    silent: NDArray[np.bool_]
    spread: NDArray[np.float32]
    sound: NDArray[np.float32]


@dataclass(frozen=True)
class Said:
    """What the model says of one effect instance.

    active: numbers of the causes that act, shape (a,).  net: shape (a, 3, V-1), NaN = no say.
    says: shape (causes,), whether the model has a say on a cause.
    rest: what it says of causes that are not active: nothing happens, or NaN, shape (3, V-1).
    """

    active: NDArray[np.int64]
    net: Floats
    says: NDArray[np.bool_]
    rest: Floats

    def of(self, cause: int) -> Floats:
        """Return the net rates of a cause by its number, shape (3, V-1); NaN = no say."""
        at = int(np.searchsorted(self.active, cause))
        if at < len(self.active) and self.active[at] == cause:
            row: Floats = self.net[at]
            return row
        return self.rest

    def of_all(self, causes: Sequence[int]) -> Floats:
        """Return the net rates of several causes, shape (n, 3, V-1)."""
        at = np.searchsorted(self.active, causes)
        here = np.minimum(at, max(len(self.active) - 1, 0))
        out: Floats = np.broadcast_to(self.rest, (len(causes), *self.rest.shape)).copy()
        if len(self.active):
            hit = self.active[here] == np.asarray(causes)
            out[hit] = self.net[here[hit]]
        return out


@dataclass(frozen=True)
class Tables:
    """All predictions for a layout.

    causes: those with a physical form.  needs: for each, the tank that must feed, or ''.
    blocks: (effect, place) -> block.  solved, unsolved: faults solved, and those without a steady
    state, which are left out.
    """

    causes: tuple[CauseAt, ...]
    needs: tuple[str, ...]
    cells: tuple[Cell, ...]
    blocks: Mapping[tuple[str, str], Block]
    solved: int
    unsolved: int

    @cached_property
    def index(self) -> Mapping[CauseAt, int]:
        """Return the number of each cause."""
        return {c: i for i, c in enumerate(self.causes)}

    def say(
        self,
        effect: str,
        place: str,
        known: Mapping[str, str],
        unstated: Mapping[str, Mapping[str, float]],
    ) -> Said | None:
        """Return what the model says of an effect at a place, None where it says nothing.

        Settings not ``known`` are averaged by ``unstated``.  A cause that only one tank feels is
        taken with that tank in use; where another tank is known to feed, the model has no say.
        """
        block = self.blocks.get((effect, place))
        if block is None:
            return None
        at, weight = fitting([self.cells[n] for n in block.cells], known, unstated)
        if not at.size:
            return None
        net = block.net[at].astype(np.float64)
        there = np.isfinite(net)
        w = weight[:, None, None, None] * there
        total = w.sum(axis=0)
        mean = (w * np.where(there, net, 0.0)).sum(axis=0) / np.maximum(total, 1e-12)
        mean[total <= 0.0] = np.nan
        tank = known.get("tank")
        says = np.ones(len(self.causes), dtype=bool)
        if tank:
            says = np.asarray([n in ("", tank) for n in self.needs], dtype=bool)
        heard = (weight[:, None] * ~block.silent[at]).sum(axis=0) > 0.0
        rest = np.where(heard[:, None], np.zeros(mean.shape[1:]), np.nan)
        return Said(block.active, mean, says, rest)
