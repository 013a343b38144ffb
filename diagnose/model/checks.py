"""Checks and the hazards that are told before them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from diagnose.errors import NOWHERE, Origin
from diagnose.model.follows import Follows
from diagnose.model.states import nothing
from diagnose.model.words import SourceRef

DISTURBED: Mapping[str, str] = MappingProxyType(
    {
        "line": "fuel line or part open",
        "control": "control or adjuster disturbed",
        "locking": "locking undone",
        "part": "part off or open, no fuel in it",
        "cock": "cock or drain moved",
        "breaker": "breaker or power off and tagged",
        "tank": "tank part-drained",
        "panel": "panel off",
        "test-gear": "test gear fitted",
        "tool": "tools out",
    }
)
"""What work leaves disturbed: kind -> words."""

JOINTS = ("line", "control")
"""Feed and control joints: they bar pumps and runs while open, and are inspected by a second
person."""

A_JOINT = "joint"
"""What stands among the access opened once a joint was disturbed."""


OF_ITS_PART = ("cowling", "tank-panel", "wing-panel")
"""Access that every engine or tank has of its own; a floor or the instrument panel is one."""


def joint_among(disturbs: Iterable[str]) -> str:
    """Return what a joint among the kinds ``disturbs`` is called where it is paid for; '': none."""
    return A_JOINT if any(kind in JOINTS for kind in disturbs) else ""


@dataclass(frozen=True)
class Hazard:
    """A caution shown before a step; ``level`` warning = people, caution = damage.

    ``gates``: what it is shown for puts power on the fuel system, so the gates must be known safe.
    """

    id: str
    title: str
    level: str
    text: str
    gates: bool = False
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE

    @property
    def headed(self) -> str:
        """Return its level and title, as they stand before its text or alone for it."""
        return f"{self.level.upper()} {self.title}"


@dataclass(frozen=True)
class Check:
    """An action that confirms or clears causes at one part.

    ``results``: result -> label; the first means 'nothing found'.  ``aeroplane`` states what the
    aeroplane must be like: power, engine, line-pressure, ventilation.  ``access`` names what must
    be opened; opened access is paid for once.  ``next_minutes``: what each like place after the
    first takes where it is made at all of them in one go; 0 where it is made at one at a time.
    ``disturbs``: what it leaves open, moved or drained; ``may_disturb``: what only if it came to
    that, which is asked afterwards; ``close_out`` says what restores it.
    ``narrows``: results that say where to look on and not what it is; they confirm no cause.
    ``same_as``: the question that is the same act, read for its own sake; its classes are results,
    or are named with the result that each is (``same_classes``).
    ``follows``: what a cause that says nothing of this check shows here by the effects it gives.
    ``only_if`` names traits of the part or the layout without which the check is not offered.
    """

    id: str
    title: str
    at: tuple[str, ...]
    results: Mapping[str, str]
    aim: str
    minutes: float
    aeroplane: Mapping[str, str]
    false_find: float = 0.05
    narrows: tuple[str, ...] = ()
    hands: int = 1
    tools: tuple[str, ...] = ()
    access: str = ""
    access_minutes: float = 0.0
    next_minutes: float = 0.0
    hazards: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    good: str = ""
    bad: str = ""
    close_out: str = ""
    disturbs: Mapping[str, str] = field(default_factory=nothing)  # kind of DISTURBED -> in words
    may_disturb: Mapping[str, str] = field(default_factory=nothing)  # the same, where it was needed
    only_if: Mapping[str, str] = field(default_factory=nothing)
    same_as: str = ""
    same_classes: Mapping[str, str] = field(default_factory=nothing)  # class read -> result
    follows: tuple[Follows, ...] = ()
    perishable: str = ""  # what destroys what it would find: 'moving' how a cock was left
    destroys: tuple[str, ...] = ()  # perishable evidence it destroys ('cooling', 'draining', ...)
    sources: tuple[SourceRef, ...] = ()
    status: str = "draft"
    origin: Origin = NOWHERE

    def access_of(self, owner: str) -> str:
        """Return what is opened for it at a part of ``owner``, as it is paid for; '' for nothing.

        Behind the cowling of one engine stands nothing of the next.
        """
        return f"{self.access} of {owner}" if self.access in OF_ITS_PART else self.access

    @property
    def answers(self) -> Mapping[str, str]:
        """Return what it can show in words, as a question has its answers."""
        return self.results

    def opens(self, owner: str) -> frozenset[str]:
        """Return what is paid for once it is made: its access, and the look at a joint."""
        return frozenset(filter(None, (self.access_of(owner), joint_among(self.leaves))))

    def shown_by(self, read: str) -> str:
        """Return the result that a class ``read`` of ``same_as`` is; '' where it is none."""
        said = self.same_classes or dict.fromkeys(self.results)
        return (said[read] or read) if read in said else ""

    @property
    def leaves(self) -> Mapping[str, str]:
        """Return all that it can leave open, moved or drained."""
        return {**self.disturbs, **self.may_disturb}

    @property
    def nothing_found(self) -> str:
        """Return the result that means that nothing was found, '' where it has no results."""
        return next(iter(self.results), "")
