"""The flow graph of a layout: which way fuel can go for one position of every cock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagnose.model import COCKS, TANKS, Layout, Part

SIDE_BRANCHES = ("primer", "vapour-return", "jettison-valve", "transfer-valve", "transfer-pump")
"""Kinds that carry fuel but never feed a running engine."""

Node = tuple[str, str]
"""(part, port); the port is '' for parts with one way in and one way out."""

Positions = Mapping[str, str]
"""Cock -> its position."""


def endpoint(text: str) -> Node:
    """Split the end of a line, 'part' or 'part.port', into part and port."""
    part, _, port = text.partition(".")
    return part, port


def cock_position(part: Part) -> str:
    """Return the position a cock is in when nobody said otherwise, '' when it has none."""
    return part.normal or next((p for p, joined in part.positions.items() if joined), "")


def joint_positions(layout: Layout) -> tuple[str, ...]:
    """Return the selector positions that join several ways in: 'both', where two tanks feed."""
    selectors = (p for p in layout.parts.values() if p.kind == "selector-cock")
    names = (name for p in selectors for name, pairs in p.positions.items() if len(pairs) > 1)
    return tuple(dict.fromkeys(n for n in names if n not in layout.parts))


@dataclass(frozen=True)
class FlowGraph:
    """Lines and cocks of a layout as steps from node to node.

    ``steps`` are the lines; what a cock joins depends on its position and is added on the way.
    """

    layout: Layout
    steps: Mapping[Node, tuple[Node, ...]]

    @classmethod
    def of(cls, layout: Layout) -> FlowGraph:
        """Read the lines of ``layout``; they are one-way, save those at a cross-feed cock."""
        steps: dict[Node, list[Node]] = {}
        for line in layout.lines:
            start, end = cls._node(layout, line.start), cls._node(layout, line.end)
            steps.setdefault(start, []).append(end)
            kinds = {layout.parts[start[0]].kind, layout.parts[end[0]].kind}
            if "cross-feed-cock" in kinds:
                steps.setdefault(end, []).append(start)
        return cls(layout, {node: tuple(to) for node, to in steps.items()})

    @staticmethod
    def _node(layout: Layout, text: str) -> Node:
        part, port = endpoint(text)
        # Into the top or the bottom, it is the same tank; other ports are ways of their own.
        return (part, "") if layout.parts[part].kind in TANKS else (part, port)

    def onward(self, node: Node, positions: Positions) -> Iterator[Node]:
        """Yield the nodes fuel can go to from ``node`` with the cocks in ``positions``."""
        yield from self.steps.get(node, ())
        part = self.layout.parts[node[0]]
        if part.kind not in COCKS:
            return
        for a, b in part.positions.get(positions.get(part.id, ""), ()):
            if node[1] == a:
                yield part.id, b
            elif node[1] == b and part.kind == "cross-feed-cock":
                yield part.id, a

    def feeds(self, tank: str, positions: Positions) -> Iterator[tuple[str, ...]]:
        """Yield every way from ``tank`` to an engine, as the parts passed in order.

        A way ends at the engine's inlet, passes no side branch and no tank but a header tank.
        """
        yield from self._ways(((tank, ""),), positions)

    def _ways(self, way: tuple[Node, ...], positions: Positions) -> Iterator[tuple[str, ...]]:
        for step in self.onward(way[-1], positions):
            kind = self.layout.parts[step[0]].kind
            if step in way or kind == "tank" or kind in SIDE_BRANCHES:
                continue
            if kind == "engine":
                if not step[1]:
                    yield tuple(dict.fromkeys(part for part, _ in (*way, step)))
                continue
            yield from self._ways((*way, step), positions)

    def downstream_tanks(self, part: str, kinds: tuple[str, ...]) -> tuple[str, ...]:
        """Return the tanks that fuel leaving ``part`` runs into through parts of ``kinds`` only."""
        found: dict[str, None] = {}
        seen: set[str] = {part}
        todo = [part]
        while todo:
            here = todo.pop()
            for node, ends in self.steps.items():
                if node[0] != here or node[1] == "vapour":
                    continue
                for end, _ in ends:
                    kind = self.layout.parts[end].kind
                    if end in seen:
                        continue
                    seen.add(end)
                    if kind in TANKS:
                        found[end] = None
                    elif kind in kinds:
                        todo.append(end)
        return tuple(found)

    def adjacent(self, part: str) -> tuple[str, ...]:
        """Return the parts joined to ``part`` by a line, either way, in file order."""
        ends = ((endpoint(x.start)[0], endpoint(x.end)[0]) for x in self.layout.lines)
        return tuple(dict.fromkeys(b if a == part else a for a, b in ends if part in (a, b)))
