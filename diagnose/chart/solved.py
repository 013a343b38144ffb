"""A layout drawn with the pressures and flows of one solved state on it, in black and white.

Fuel runs down the page.  A thick line carries fuel and an arrow says which way; a thin dotted
line stands still; a dashed line is a vapour return.  The list of ``diagnose fuel pressures`` says
the same.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from diagnose.fuel.asked.figures import number
from diagnose.fuel.asked.setup import Asked
from diagnose.fuel.asked.steady import (
    STILL,
    Passage,
    Solved,
    flow_of,
    lost,
    node_label,
    passages,
)
from diagnose.fuel.settings import position_of
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.paper import layered, svg
from diagnose.paper.beside import Space, Words, beside, wide
from diagnose.paper.words import model_notes

BOX, TALL, STEP, SPACE = 172.0, 76.0, 146.0, 196.0
SMALL = 11.0
"""Size of the letters beside a line."""
_TOP = 110.0
_GATED = ("cross-feed-cock", "shut-off-cock")  # a selector stands in a box of its own


@dataclass(frozen=True)
class Edge:
    """What joins two boxes: name, role, ends and flow per row [m3/s]."""

    name: str
    role: str  # line | across | return | over
    a: int
    b: int
    flows: tuple[float, ...]


def draw(q: Asked, done: Solved) -> str:
    """Return the drawing of a solved state as SVG."""
    edges, over = _edges(q, done)
    over += [f"{label}: {_flow_words(q, tuple(flows))}" for label, flows in lost(done)]
    places = _places(done, edges)
    inside: list[str] = []
    for edge in edges:
        inside += _edge(edge, places)
    inside += [_box(q, done, number, *at) for number, at in places.items()]
    inside += _words(q, done, edges, places)
    width = max(x for x, _ in places.values()) + BOX / 2 + 60
    height = max(y for _, y in places.values()) + TALL + 90
    title = f"{q.places.layout.id}, {q.state.title}: pressures and flows"
    heading = [svg.text(16, 24, title, "font-size='14' font-weight='bold'")]
    heading += [svg.text(16, 42, " ".join(model_notes(q.places.layout)))]
    heading += [svg.text(16, 58, words) for words in _states(q, done)]
    for k, words in enumerate([*over, KEY]):
        heading.append(svg.text(16, height - 46 + 16 * k - 16 * len(over), words))
    return svg.document(
        max(width, 900), height, title, description(q, done, edges), [*heading, *inside]
    )


KEY = (
    "Thick line with arrow: fuel flows. Thin dotted: stands still. Dashed: vapour return. "
    "Pressures are gauge."
)


def _states(q: Asked, done: Solved) -> list[str]:
    """Return what the two figures in a box are."""
    out = []
    if q.faults:
        out.append(f"First figure sound, second with: {q.fault_words}")
    for row in range(done.rows):
        if not done.solution.converged[row]:
            out.append(f"{('Sound', 'With the cause')[row]}: no steady state found, no figures.")
    return [" ".join(out)] if out else []


def description(q: Asked, done: Solved, edges: Sequence[Edge]) -> str:
    """Return the drawing in words, box by box and line by line."""
    boxes = [f"{node_label(done.setup, k)} {_pressures(q, done, k)}."
             for k in range(len(q.network.nodes))]  # fmt: skip
    ways = [f"{e.name}: {_flow_words(q, e.flows)}." for e in edges]
    return " ".join(boxes + ways)


# ------------------------------------------------------------------ what is drawn


def _edges(q: Asked, done: Solved) -> tuple[list[Edge], list[str]]:
    """Return the lines to draw, ways beside a pump taken into it; and what goes overboard."""
    network = q.network
    engines = {e.meter: len(network.nodes) + k for k, e in enumerate(network.engines)}
    flows: dict[tuple[int, int, str], list[float]] = {}
    names: dict[tuple[int, int, str], str] = {}
    over = []
    for p in passages(done.setup):
        each = [flow_of(done, p, row) for row in range(done.rows)]
        if p.role == "burn":
            key = (p.a, engines[p.number], "line")
        elif p.b < 0:
            if any(abs(f) > STILL for f in each):
                over.append(f"{p.label}: {_flow_words(q, tuple(each))}")
            continue
        else:
            key = (p.a, p.b, _role(done, p))
            if p.role == "relief":  # back round the pump: it lessens what goes on
                key, each = (p.b, p.a, "line"), [-f for f in each]
        if p.role in ("line", "return", "pump", "burn") or key not in names:
            names[key] = p.label
        flows[key] = [a + b for a, b in zip(flows.get(key, [0.0] * len(each)), each, strict=True)]
    return [Edge(names[k], k[2], k[0], k[1], tuple(v)) for k, v in flows.items()], over


def _role(done: Solved, p: Passage) -> str:
    network = done.setup.network
    if p.role == "return":
        return "return"
    if p.kind == "runs" and network.runs[p.number].both_ways:
        return "across"
    plain = {t.node for t in network.tanks if not t.header}
    return "over" if p.a in plain and p.b in plain else "line"


def _places(done: Solved, edges: Sequence[Edge]) -> dict[int, tuple[float, float]]:
    """Return the middle of each box's upper edge."""
    network = done.setup.network
    engines = [len(network.nodes) + k for k in range(len(network.engines))]
    ranks = layered.ranks(range(len(network.nodes) + len(engines)), edges, engines)
    tanks = [t.node for t in network.tanks]
    spread = any(ranks[t] for t in tanks)  # one tank above another: both in the middle
    x = layered.middles(ranks, edges, [engines] if spread else [tanks, engines])
    return {n: (BOX / 2 + 60 + SPACE * x[n], _TOP + STEP * ranks[n]) for n in ranks}


# ------------------------------------------------------------------ elements


def _figures(values: Sequence[str]) -> str:
    return " | ".join(values)


def _pressures(q: Asked, done: Solved, node: int) -> str:
    unit = q.shown.pressure
    each = [number(done.gauge(node, row), unit) for row in range(done.rows)]
    return f"{_figures(each)} {unit}"


def _flow_words(q: Asked, flows: Sequence[float]) -> str:
    unit = q.shown.flow
    if all(abs(f) <= STILL for f in flows):
        return "still"
    return f"{_figures([number(abs(f), unit) for f in flows])} {unit}"


def _box(q: Asked, done: Solved, number: int, x: float, y: float) -> str:
    """Return a box with its name and figures; tanks are rounded, engines double."""
    network = q.network
    engine = number - len(network.nodes)
    if engine >= 0:
        part = network.engines[engine].id
        name = q.label(part)
        lamps = [lamp_word(done, part, row) for row in range(done.rows)]
        runs = [running_word(done, part, row) for row in range(done.rows)]
        said = [f"runs {_figures(runs)}" if runs != ["stands"] * done.rows else "stands"]
        said += [] if set(lamps) <= {"none fitted"} else [f"lamp {_figures(lamps)}"]
    else:
        name = node_label(done.setup, number)
        said = [_pressures(q, done, number), *_more(q, done, number)]
    tank = number in {t.node for t in network.tanks}
    left, corner = x - BOX / 2, 16 if tank else 0
    lines = [*textwrap.wrap(name, 29), *said]
    shape = f"x='{left:.1f}' y='{y:.1f}' width='{BOX:.0f}' height='{TALL:.0f}' rx='{corner}'"
    out = [f"<g><title>{escape(name)}</title><rect {shape} fill='white' stroke='black' "
           f"stroke-width='{2.5 if engine >= 0 else 1}'/>"]  # fmt: skip
    first = y + (TALL - 14 * len(lines)) / 2 + 11
    for k, words in enumerate(lines):
        weight = " font-weight='bold'" if words in said else ""
        out.append(svg.text(x, first + 14 * k, words,
                            f"text-anchor='middle' font-size='11'{weight}"))  # fmt: skip
    return "".join(out) + "</g>"


def _more(q: Asked, done: Solved, node: int) -> list[str]:
    """Return what else stands in a box: the selector's position, or the vapour return."""
    network = q.network
    part = network.layout.parts[network.nodes[node].partition(".")[0]]
    if part.kind == "selector-cock":
        return [f"set {position_of(network, done.setup.settings, part.id)}"]
    back = [p for p in passages(done.setup) if p.role == "return" and p.a == node]
    flows = [[flow_of(done, p, row) for row in range(done.rows)] for p in back]
    return [f"returns {_flow_words(q, f)}" for f in flows]


def _edge(e: Edge, places: Mapping[int, tuple[float, float]]) -> list[str]:
    """Return one line, with an arrow where fuel flows."""
    drawn = layered.curve(e.role, places[e.a], places[e.b], BOX, TALL)
    flows = [f for f in e.flows if math.isfinite(f)]
    moving = any(abs(f) > STILL for f in flows)
    style = {True: "stroke-width='2.5'", False: "stroke-width='1' stroke-dasharray='1 4'"}[moving]
    if e.role == "return":
        style = f"stroke-width='{1.8 if moving else 1}' stroke-dasharray='8 4'"
    out = [f"<g><title>{escape(e.name)}</title><path d='{drawn.path}' fill='none' stroke='black' "
           f"{style}/>"]  # fmt: skip
    if moving:
        turned = drawn.angle + (180.0 if flows and flows[-1] < 0.0 else 0.0)
        out.append(f"<polygon points='7,0 -6,-6 -6,6' fill='black' transform='translate("
                   f"{drawn.at[0]:.1f} {drawn.at[1]:.1f}) rotate({turned:.0f})'/>")  # fmt: skip
    return [*out, "</g>"]


def _words(
    q: Asked, done: Solved, edges: Sequence[Edge], places: Mapping[int, tuple[float, float]]
) -> list[str]:
    """Return the flow of every line and how the cocks on it stand, over all lines and boxes."""
    taken = [Space(x - BOX / 2, y, x + BOX / 2, y + TALL) for x, y in places.values()]
    drawn_as = [layered.curve(e.role, places[e.a], places[e.b], BOX, TALL) for e in edges]
    along = [[Space(x - 4, y - 4, x + 4, y + 4) for x, y in c.points(40)] for c in drawn_as]
    out = []
    for mine, (e, drawn) in enumerate(zip(edges, drawn_as, strict=True)):
        lines = [*_cocks(done, e), *([] if e.role == "return" else [_flow_words(q, e.flows)])]
        if e.role == "line":
            others = [s for k, spaces in enumerate(along) if k != mine for s in spaces]
            at = beside(lines, drawn.start, drawn.end, [*taken, *others], SMALL)
        else:  # in the cross-feed's gap and over the tanks the words stand above the line
            half, (x, y) = wide(lines, SMALL) / 2, drawn.at
            top = y - 8 - 1.2 * SMALL * len(lines)
            space = Space(x - half, top, x + half, y - 8)
            at = Words(x, top + 0.95 * SMALL, "middle", space)
        taken.append(at.space)
        out += [
            svg.text(at.x, at.foot + 1.2 * SMALL * k, told,
                     f"text-anchor='{at.anchor}' font-size='{SMALL:g}' {svg.HALO}")
            for k, told in enumerate(lines)
        ]  # fmt: skip
    return out


def _cocks(done: Solved, e: Edge) -> list[str]:
    """Return how the cocks on a line stand, in words."""
    network, settings = done.setup.network, done.setup.settings
    out = []
    for run in network.runs:
        if (run.a, run.b) == (e.a, e.b) and run.role == "line":
            for part in dict.fromkeys(p.part for p in run.pieces):
                kind = network.layout.parts[part].kind if part in network.layout.parts else ""
                if kind in _GATED:
                    out.append(f"{network.layout.parts[part].name}: "
                               f"{position_of(network, settings, part)}")  # fmt: skip
                elif kind in ("transfer-valve", "jettison-valve"):
                    open_ = part in settings.open_valves
                    out.append(f"{network.layout.parts[part].name} {'open' if open_ else 'shut'}")
    return out


# ------------------------------------------------------------------ words of page and drawing


def lamp_word(done: Solved, engine: str, row: int) -> str:
    """Return lit, out, 'none fitted', or that no approved figure says when it lights."""
    if not done.setup.network.parts_of(engine, "warning-lamp"):
        return "none fitted"
    value = done.at("pressure-lamp", engine, row)
    if math.isnan(value):
        return NO_FIGURE if done.solution.converged[row] else "-"
    return "lit" if value > 0.5 else "out"


def running_word(done: Solved, engine: str, row: int) -> str:
    """Return how the engine runs, or that it stands."""
    if not done.solution.converged[row]:
        return "-"
    if done.setup.settings.power.get(engine, "none") in ("none", "can"):
        return "stands"
    return done.word("engine-running", engine, row)
