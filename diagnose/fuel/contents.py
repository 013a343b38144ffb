"""Gauge, stick and ledger held against each other: do they agree, and if not, which is off?

Each source has a figure and a standard deviation stated in its data.  With two sources no culprit
is ever named; with three or more, only where the disagreement is larger than they can settle.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

CHI_SQUARE_95: Mapping[int, float] = {1: 3.841, 2: 5.991, 3: 7.815, 4: 9.488, 5: 11.070, 6: 12.592}
"""Upper 5 % points of chi-square by degrees of freedom (standard statistical tables)."""
LEAST_BLAME = 0.06
"""Share of capacity below which a culprit is not named: three poor sources cannot tell."""
GALLONS = 1.20095
"""Imperial over US gallon, exact to the figures shown (4.54609 / 3.785411784)."""


@dataclass(frozen=True)
class Source:
    """One figure for the contents of a tank: ``value`` and ``sigma`` in m3 (any one unit)."""

    name: str
    value: float
    sigma: float


@dataclass(frozen=True)
class Verdict:
    """What the sources say together.

    ``blame`` is the source most likely off, '' when they agree or it cannot be told;
    ``says`` tells it in words.  ``off`` is how far the blamed (or farthest) source stands from
    the others; ``z`` the same in standard deviations.
    """

    mean: float
    sigma: float
    statistic: float
    limit: float
    agree: bool
    blame: str
    farthest: str
    off: float
    z: float
    says: str


def float_gauge_sigma(reading: float, capacity: float) -> float:
    """Return the standard deviation of a float gauge.

    SAE 670263 (1967 survey): about 5 % of full scale and 10 % of reading, taken as two sigma.
    """
    return 0.5 * math.hypot(0.05 * capacity, 0.10 * reading)


def capacitance_gauge_sigma(capacity: float) -> float:
    """Return the standard deviation of a capacitance gauge: 3 % of capacity typical, two sigma."""
    return 0.5 * 0.03 * capacity


def ledger_sigma(uplift: float, burnt: float) -> float:
    """Return the standard deviation of a ledger: 0.5 % of uplift and 3 % of what was burnt.

    The meter figure is that of custody-transfer meters (MIL-HDBK-1022A); the rest is common
    practice, no source.
    """
    return math.hypot(0.005 * uplift, 0.03 * burnt)


def stick_sigma(capacity: float, division: float = 0.0) -> float:
    """Return the standard deviation of a dip-stick: 1 % of capacity, and reading to a division.

    Common practice, no source; a figure read to the nearest mark is off by division / sqrt(12) on
    average.  Holds in the attitude the stick was marked in.
    """
    return math.hypot(0.01 * capacity, division / math.sqrt(12.0))


def reconcile(sources: Sequence[Source], capacity: float) -> Verdict:
    """Hold two to seven sources for one tank against each other.

    Raises:
        ValueError: fewer than two sources, more than seven, or a sigma that is not positive.
    """
    if not 2 <= len(sources) <= len(CHI_SQUARE_95) + 1:
        raise ValueError(f"two to seven sources can be reconciled, not {len(sources)}")
    if any(s.sigma <= 0.0 for s in sources):
        raise ValueError("every source needs a standard deviation above zero")
    mean, sigma = _mean(sources)
    statistic = sum(((s.value - mean) / s.sigma) ** 2 for s in sources)
    limit = CHI_SQUARE_95[len(sources) - 1]
    scores = []
    for source in sources:
        others, spread = _mean([s for s in sources if s is not source])
        off = source.value - others
        scores.append((off / math.hypot(source.sigma, spread), off, source.name))
    z, off, farthest = max(scores, key=lambda score: abs(score[0]))
    agree = statistic <= limit
    blame, says = "", "they agree within what such sources can show"
    if not agree and len(sources) == 2:
        says = "they disagree; two sources cannot tell which is off"
    elif not agree and abs(off) < LEAST_BLAME * capacity:
        says = "they disagree, by too little to tell which is off"
    elif not agree:
        blame = farthest
        side = "above" if off > 0.0 else "below"
        says = f"{farthest} is most likely off: it stands {side} the rest"
    return Verdict(mean, sigma, statistic, limit, agree, blame, farthest, off, z, says)


def _mean(sources: Sequence[Source]) -> tuple[float, float]:
    """Return the precision-weighted mean and its standard deviation."""
    weight = sum(s.sigma**-2 for s in sources)
    return sum(s.value * s.sigma**-2 for s in sources) / weight, weight**-0.5


@dataclass(frozen=True)
class Trend:
    """A cumulative-sum test over sorties.

    ``alarm`` is the index of the sortie it crossed at, None if it did not; ``sums`` its course.
    """

    alarm: int | None
    sums: tuple[float, ...]


SLACK, LIMIT = 0.5, 5.0
"""What the sum of ``trend`` lets pass each time, and where it alarms, in standard deviations."""


def trend(residuals: Sequence[float], sigma: float) -> Trend:
    """Return whether (stick - ledger), one figure a sortie, keeps falling short: a slow leak.

    Page's one-sided cumulative sum in units of ``sigma``; ``SLACK`` and ``LIMIT`` give a false
    alarm in about 1.5 % of runs of 20 sorties.
    """
    total, sums, alarm = 0.0, [], None
    for i, residual in enumerate(residuals):
        total = max(0.0, total - residual / sigma - SLACK)
        sums.append(total)
        if alarm is None and total > LIMIT:
            alarm = i
    return Trend(alarm, tuple(sums))


def smallest_trend(count: int, sigma: float) -> float:
    """Return the steady loss a sortie that ``trend`` is as likely as not to show in ``count``.

    The sum then climbs to the limit at its mean pace.
    """
    return (SLACK + LIMIT / max(count, 1)) * sigma


@dataclass(frozen=True)
class Pattern:
    """How one source's error runs with the quantity: ``kind`` and the fitted figures.

    kind: agree | zero-error (constant) | scale-error (proportional) | gallons-mixed | no-pattern.
    """

    kind: str
    offset: float
    factor: float


def pattern(true: Sequence[float], shown: Sequence[float], sigma: float) -> Pattern:
    """Return whether ``shown`` is off by a constant or by a factor over several quantities.

    The simpler of the two explanations that leaves the smaller rest wins; if both leave more
    than the scatter ``sigma`` allows there is no pattern (float fouling, a dead spot, a leak).

    Raises:
        ValueError: fewer than three pairs.
    """
    if len(true) != len(shown) or len(true) < 3:
        raise ValueError("at least three pairs of figures are needed")
    count = len(true)
    limit = CHI_SQUARE_95[min(count - 1, 6)] / min(count - 1, 6) * (count - 1)
    plain = _rest(true, shown, 0.0, 1.0, sigma)
    offset = sum(s - t for t, s in zip(true, shown, strict=True)) / count
    square = sum(t * t for t in true)
    factor = sum(t * s for t, s in zip(true, shown, strict=True)) / max(square, 1e-30)
    by_offset = _rest(true, shown, offset, 1.0, sigma)
    by_factor = _rest(true, shown, 0.0, factor, sigma)
    if plain <= limit:
        return Pattern("agree", 0.0, 1.0)
    if min(by_offset, by_factor) > limit:
        return Pattern("no-pattern", offset, factor)
    if by_offset <= by_factor:
        return Pattern("zero-error", offset, 1.0)
    spread = 2.0 * sigma / math.sqrt(square)
    for mixed in (GALLONS, 1.0 / GALLONS):
        if abs(factor - mixed) <= max(spread, 0.01):
            return Pattern("gallons-mixed", 0.0, factor)
    return Pattern("scale-error", 0.0, factor)


def _rest(
    true: Sequence[float], shown: Sequence[float], offset: float, factor: float, sigma: float
) -> float:
    """Return the sum of squares left over, in units of ``sigma``."""
    pairs = zip(true, shown, strict=True)
    return sum(((s - factor * t - offset) / sigma) ** 2 for t, s in pairs)
