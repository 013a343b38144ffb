"""The flow parts and lines of a layout as stretches of pieces, joined where they run in series."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from diagnose.fuel.friction import REFERENCE_DENSITY, Piece, mesh_loss
from diagnose.fuel.network import Gate
from diagnose.fuel.properties import PSI
from diagnose.model import COCKS, METERS, TANKS, Layout, Line, Part

AIR = "open-air"
PUMPS = ("booster-pump", "transfer-pump", "hand-pump", "engine-pump")
PIPES = ("supply-line", "hose", "vapour-return", "gauge-line", "flow-meter")

CLEAR = 0.020
"""Bore of an opening the layout gives no figure for [m]."""
_STANDING_LOSS = 20.0  # K of a stopped pump without a bypass; common practice, no source


@dataclass
class Segment:
    """A raw stretch between two named nodes, before stretches in series are joined."""

    a: str
    b: str
    pieces: list[Piece]
    one_way: bool = False
    both_ways: bool = False
    cracking: float = 0.0
    role: str = "line"
    top: str = ""
    gates: list[Gate] = field(default_factory=list)  # run = -1, piece = index in ``pieces``
    reducing: str = ""
    inside: list[str] = field(default_factory=list)

    def turned(self) -> Segment:
        """Return the same stretch told from the other end."""
        last = len(self.pieces) - 1
        gates = [replace(g, piece=last - g.piece) for g in self.gates]
        return replace(self, a=self.b, b=self.a, pieces=self.pieces[::-1], gates=gates)


class Stretches:
    """Gathers the stretches of a layout; ``join`` then leaves only nodes where fuel can branch."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.parts = layout.parts
        self.segments: list[Segment] = []
        self.kept: set[str] = {AIR}
        self.bores: dict[str, list[float]] = {}
        for line in layout.lines:
            for end in (line.start, line.end):
                self.bores.setdefault(end.split(".")[0], []).append(line.bore)

    def gather(self) -> set[str]:
        """Add everything, join what runs in series and return the raw nodes that carry fuel."""
        for part in self.parts.values():
            if part.kind in TANKS:
                self.kept.add(part.id)
            elif part.kind in METERS:
                self.kept.add(f"{part.id}.in")
        for line in self.layout.lines:
            self.add_line(line)
        for part in self.parts.values():
            if part.id in self.bores:  # a part no line leads to carries no fuel in the model
                self.add_part(part)
                if part.kind in PUMPS:
                    self.add_pump(part)
        used = {n for s in self.segments for n in (s.a, s.b)}
        self.join()
        return used

    def bore(self, part: Part, widest: bool = False) -> float:
        """Return the part's bore, or that of the lines at it."""
        if "bore" in part.numbers:
            return part.numbers["bore"]
        bores = self.bores.get(part.id) or [CLEAR]
        return max(bores) if widest else min(bores)

    def joint(self, part: Part) -> bool:
        """Say whether the part is a mere joint: a pipe with no figures of its own."""
        return part.kind in PIPES and not {"bore", "length", "loss"} & set(part.numbers)

    def end(self, text: str, start: bool) -> str:
        """Return the raw node of a line's end, '' where no fuel is followed further."""
        name, _, port = text.partition(".")
        if name not in self.parts:
            raise ValueError(f"a line ends at {name!r}, which is no part of {self.layout.id}")
        part = self.parts[name]
        if part.kind in TANKS:
            return name
        if part.kind == "engine":
            return AIR if port == "primer" else ""
        if part.kind in METERS:
            return f"{name}.in" if not start or port == "vapour" else ""
        if part.positions:
            return f"{name}.{port or ('out' if start else 'in')}"
        if self.joint(part):
            return name
        return f"{name}.{'out' if start else 'in'}"

    def add_line(self, line: Line) -> None:
        """Add one line, with what its ends ask for."""
        a, b = self.end(line.start, True), self.end(line.end, False)
        if not a or not b:
            return
        piece = Piece(line.id, line.bore, line.length, line.loss)
        segment = Segment(a, b, [piece])
        start, _, port = line.start.partition(".")
        name, _, entry = line.end.partition(".")
        if self.parts[start].kind in TANKS:
            stand = self.parts[name].numbers.get("standpipe", 0.0)
            segment.gates.append(Gate("wet", start, -1, 0, standpipe=stand))
        if self.parts[start].kind in METERS and port == "vapour":
            segment.role = "return"
            segment.pieces.insert(0, self.vapour_orifice(self.parts[start]))
        if self.parts[name].kind in TANKS and entry == "top":
            segment.top, segment.one_way = name, True
        self.segments.append(segment)

    def vapour_orifice(self, part: Part) -> Piece:
        """Return the orifice that passes the normal return flow at the normal pressure."""
        pressure = self.normal_pressure(part.of)
        flow = max(part.numbers.get("return-normal", 1e-6), 1e-9)
        bore = 0.003
        area = 0.25 * np.pi * bore**2
        loss = 2.0 * pressure / REFERENCE_DENSITY * (area / flow) ** 2
        return Piece(part.id, bore, loss=float(loss))

    def normal_pressure(self, engine: str) -> float:
        """Return the normal metering pressure of an engine [Pa gauge]."""
        pumps = [p for p in self.parts.values() if p.kind == "engine-pump" and p.of == engine]
        if pumps and "relief" in pumps[0].numbers:
            return pumps[0].numbers["relief"]
        limit = self.layout.limits.get("fuel-pressure")
        if limit is not None and limit.low is not None and limit.high is not None:
            return 0.5 * (limit.low + limit.high)
        return 10.0 * PSI

    def add_part(self, part: Part) -> None:
        """Add the stretch or stretches inside one part."""
        inlet, outlet = f"{part.id}.in", f"{part.id}.out"
        figures = part.numbers
        loss = figures.get("loss", 0.5)
        plain = Piece(part.id, self.bore(part), figures.get("length", 0.0), loss)
        kind = part.kind
        add = self.segments.append
        if kind in COCKS:
            pairs = {frozenset(pair) for joined in part.positions.values() for pair in joined}
            for pair in sorted(pairs, key=sorted):
                one, two = self.direction(part, pair)
                gate = Gate("cock", part.id, -1, 0, pair=pair)
                across = kind == "cross-feed-cock"
                add(Segment(one, two, [plain], gates=[gate], both_ways=across))
        elif kind == "strainer":
            bore = self.bore(part, widest=True)
            k = mesh_loss(figures["flow-factor"], bore) if "flow-factor" in figures else 2.0
            mesh = Piece(part.id, bore, loss=k, mesh=True)
            body = [plain] if "loss" in figures else []
            add(Segment(inlet, outlet, [*body, mesh]))
        elif kind == "outlet-screen":
            add(Segment(inlet, outlet, [replace(plain, mesh=True)]))
        elif kind in ("non-return-valve", "transfer-valve"):
            gates = [Gate("valve", part.id, -1, 0)] if kind == "transfer-valve" else []
            one_way = kind == "non-return-valve" or part.traits.get("stops-siphon") == "yes"
            cracking = figures.get("cracking", 0.0)
            add(Segment(inlet, outlet, [plain], one_way, cracking=cracking, gates=gates))
        elif kind in ("primer", "jettison-valve"):
            gate = Gate("valve", part.id, -1, 0)
            piece = replace(plain, loss=50.0) if kind == "primer" else plain
            end = AIR if kind == "jettison-valve" else outlet
            add(Segment(inlet, end, [piece], gates=[gate]))
        elif kind == "reducing-valve":
            add(Segment(inlet, outlet, [plain], one_way=True, reducing=part.id))
        elif kind in PIPES and not self.joint(part):
            add(Segment(inlet, outlet, [plain]))

    def direction(self, part: Part, pair: frozenset[str]) -> tuple[str, str]:
        """Return the cock's two nodes, the one that lines run to first."""
        one, two = sorted(pair)
        if any(line.start == f"{part.id}.{one}" for line in self.layout.lines):
            one, two = two, one
        return f"{part.id}.{one}", f"{part.id}.{two}"

    def add_pump(self, part: Part) -> None:
        """Add what lies beside a pump: its bypass flap, or the way through it when it stands."""
        inlet, outlet = f"{part.id}.in", f"{part.id}.out"
        self.kept |= {inlet, outlet}
        figures = part.numbers
        bore = figures.get("bypass-bore", self.bore(part))
        if "bypass-bore" in figures or part.traits.get("bypass") == "yes":
            piece = Piece(part.id, bore, loss=figures.get("bypass-loss", 3.0))
            self.segments.append(Segment(inlet, outlet, [piece], one_way=True, role="bypass"))
        elif part.kind in ("booster-pump", "hand-pump"):
            piece = Piece(part.id, bore, loss=_STANDING_LOSS)
            gate = Gate("standing", part.id, -1, 0)
            self.segments.append(
                Segment(inlet, outlet, [piece], one_way=True, role="standing", gates=[gate])
            )

    # ------------------------------------------------------------------ stretches in series

    def join(self) -> None:
        """Join stretches that meet at a node where nothing else does."""
        for node in list(dict.fromkeys(n for s in self.segments for n in (s.a, s.b))):
            if node in self.kept:
                continue
            here = [s for s in self.segments if node in (s.a, s.b)]
            if len(here) != 2 or here[0] is here[1]:
                continue
            first, second = here
            if first.a == node and second.b == node:
                first, second = second, first
            if first.b != node:
                if first.one_way:
                    first, second = second, first
                first = first.turned() if first.b != node else first
            if second.a != node:
                if second.one_way:
                    continue  # two valves facing each other: leave the node between them
                second = second.turned()
            if first.a == second.b or (first.b != node) or (second.a != node):
                continue
            self.segments.remove(here[0])
            self.segments.remove(here[1])
            shift = len(first.pieces)
            self.segments.append(
                Segment(
                    first.a,
                    second.b,
                    first.pieces + second.pieces,
                    first.one_way or second.one_way,
                    first.both_ways or second.both_ways,
                    first.cracking + second.cracking,
                    first.role if first.role != "line" else second.role,
                    first.top or second.top,
                    first.gates + [replace(g, piece=g.piece + shift) for g in second.gates],
                    first.reducing or second.reducing,
                    [*first.inside, node, *second.inside],
                )
            )
