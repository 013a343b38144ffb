"""A phrase found in a clause that says how something is, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.job.hearing.phrases import Hit
from diagnose.job.hearing.vocabulary import Suggestion

Span = tuple[int, int]
"""From which character of a clause to which."""


@dataclass(frozen=True)
class Said:
    """A phrase that says how something is: ``value`` of ``question``, or only its ``asks``."""

    hit: Hit
    suggestion: Suggestion
    alone: bool  # needs no subject beside it

    @property
    def start(self) -> int:
        """Where it begins."""
        return self.hit.start

    @property
    def end(self) -> int:
        """Where it ends."""
        return self.hit.end

    @property
    def span(self) -> Span:
        """Where it stands."""
        return self.start, self.end

    @property
    def words(self) -> int:
        """How many words of the list it has."""
        return self.hit.words


def inside(one: Span, other: Span) -> bool:
    """Return whether ``one`` lies within ``other`` and is not the same."""
    return one != other and other[0] <= one[0] and one[1] <= other[1]
