"""What a belief costs to act on, and what an answer is worth.

The value of a belief is the expected minutes of the best plain plan: checks in order of
probability over cost, access paid once, whatever no check settles handed over at a stated cost.
Sources: p/c order is optimal for one fault and independent checks (Simon & Kadane 1975; Kadane &
Simon 1977); shared access makes it approximate.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from diagnose.belief import BeliefNet
from diagnose.belief.hypotheses import Floats
from diagnose.belief.net import Ints
from diagnose.model import A_JOINT, Check, Question, joint_among

HAND_OVER = 480.0
"""Minutes charged for a fault that no check here settles: a working day (no source)."""

LIKELIER = 0.5
"""Chance of settling the job from which a check is worth its minutes, however many."""

JOINT = 15.0
"""Minutes a fuel or control joint costs once it was disturbed, before the next run: another person
looks at it (AMC to 145.A.48), and fuel is put on to see that it is dry (minutes: common practice,
no source)."""


@dataclass(frozen=True)
class Purse:
    """Which check settles which cause, and at what price.

    check_of: column of the check that settles each hypothesis' cause, or the last column for
    'hand over', shape (H,).  minutes: price of each column, shape (K+1,).  opened: what is paid
    for already.
    """

    check_of: Ints
    minutes: Floats
    columns: tuple[tuple[str, str], ...]
    opened: frozenset[str] = frozenset()

    def value(self, weights: Floats) -> Floats:
        """Return the expected minutes for beliefs ``weights``, shape (B, H) -> (B,).

        Checks are made in the order of chance over price, as many as pay together: each that finds
        nothing makes the next likelier to, so none alone need be worth its price.
        """
        b, k = weights.shape[0], len(self.minutes)
        flat = (np.arange(b)[:, None] * k + self.check_of[None, :]).ravel()
        mass = np.bincount(flat, weights=weights.ravel(), minlength=b * k).reshape(b, k)
        checks, price = mass[:, :-1], self.minutes[:-1]
        order = np.argsort(-checks / price, axis=1, kind="stable")
        sorted_mass = np.take_along_axis(checks, order, axis=1)
        left = np.cumsum(sorted_mass[:, ::-1], axis=1)[:, ::-1] + mass[:, -1:]
        spent = np.cumsum(left * price[order], axis=1)
        at_once = mass.sum(axis=1, keepdims=True) * self.minutes[-1]
        then = spent + (left - sorted_mass) * self.minutes[-1]
        out: Floats = np.concatenate([at_once, then], axis=1).min(axis=1)
        return out

    def first(self, weights: Floats) -> int:
        """Return the column of the check the plain plan starts with, or the last for hand-over."""
        mass = np.bincount(self.check_of, weights=weights, minlength=len(self.minutes))
        score = mass[:-1] / self.minutes[:-1]
        return int(np.argmax(score)) if len(score) and score.max() > 0 else len(self.minutes) - 1


def check_minutes(net: BeliefNet, check: str, at: str, opened: frozenset[str]) -> float:
    """Return what a check costs at a part: its minutes, access not yet open, and its joints.

    Access and the look at what was disturbed are paid for once, however much more lies behind.
    """
    c = net.library.checks[check]
    ways_in = 0.0 if c.access_of(net.layout.owner_of(at)) in opened else c.access_minutes
    return (c.minutes + ways_in) * (1.0 + 0.5 * (c.hands - 1)) + joint_minutes(c, opened)


def joint_minutes(act: Check | Question, opened: Collection[str]) -> float:
    """Return what the first joint costs that ``act`` disturbs; 0 where none, or one is paid for."""
    leaves = act.leaves if isinstance(act, Check) else act.disturbs
    return JOINT if joint_among(leaves) and A_JOINT not in opened else 0.0


def entropy_gain(weights: Floats, given: Floats) -> float:
    """Return the expected bits an answer gives about the hypothesis.

    weights: P(h), shape (H,).  given: P(class | h), shape (H, C).
    """
    return float(bits_left(weights @ given) - weights @ bits_left(given))


def bits_left(p: Floats) -> Floats:
    """Return the entropy in bits of each distribution ``p``, shape (..., C) -> (...)."""
    out: Floats = -(p * np.log2(np.maximum(p, 1e-300))).sum(axis=-1)
    return out


def after(weights: Floats, given: Floats) -> tuple[Floats, Floats]:
    """Return (P(class), posterior per class): shapes (C,) and (C, H)."""
    joint = (weights[:, None] * given).T
    mass = joint.sum(axis=1)
    return mass, joint / np.maximum(mass, 1e-300)[:, None]


def hardly_worth(minutes: float, chance: float) -> bool:
    """Return whether a check costs more than handing the job over, times its chance to settle it.

    While nothing better waits it is still the next one down the ranking.  One that is likelier than
    not to settle the job is never dear: whoever took over would make it too.
    """
    return chance < LIKELIER and chance * HAND_OVER < minutes
