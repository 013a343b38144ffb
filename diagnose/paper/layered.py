"""Boxes and lines of a flow drawing: fuel runs down the page, each box below what feeds it.

A link says by its role how it is drawn: a *line* feeds downwards, *across* joins two sides, *over*
joins two tanks above them, a *return* goes back up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from diagnose.by_key import by_key

K = TypeVar("K", int, str)
End_co = TypeVar("End_co", int, str, covariant=True)

Point = tuple[float, float]


class Joins(Protocol[End_co]):
    """What joins two boxes."""

    @property
    def role(self) -> str:
        """Return line, across, over or return."""

    @property
    def a(self) -> End_co:
        """Return the box it leaves."""

    @property
    def b(self) -> End_co:
        """Return the box it enters."""


def ranks(nodes: Iterable[K], links: Sequence[Joins[K]], bottom: Iterable[K]) -> dict[K, int]:
    """Return how far down the page each box stands: one below the lowest that feeds it.

    ``bottom``: boxes that stand in the lowest row together.
    """
    out = dict.fromkeys(nodes, 0)
    for _ in range(len(out)):  # long enough for any way through the network
        for e in links:
            if e.role == "line" and out[e.b] < out[e.a] + 1 <= len(out):
                out[e.b] = out[e.a] + 1
    lowest = max(out.values(), default=0)
    out.update(dict.fromkeys(bottom, lowest))
    return out


def middles(
    rank: Mapping[K, int], links: Sequence[Joins[K]], rows: Sequence[Sequence[K]]
) -> dict[K, float]:
    """Return how far across each box stands, in boxes: near what it is joined to, never on another.

    ``rows``: boxes spread evenly over the whole width (tanks, engines), in order.
    """
    near: dict[K, list[K]] = {n: [] for n in rank}
    for e in links:
        if e.role == "line":
            near[e.a].append(e.b)
            near[e.b].append(e.a)
    span = max([2, *map(len, rows)]) - 1.0
    x = dict.fromkeys(rank, span / 2)
    fixed = {
        n: k * span / (len(row) - 1) for row in rows if len(row) > 1 for k, n in enumerate(row)
    }
    x |= fixed
    for _ in range(40):
        for n in rank:
            if n not in fixed and near[n]:
                x[n] = sum(x[m] for m in near[n]) / len(near[n])
    levels = by_key((level, n) for n, level in rank.items())
    for row in levels.values():
        row.sort(key=lambda n: (x[n], n))
        x.update(zip(row, _apart([x[n] for n in row]), strict=True))
    left = min(x.values(), default=0.0)
    return {n: v - min(left, 0.0) for n, v in x.items()}


def _apart(wanted: Sequence[float]) -> list[float]:
    """Return places at least one apart, as near as can be to the ``wanted`` ones, in order.

    The nearest rising sequence, by pooling neighbours that are out of order (isotonic regression).
    """
    pools: list[tuple[float, int]] = []  # mean, count
    for k, v in enumerate(wanted):
        mean, count = v - k, 1
        while pools and pools[-1][0] > mean:
            other, many = pools.pop()
            mean, count = (mean * count + other * many) / (count + many), count + many
        pools.append((mean, count))
    flat = [mean for mean, count in pools for _ in range(count)]
    return [mean + k for k, mean in enumerate(flat)]


@dataclass(frozen=True)
class Curve:
    """One link on the page: its path as SVG; point half-way and direction there [degrees]; ends."""

    path: str
    at: Point
    angle: float
    start: Point
    end: Point
    end_angle: float

    def points(self, count: int) -> list[Point]:
        """Return so many points along it, the ends left out."""
        (x1, y1), (xm, ym), (x2, y2) = self.start, self.at, self.end
        out = []
        for k in range(1, count + 1):
            t = k / (count + 1)
            # through start, half-way point and end: the parabola that the path draws
            a, b, c = (1 - t) * (1 - 2 * t), 4 * t * (1 - t), t * (2 * t - 1)
            out.append((a * x1 + b * xm + c * x2, a * y1 + b * ym + c * y2))
        return out


def curve(role: str, a: Point, b: Point, width: float, height: float) -> Curve:
    """Return the curve between two boxes of ``width`` x ``height``; a, b: middle of their tops."""
    (x1, y1), (x2, y2) = a, b
    start, end = (x1, y1 + height), (x2, y2)
    bend = 0.0
    if role == "across":
        side = math.copysign(width / 2, x2 - x1)
        start, end = (x1 + side, y1 + height / 2), (x2 - side, y2 + height / 2)
    elif role == "over":
        start, end = (x1, y1), (x2, y2)
        bend = -26.0
    elif role == "return":
        start, end = (x1 - width / 2, y1 + 12), (x2 - width / 2 + 14, y2 + height)
        bend = -46.0
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    pull = (middle[0] + bend, middle[1]) if role == "return" else (middle[0], middle[1] + bend)
    path = f"M{start[0]:.1f},{start[1]:.1f} Q{pull[0]:.1f},{pull[1]:.1f} {end[0]:.1f},{end[1]:.1f}"
    at = ((middle[0] + pull[0]) / 2, (middle[1] + pull[1]) / 2)  # half-way along such a curve
    angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    last = math.degrees(math.atan2(end[1] - pull[1], end[0] - pull[0]))
    return Curve(path, at, angle, start, end, last)
