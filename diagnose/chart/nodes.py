"""The growing side of a decision chart: states of knowledge, not yet numbered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from diagnose.chart.tree import Seldom, Suspect
from diagnose.model import CauseAt, Finding
from diagnose.planner import Action, Reading, Situation


@dataclass
class Choice:
    """What is done at a node, and every answer followed one step on.

    shares: how often each answer comes.  looks: whether it only looks at what a run has shown.
    seldom: each answer in one line, should it get no step of its own.
    """

    action: Action
    shares: Mapping[str, float]
    looks: bool = False
    kids: dict[str, Node] = field(default_factory=dict)
    seldom: dict[str, Seldom] = field(default_factory=dict)
    rest: Node | None = None  # not checked


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
    choice: Choice | None = None
    kids: list[tuple[str, float, Node]] = field(default_factory=list)  # answer '' last
    seldom: tuple[Seldom, ...] = ()
    # made when first seen
    cause: CauseAt | None = None
    stops: tuple[str, ...] = ()
    warns: tuple[str, ...] = ()
    suspects: tuple[Suspect, ...] = ()
    known: Mapping[CauseAt, float] = field(default_factory=dict)  # belief here
    ended: bool = False  # nothing more can be grown here

    def next(self, findings: tuple[Finding, ...], mass: float) -> Node:
        """Return the node after one more answer, ``mass`` of all reports coming there."""
        return Node(findings, self.situation, mass, self.path + 1, self.pending, self.told, self.by)

    def branch(self, own: float) -> None:
        """Give each answer that at least ``own`` of all reports give a step; gather the others.

        Danger gets a step however seldom, and so does 'nothing found'.  Where no answer is often
        enough, the node stays an end.
        """
        if self.choice is None or self.choice.rest is None:
            return
        shares, kids = self.choice.shares, self.choice.kids
        first = next(iter(kids)) if self.choice.action.is_check else ""
        listed = [v for v, k in kids.items() if k.mass >= own or k.stops or v == first]
        if any(kids[v].mass >= own for v in listed):
            self.kids = [*((v, shares[v], kids[v]) for v in listed), ("", 0.0, self.choice.rest)]
            self.seldom = tuple(s for v, s in self.choice.seldom.items() if v not in listed)

    def prune(self) -> None:
        """Make an end of the node again."""
        self.kids, self.seldom = [], ()

    @property
    def seldom_share(self) -> float:
        """Return how often one of the seldom answers comes."""
        return sum(self.choice.shares[s.value] for s in self.seldom) if self.choice else 0.0

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
