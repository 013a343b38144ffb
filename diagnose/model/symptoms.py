"""Symptoms: what the forward-chaining rules conclude from signs and other symptoms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final
from typing import Literal as Choice

from diagnose.errors import NOWHERE, Origin
from diagnose.model.words import SourceRef


@dataclass(frozen=True)
class Literal:
    """'this sign is / that symptom holds', at a place related to the symptom's own place.

    ``at``: ``itself``, or a relation of ``diagnose.places``.  With a relation to many places
    ``every`` says whether all must have it or one is enough, and ``least`` how many it takes; a
    place counts where the sign can be told at all.  ``state`` limits which findings count, e.g.
    ``{"booster": ("off",)}``.
    """

    kind: Choice["sign", "symptom"]
    name: str
    value: tuple[str, ...]  # classes of the sign, any of which satisfies; ('true',) for a symptom
    at: str = "itself"
    every: bool = False
    least: int = 1
    state: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Combination:
    """``all`` / ``any`` / ``not`` over conditions (``not`` has exactly one).

    ``all-in-one-state``: all of them, known from signs of one and the same run state; its parts
    are signs of questions, and ``all`` / ``any`` / ``not`` over them.
    """

    op: Choice["all", "any", "not", "all-in-one-state"]
    parts: tuple[Condition, ...]
    origin: Origin = NOWHERE


Condition = Literal | Combination


def literals_of(condition: Condition) -> Iterator[Literal]:
    """Yield every literal of ``condition``, as written, repeats included."""
    if isinstance(condition, Literal):
        yield condition
    else:
        for part in condition.parts:
            yield from literals_of(part)


ONE_STATE: Final = "all-in-one-state"
"""The ``op`` of conditions that must be met in one and the same run state."""


@dataclass(frozen=True)
class Symptom:
    """What a rule concludes from signs and other symptoms.

    It names, points, excludes, warns and stops.

    A symptom never multiplies into belief.
    """

    id: str
    title: str
    at: tuple[str, ...]
    when: Condition
    because: str
    points_to: tuple[str, ...] = ()  # cause ids
    against: tuple[str, ...] = ()  # cause ids it speaks against (shown, not weighed)
    never_with: tuple[str, ...] = ()  # cause ids made impossible: odds divided, visibly
    warns: str = ""
    before_run: str = ""  # what is confirmed before any engine run while it holds
    stops: str = ""  # what to do at once; interrupts the job
    sources: tuple[SourceRef, ...] = ()
    status: str = "draft"
    origin: Origin = NOWHERE
