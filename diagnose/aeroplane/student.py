"""Student's t distribution, by the continued fraction of the incomplete beta function.

Formulae 26.5.8 and 26.7.1 of Abramowitz and Stegun, Handbook of Mathematical Functions (1964).
"""

from __future__ import annotations

import math

_TINY = 1e-300


def both_tails(t: float, dof: int) -> float:
    """Return P(|T| > |t|) for ``dof`` degrees of freedom.

    Raises:
        ValueError: If there are no degrees of freedom.
    """
    if dof < 1:
        raise ValueError("Student's t needs at least one degree of freedom")
    if not math.isfinite(t):
        return 0.0
    return _beta_share(dof / (dof + t * t), dof / 2.0, 0.5)


def quantile(both: float, dof: int) -> float:
    """Return t with P(|T| > t) = ``both``, between 0 and 1, by halving.

    Raises:
        ValueError: If ``both`` is no share, or there are no degrees of freedom.
    """
    if not 0.0 < both < 1.0:
        raise ValueError("a share lies between 0 and 1")
    low, high = 0.0, 1.0
    while both_tails(high, dof) > both:
        high *= 2.0
    for _ in range(80):
        middle = (low + high) / 2.0
        low, high = (middle, high) if both_tails(middle, dof) > both else (low, middle)
    return (low + high) / 2.0


def _beta_share(x: float, a: float, b: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b)."""
    if x <= 0.0 or x >= 1.0:
        return float(x >= 1.0)
    # the fraction converges quickly only on this side of the mean
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - _beta_share(1.0 - x, b, a)
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    front = math.exp(front + a * math.log(x) + b * math.log1p(-x)) / a
    return front * _fraction(x, a, b)


def _fraction(x: float, a: float, b: float) -> float:
    """Return the continued fraction, from its top on (modified Lentz)."""
    c, d = 1.0, 1.0 / _away(1.0 - (a + b) * x / (a + 1.0))
    out = d
    for m in range(1, 300):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        d, c = 1.0 / _away(1.0 + even * d), _away(1.0 + even / c)
        out *= d * c
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        d, c = 1.0 / _away(1.0 + odd * d), _away(1.0 + odd / c)
        out *= d * c
        if abs(d * c - 1.0) < 1e-14:
            break
    return out


def _away(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
