"""The growing side of a decision chart: states of knowledge, not yet numbered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from diagnose.chart.tree import Seldom, Suspect
from diagnose.model import CauseAt, Finding
from diagnose.planner import Action, Reading, Situation


@dataclass
class Node:
    """One state of knowledge on the chart; a leaf until it is grown."""

    findings: tuple[Finding, ...]
    situation: Situation
    mass: float
    path: int  # how many answers were given on the way
    pending: tuple[Reading, ...] = ()  # taken in a run, not yet looked at
    told: frozenset[str] = frozenset()  # stops and warnings already printed on the way
    by: str = ""  # the check whose result led here
    # made when grown
    action: Action | None = None
    looks: bool = False
    kids: list[tuple[tuple[str, ...], float, Node]] = field(default_factory=list)
    seldom: tuple[Seldom, ...] = ()
    seldom_share: float = 0.0
    # made when first seen
    cause: CauseAt | None = None
    stops: tuple[str, ...] = ()
    warns: tuple[str, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    known: Mapping[CauseAt, float] = field(default_factory=dict)  # belief here
    ended: bool = False  # nothing more can be grown here

    @property
    def grown(self) -> bool:
        """Return whether an action stands here."""
        return bool(self.kids)

    @property
    def rest(self) -> Node:
        """Return where 'not checked' leads; only of a grown node."""
        return self.kids[-1][2]

    def walk(self) -> Iterator[Node]:
        """Yield this node and all after it."""
        yield self
        for _, _, kid in self.kids:
            yield from kid.walk()
