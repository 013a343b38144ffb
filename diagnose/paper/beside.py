"""Words beside the lines of a drawing: each where no box and no other words stand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from diagnose.paper.layered import Point
from diagnose.paper.letters import word_width

ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
"""Where along its line words are tried to stand, the best first."""

CLEAR = 10.0
"""Distance of words from their line."""


@dataclass(frozen=True)
class Space:
    """A rectangle on the paper: left, top, right, bottom."""

    left: float
    top: float
    right: float
    bottom: float

    def shared(self, other: Space) -> float:
        """Return the area that both cover."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(across, 0.0) * max(down, 0.0)


@dataclass(frozen=True)
class Words:
    """Lines of words in their place: where they begin or end, and the foot of the first."""

    x: float
    foot: float
    anchor: str
    space: Space


def wide(lines: Iterable[str], size: float) -> float:
    """Return how wide lines are in letters of this size."""
    return size * max((word_width(x) for x in lines), default=0.0)


def beside(lines: Sequence[str], a: Point, b: Point, taken: Sequence[Space], size: float) -> Words:
    """Return where ``lines`` stand beside the line from ``a`` to ``b``, clear of what is taken.

    Where nothing is clear, as little as can be is covered.
    """
    across, tall = wide(lines, size), 1.2 * size * len(lines)
    best: tuple[float, Words] | None = None
    for share in ALONG:
        x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
        top = y - tall / 2
        for anchor in ("start", "end") if b[0] > a[0] - 5 else ("end", "start"):
            near = x + CLEAR if anchor == "start" else x - CLEAR
            left = near if anchor == "start" else near - across
            space = Space(left, top, left + across, top + tall)
            covered = sum(space.shared(t) for t in taken)
            if best is None or covered < best[0]:
                best = (covered, Words(near, top + 0.95 * size, anchor, space))
    assert best is not None
    return best[1]
