"""The two ways to a steady state: marching in pseudo time, and Newton from where that ends.

Both work on a batch and stop row by row.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.fuel.friction import SOFTENING
from diagnose.fuel.hydraulics import Hydraulics
from diagnose.fuel.properties import PSI, Array

TOLERANCE: Final = 1e-12
"""Largest net flow left at any node [m3/s]: 4e-6 l/h."""
_UNIT = 1e-5  # [m3/s] flow that fills a node by 1 psi in one unit of pseudo time
_STEP_LIMIT = 5.0 * PSI
_WORSE = 2.0  # a step that lets the imbalance grow by more than this is taken back
_LEAST_TIE = 1e-16  # [m3/s/Pa] keeps a shut-off node solvable
_TIE = 1e-12  # [m3/s/Pa] far below any passage, far above rounding
_NEAR = 1e-6  # [m3/s] balanced well enough to sharpen the laws
NEWTON = 40


@dataclass(frozen=True)
class Plan:
    """How to march: bluntness of the laws by stage [Pa], first pseudo-time step, most steps.

    ``calm`` lets the imbalance grow a little without slowing down: on some rows it must.
    ``whole`` shortens a long step as a whole; otherwise each node's share is cut by itself.
    """

    stages: tuple[float, ...]
    first: float
    steps: int
    calm: bool = False
    whole: bool = False


WARM = Plan((SOFTENING,), 20.0, 30)
_STAGES = (5000.0, 700.0, 150.0, SOFTENING)
_MORE_STAGES = (20000.0, 5000.0, 1500.0, 500.0, 150.0, 60.0, SOFTENING)
COLD = (
    Plan(_STAGES, 1.0, 90, calm=True, whole=True),
    Plan(_STAGES, 20.0, 120, calm=True),
    Plan(_STAGES, 20.0, 120, whole=True),
    Plan(_MORE_STAGES, 0.5, 240, whole=True),
    Plan(_MORE_STAGES, 0.3, 800),
)


def unbalanced(residual: Array) -> np.ndarray:
    """Return the rows that do not balance."""
    return np.flatnonzero(~(np.abs(residual).max(axis=1, initial=0.0) <= TOLERANCE))


def march(system: Hydraulics, pressure: Array, plan: Plan) -> tuple[Array, np.ndarray]:
    """March each row in pseudo time until it balances; return pressures and steps taken."""
    answer = pressure.copy()
    steps = np.zeros(pressure.shape[0], dtype=np.intp)
    blunt = np.asarray(plan.stages)
    last = blunt.size - 1
    state = _Rows(system, pressure, np.arange(pressure.shape[0]), plan, blunt)
    for _ in range(plan.steps):
        state.sharpen()
        done = (state.largest() <= TOLERANCE) & (state.stage == last)
        if done.any():
            answer[state.rows[done]] = state.pressure[done]
            if done.all():
                break
            state.keep(np.flatnonzero(~done))
        steps[state.rows] += 1
        slow = (_UNIT / PSI / state.pace)[:, None]
        move = _move(state.system, state.da, state.db, slow, state.net)
        state.move(_limited(move, plan.whole))
    else:
        answer[state.rows] = state.pressure
    system.soft = np.full_like(system.c.ambient, SOFTENING)
    return answer, steps


class _Rows:
    """The rows still marching: where they are, how far off, how fast, at which stage."""

    def __init__(
        self, system: Hydraulics, pressure: Array, rows: np.ndarray, plan: Plan, blunt: Array
    ) -> None:
        self.system, self.pressure, self.rows, self.blunt = system, pressure, rows, blunt
        self.calm = plan.calm
        self.stage = np.zeros(rows.size, dtype=np.intp)
        self.pace = np.full(rows.size, plan.first)
        self.refresh()

    def refresh(self) -> None:
        """Take flows afresh after the laws changed."""
        self.system.soft = self.blunt[self.stage][:, None]
        flow, self.da, self.db = self.system.flows(self.pressure)
        self.net = self.system.balance(flow)
        self.size = _norm(self.net)

    def largest(self) -> Array:
        """Return the largest imbalance of each row [m3/s]."""
        return np.asarray(np.abs(self.net).max(axis=1))

    def sharpen(self) -> None:
        """Send rows that balance well enough on to the next stage."""
        ready = (self.largest() <= _NEAR) & (self.stage < self.blunt.size - 1)
        if ready.any():
            self.stage = self.stage + ready
            self.refresh()

    def keep(self, at: np.ndarray) -> None:
        """Drop all rows but these."""
        self.system = self.system.take(at)
        for name in ("pressure", "rows", "stage", "pace", "da", "db", "net", "size"):
            setattr(self, name, getattr(self, name)[at])

    def move(self, step: Array) -> None:
        """Try a step; rows it makes much worse stay where they are and slow down."""
        trial = self.pressure + step
        flow, da, db = self.system.flows(trial)
        net = self.system.balance(flow)
        size = _norm(net)
        faster = np.where(size < 0.3 * self.size, 10.0, 2.0)
        steady = size < (1.1 if self.calm else 1.02) * self.size
        slower = np.where(steady, 1.5, 0.35)
        self.pace = self.pace * np.where(size < self.size, faster, slower)
        self.pace = np.maximum(self.pace, 0.003)
        good = size <= _WORSE * self.size
        wide = good[:, None]
        self.pressure = np.where(wide, trial, self.pressure)
        self.net = np.where(wide, net, self.net)
        self.da, self.db = np.where(wide, da, self.da), np.where(wide, db, self.db)
        self.size = np.where(good, size, self.size)


def _move(system: Hydraulics, da: Array, db: Array, tie: Array | float, net: Array) -> Array:
    """Return the step that would balance each row."""
    try:
        return system.move(da, db, tie, net)
    except np.linalg.LinAlgError:  # one row with a node tied to nothing: hold all a little
        return system.move(da, db, tie + _TIE, net)


def _limited(step: Array, whole: bool) -> Array:
    """Return the step with no node moved further than the limit."""
    if not whole:
        return np.clip(step, -_STEP_LIMIT, _STEP_LIMIT)
    longest = np.abs(step).max(axis=1, keepdims=True)
    return np.asarray(step * np.minimum(1.0, _STEP_LIMIT / np.maximum(longest, 1.0)))


def _norm(net: Array) -> Array:
    return np.asarray(np.sqrt((net * net).sum(axis=1)))


def newton(system: Hydraulics, pressure: Array, halvings: int) -> tuple[Array, np.ndarray]:
    """Finish the rows left over by Newton; a step that helps not is halved up to ``halvings``.

    With none, steps are taken whether they help at once or not, and only rows that balance in
    the end are moved.
    """
    steps = np.zeros(pressure.shape[0], dtype=np.intp)
    at = pressure.copy()
    flow, da, db = system.flows(at)
    net = system.balance(flow)
    size = np.abs(net).max(axis=1)
    for _ in range(NEWTON):
        unsettled = size > TOLERANCE
        if not unsettled.any():
            break
        step = _limited(_move(system, da, db, _LEAST_TIE, net), True)
        factor = np.where(unsettled, 1.0, 0.0)
        for _ in range(halvings + 1):
            trial = at + factor[:, None] * step
            t_flow, t_da, t_db = system.flows(trial)
            t_net = system.balance(t_flow)
            t_size = np.abs(t_net).max(axis=1)
            worse = (t_size >= size) & (factor > 0.0)
            if not worse.any():
                break
            factor = np.where(worse, 0.5 * factor, factor)
        moved = (t_size < size) if halvings else unsettled
        at[moved], net[moved], size[moved] = trial[moved], t_net[moved], t_size[moved]
        da[moved], db[moved] = t_da[moved], t_db[moved]
        steps[unsettled] += 1
        if not moved.any():
            break
    if not halvings:
        at = np.where((size <= TOLERANCE)[:, None], at, pressure)
    return at, steps
