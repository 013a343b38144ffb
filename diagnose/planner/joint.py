"""Several answers together: what a set of readings tells when they are weighed as one.

``joint`` is the mass of (outcome so far x hypothesis), shape (J, H), summing to 1.
"""

from __future__ import annotations

import numpy as np

from diagnose.belief.hypotheses import Floats

MOST = 64
"""Outcomes told apart at the most."""


def split(joint: Floats, given: Floats) -> Floats:
    """Return the joint mass of (outcome so far x new class, hypothesis); rare branches are merged.

    joint: shape (J, H), sums to 1.  given: shape (H, C).  Result: at most ``MOST`` rows.
    """
    out: Floats = (joint[:, None, :] * given.T[None, :, :]).reshape(-1, joint.shape[1])
    if len(out) > MOST:
        mass = out.sum(axis=1)
        order = np.argsort(-mass, kind="stable")
        out = np.vstack([out[order[: MOST - 1]], out[order[MOST - 1 :]].sum(axis=0)])
    return out


def bits_of(weights: Floats, joint: Floats) -> float:
    """Return the bits the split ``joint`` (J, H) gives about the hypothesis."""
    mass = joint.sum(axis=1, keepdims=True)
    ratio = joint / np.maximum(mass * weights[None, :], 1e-300)
    return float((joint * np.log2(np.maximum(ratio, 1e-300))).sum())


def joint_gain(joint: Floats, given: Floats) -> float:
    """Return the further bits of a reading when the rows of ``joint`` are already told apart."""
    mass = joint.sum(axis=1)
    mean = (joint @ given) / np.maximum(mass, 1e-300)[:, None]
    inside = -(given * np.log2(np.maximum(given, 1e-300))).sum(axis=1)
    outside = -(mean * np.log2(np.maximum(mean, 1e-300))).sum(axis=1)
    return float(mass @ outside - joint.sum(axis=0) @ inside)
