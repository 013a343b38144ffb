"""The nodes of a decision chart turned into numbered steps, the likelier branch first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.chart.nodes import Node
from diagnose.chart.tree import ChartStep, Kind, Meaning, Seldom, Suspect, Way
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import need_of
from diagnose.model import CauseAt

MEANT = 2
"""Causes named for one result of a check at the end of a chart."""

Settles = tuple[str, str]
"""A check and its place."""


def numbered(bench: Bench, root: Node, rest: Sequence[Suspect]) -> tuple[ChartStep, ...]:
    """Return the steps of the chart grown from ``root``.

    First the tree, then the ``rest`` (checks in the order that holds at the start), the hand-over,
    and the checks that lists send to.
    """
    return _Numbering(bench, root, rest).steps()


class _Numbering:
    def __init__(self, bench: Bench, root: Node, rest: Sequence[Suspect]) -> None:
        self.bench = bench
        self.known = root.known  # by which the meanings of a result are ordered
        self.rest = rest
        self.number: dict[int, int] = {}  # node -> its step
        self.seldom: dict[int, int] = {}  # node -> the step of its seldom answers
        self.parent: dict[int, Node] = {}
        self.order: list[tuple[Node, bool]] = []
        self._visit(root)
        wanted: dict[Settles, None] = {}
        for node, _ in self.order:
            if not node.grown:
                wanted.update(((s.check, s.at), None) for s in node.suspects)
            wanted.update((s.settle, None) for s in node.seldom if s.settle)
        wanted.update(((s.check, s.at), None) for s in rest)
        self.other = len(self.order) + 1
        self.last = self.other + 1
        self.settle = {key: self.last + k for k, key in enumerate(wanted, 1)}

    def _visit(self, node: Node) -> None:
        self.order.append((node, False))
        self.number[id(node)] = len(self.order)
        for _, _, kid in sorted(node.kids, key=lambda k: -k[2].mass):
            self.parent[id(kid)] = node
            self._visit(kid)
        if not node.seldom:
            return
        if not node.rest.grown:  # one step for all that is not on the way
            self.seldom[id(node)] = self.number[id(node.rest)]
            return
        self.order.append((node, True))
        self.seldom[id(node)] = len(self.order)

    def steps(self) -> tuple[ChartStep, ...]:
        out = []
        for k, (node, few) in enumerate(self.order, 1):
            if few:
                out.append(self._few(k, node, node.rest))
            elif node.grown:
                out.append(self._action(k, node))
            elif node.cause is not None:
                out.append(self._found(k, node))
            else:
                out.append(self._suspects(k, node))
        out.append(
            ChartStep(
                self.other, "rest", 0.0, suspects=self._numbered(self.rest), otherwise=self.last
            )
        )
        out.append(ChartStep(self.last, "hand-over", 0.0, otherwise=1))
        return (*out, *(self._settle(k, *key) for key, k in self.settle.items()))

    def _action(self, number: int, node: Node) -> ChartStep:
        action = node.action
        assert action is not None
        ways = [Way(v, self.number[id(kid)], share) for v, share, kid in node.kids[:-1]]
        if node.seldom:
            values = tuple(s.value for s in node.seldom)
            ways.append(Way(values, self.seldom[id(node)], node.seldom_share))
        ways.append(Way(("",), self.number[id(node.rest)], 0.0))
        kind: Kind = "look" if node.looks else "run" if action.is_run else "reading"
        return ChartStep(
            number,
            "check" if action.is_check else kind,
            node.mass,
            tuple(ways),
            readings=action.readings,
            asks=action.readings[0] if action.readings else None,
            check=action.check,
            at=action.at,
            minutes=action.minutes,
            need="" if node.looks else need_of(self.bench, action),
            stops=node.stops,
            warns=node.warns,
        )

    def _found(self, number: int, node: Node) -> ChartStep:
        otherwise = self.other
        if id(node) in self.parent:  # 'nothing found' of the same check, else as if not checked
            parent = self.parent[id(node)]
            first = parent.kids[0][2]
            otherwise = self.number[id(parent.rest if first is node else first)]
        return ChartStep(
            number,
            "found",
            node.mass,
            cause=node.cause,
            check=node.by,
            stops=node.stops,
            warns=node.warns,
            otherwise=otherwise,
            covered=1.0,
        )

    def _numbered(self, listed: Sequence[Suspect]) -> tuple[Suspect, ...]:
        return tuple(replace(s, step=self.settle[s.check, s.at]) for s in listed)

    def _covered(self, node: Node) -> float:
        """Return the belief at ``node`` in what its checks and those of the rest can find."""
        listed = {c for s in (*node.suspects, *self.rest) for c, _ in s.causes}
        return min(sum(node.known.get(c, 0.0) for c in listed), 1.0)

    def _suspects(self, number: int, node: Node) -> ChartStep:
        parent = self.parent.get(id(node))
        not_checked = parent is not None and parent.rest is node
        step = ChartStep(
            number,
            "suspects",
            0.0 if not_checked else node.mass,
            suspects=self._numbered(node.suspects),
            stops=node.stops,
            warns=node.warns,
            otherwise=self.other,
            covered=self._covered(node),
        )
        if parent is None or self.seldom.get(id(parent)) != number:
            return step
        few = self._few(number, parent, node)
        # those of seldom answers come here as well; 'not checked' is no share of the reports
        return replace(
            step, mass=few.mass, seldom=few.seldom, seldom_of=few.seldom_of, check=few.check
        )

    def _few(self, number: int, node: Node, rest: Node) -> ChartStep:
        """Return the terminal of the seldom answers of ``node``."""
        action = node.action
        assert action is not None
        of = (action.check, action.at)
        if action.readings:
            of = (action.readings[0].question, action.readings[0].place)
        return ChartStep(
            number,
            "suspects",
            node.mass * node.seldom_share,
            seldom=tuple(replace(s, step=self._step_of(s)) for s in node.seldom),
            seldom_of=of,
            check=action.check,
            otherwise=self.number[id(rest)],
            covered=self._covered(rest),
        )

    def _step_of(self, s: Seldom) -> int:
        return self.settle[s.settle] if s.settle else self.last

    def _settle(self, number: int, check: str, at: str) -> ChartStep:
        """Return a check with what each of its results means here."""
        library, places = self.bench.library, self.bench.places
        by: dict[str, list[CauseAt]] = {}
        for cause in sorted(self.bench.net.instances, key=lambda c: -self.known.get(c, 0.0)):
            for c in library.causes[cause.cause].checks:
                if c.check == check and at in places.related(cause.at, c.at, {}):
                    by.setdefault(c.result, []).append(cause)
        meanings = tuple(Meaning(r, tuple(by.get(r, ())[:MEANT])) for r in
                         list(library.checks[check].results)[1:])  # fmt: skip
        return ChartStep(
            number, "settle", 0.0, check=check, at=at, meanings=meanings, otherwise=self.last
        )
