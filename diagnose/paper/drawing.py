"""The fuel system of a layout drawn as SVG: fuel runs down the page, every box with its name.

Drawn are the ways of the fuel with the cross-feed shut, the cross-feed itself, transfer from tank
to tank and the vapour return; ``ways.other_lines`` says in words what is not.  Black on white: a
plain line feeds, a dashed one returns vapour, a dash-and-dot one is open only when it is set so.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from diagnose.model import TANKS
from diagnose.paper import layered, svg, ways
from diagnose.places import Places
from diagnose.places.graph import cock_position

BOX, TALL, STEP, SPACE = 136.0, 58.0, 80.0, 146.0
LETTERS, SIZE = 21, 12.5
"""Letters of a line in a box, and their size."""
_TOP, _FOOT = 34.0, 34.0

_KEY = (
    ("", "Fuel runs down the page. Plain line: feeds."),
    ("across over", "Dash and dot: only when set so."),
    ("return", "Dashed: vapour return."),
    ("", "Rounded: tank. Heavy: engine. In brackets: normal position of a cock."),
)
"""What the lines mean; those with roles only where a line of one is drawn."""


@dataclass(frozen=True)
class Edge:
    """One line of the drawing: its role, its ends, what stands beside it."""

    role: str
    a: str
    b: str
    name: str = ""


@dataclass(frozen=True)
class Drawing:
    """A drawing: what stands inside the SVG, its size in its own units, its words."""

    inside: tuple[str, ...]
    width: float
    height: float
    title: str
    described: str

    def document(self, head: Sequence[str] = (), *, alone: bool = True) -> str:
        """Return a whole SVG document, lines of ``head`` above the drawing; see `svg.document`."""
        high = 16.0 * len(head) + 6.0
        told = [svg.text(12, 16 + 16 * k, words) for k, words in enumerate(head)]
        moved = f"<g transform='translate(0 {high:.1f})'>"
        inside = [*told, moved, *self.inside, "</g>"]
        size = (self.width, self.height + high)
        return svg.document(*size, self.title, self.described, inside, alone=alone)


def draw(places: Places) -> Drawing:
    """Return the drawing of the layout of ``places``."""
    edges = _edges(places)
    at = _middles(places, edges)
    inside = [part for e in edges for part in _line(e, at)]
    inside += [_box(places, part, *middle) for part, middle in at.items()]
    width = max(x for x, _ in at.values()) + BOX / 2 + 16
    height = max(y for _, y in at.values()) + TALL + _FOOT
    drawn = {e.role for e in edges}
    told = [words for roles, words in _KEY if not roles or drawn & set(roles.split())]
    key = textwrap.wrap(" ".join(told), int(width / 6.2))
    inside += [svg.text(12, height - 12 + 13 * k, words, "font-size='11.5'")
               for k, words in enumerate(key)]  # fmt: skip
    layout = places.layout
    described = ". ".join([*ways.feed_lines(places), *ways.other_lines(places)])
    title = f"{layout.id}: {layout.title}"
    return Drawing(tuple(inside), width, height + 13 * (len(key) - 1), title, described)


# ------------------------------------------------------------------ what is drawn


def _edges(places: Places) -> list[Edge]:
    pairs = dict.fromkeys(p for way in ways.ways(places) for p in pairwise(way))
    out = [Edge("line", a, b) for a, b in pairs]
    parts = places.layout.parts
    drawn = {p for pair in pairs for p in pair} | set(places.tanks)
    for p in parts.values():
        if p.kind == "cross-feed-cock":
            ends = [q for q in places.neighbours(p.id) if q in drawn]
            out += [Edge("across", p.id, q) for q in ends]
        elif p.kind in ("transfer-valve", "transfer-pump"):
            to = p.traits.get("to", "")
            if p.of in drawn and to in drawn:
                out.append(Edge("over", p.of, to, p.name))
        elif p.kind == "vapour-return":
            unit = next((q for q in places.neighbours(p.id) if q in drawn), p.of)
            tanks = places.related(p.id, "return-tank", {})
            out += [Edge("return", unit, t) for t in tanks if unit in drawn]
    return out


def _middles(places: Places, edges: Sequence[Edge]) -> dict[str, tuple[float, float]]:
    """Return the middle of the upper edge of every box."""
    fed = [e for e in edges if e.role == "line"]
    nodes = list(dict.fromkeys([*places.tanks, *(p for e in fed for p in (e.a, e.b))]))
    rank = layered.ranks(nodes, fed, places.engines)
    across = [e for e in edges if e.role == "across"]
    for e in across:
        rank[e.a] = max(rank[f.b] for f in across if f.a == e.a)
    # a cross-feed cock stands between what it joins
    near = [*fed, *(Edge("line", e.b, e.a) for e in across)]
    tanks = [t for t in places.tanks if rank[t] == 0]
    x = layered.middles(rank, near, [tanks, list(places.engines)])
    return {p: (16 + BOX / 2 + SPACE * x[p], _TOP + STEP * rank[p]) for p in rank}


def _line(e: Edge, at: Mapping[str, tuple[float, float]]) -> list[str]:
    drawn = layered.curve(e.role, at[e.a], at[e.b], BOX, TALL)
    style = {
        "line": "stroke-width='1.6'",
        "across": "stroke-width='1.4' stroke-dasharray='9 3 2 3'",
        "over": "stroke-width='1.4' stroke-dasharray='9 3 2 3'",
        "return": "stroke-width='1.1' stroke-dasharray='6 4'",
    }[e.role]
    out = [f"<path d='{drawn.path}' fill='none' stroke='black' {style}/>"]
    if e.role in ("line", "over"):
        out.append(_arrow(drawn.at, drawn.angle))
    elif e.role == "return":
        out.append(_arrow(drawn.end, drawn.end_angle, -9))
    if e.name:
        out.append(svg.text(drawn.at[0], drawn.at[1] - 7, e.name,
                            f"text-anchor='middle' font-size='11.5' {svg.HALO}"))  # fmt: skip
    return out


def _arrow(at: tuple[float, float], angle: float, back: int = -4) -> str:
    tip = back + 9
    return (
        f"<polygon points='{tip},0 {back},-4 {back},4' fill='black' "
        f"transform='translate({at[0]:.1f} {at[1]:.1f}) rotate({angle:.0f})'/>"
    )


def _box(places: Places, part: str, x: float, y: float) -> str:
    p = places.layout.parts[part]
    name = places.label(part)
    position = cock_position(p)
    said = f"{name} [{position}]" if position else name
    lines = textwrap.wrap(said, LETTERS)
    weight = 2.6 if p.kind == "engine" else 1.0
    corner = 14 if p.kind in TANKS else 0
    out = [
        f"<g id={quoteattr('part-' + part)}><title>{escape(said)}</title>"
        f"<rect x='{x - BOX / 2:.1f}' y='{y:.1f}' width='{BOX:.0f}' height='{TALL:.0f}' "
        f"rx='{corner}' fill='white' stroke='black' stroke-width='{weight}'/>"
    ]
    first = y + (TALL - 13.5 * len(lines)) / 2 + 11
    out += [svg.text(x, first + 13.5 * k, words, f"text-anchor='middle' font-size='{SIZE}'")
            for k, words in enumerate(lines)]  # fmt: skip
    return "".join(out) + "</g>"
