"""From a layout to a network: every flow part and line becomes pieces, then runs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from diagnose.fuel.friction import REFERENCE_DENSITY, table_runs
from diagnose.fuel.network import (
    Booster,
    Engine,
    EnginePump,
    Gate,
    Meter,
    Network,
    Reducing,
    Run,
    Tank,
    Vent,
)
from diagnose.fuel.properties import PSI
from diagnose.fuel.stretches import AIR, CLEAR, PUMPS, Segment, Stretches
from diagnose.model import METERS, TANKS, Layout, Part

_CAP_VENT = 0.004  # [m] bore of the air hole in a vented cap; common practice, no source
_RUNNING = ("cranking", "idle", "run-up", "cruise", "take-off")
_SPEED = {"cranking": 0.05, "idle": 0.3, "run-up": 0.75, "cruise": 0.85, "take-off": 1.0}
"""Share of take-off speed where the layout gives no engine speeds (common practice, no source)."""


def build(layout: Layout) -> Network:
    """Return the network of a layout.

    Raises:
        ValueError: a line starts or ends at a part the layout does not have.
    """
    return _Builder(layout).network()


class _Builder:
    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.parts = layout.parts
        self.raw = Stretches(layout)

    def network(self) -> Network:
        """Build all of it."""
        tanks = [p for p in self.parts.values() if p.kind in TANKS]
        meters = [p for p in self.parts.values() if p.kind in METERS]
        used = self.raw.gather()
        names = [p.id for p in tanks]
        names += sorted({n for s in self.raw.segments for n in (s.a, s.b)} - set(names) - {AIR})
        names += sorted(({f"{p.id}.in" for p in meters} & used) - set(names))
        index = {name: i for i, name in enumerate(names)} | {AIR: len(names)}
        tank_index = {p.id: i for i, p in enumerate(tanks)}
        gates: list[Gate] = []
        stretches = enumerate(self.raw.segments)
        runs = [self.run(s, number, index, tank_index, gates) for number, s in stretches]
        place, pieces = self.places(index, runs)
        pumps, engines_meters = self.pumps(index, runs), self.meters(meters, index, runs)
        engines = self.engines(pumps, engines_meters)
        return Network(
            layout=self.layout,
            nodes=tuple(names),
            height=np.asarray([self.height(name) for name in names]),
            runs=tuple(runs),
            tables=table_runs([run.pieces for run in runs]),
            gates=tuple(gates),
            tanks=tuple(self.tank(p, index[p.id]) for p in tanks),
            vents=tuple(self.vents(tanks, tank_index)),
            boosters=tuple(self.boosters(index, runs)),
            pumps=pumps,
            meters=engines_meters,
            reducing=tuple(
                Reducing(r.reducing, i, self.parts[r.reducing].numbers["setting"])
                for i, r in enumerate(runs)
                if r.reducing
            ),
            engines=engines,
            place=place,
            pieces=pieces,
            tank_index=tank_index,
            engine_index={e.id: i for i, e in enumerate(engines)},
        )

    def height(self, node: str) -> float:
        """Return the height of a node [m]."""
        return self.parts[node.split(".")[0]].numbers.get("height", 0.0)

    def run(
        self, s: Segment, number: int, index: dict[str, int], tanks: dict[str, int],
        gates: list[Gate],
    ) -> Run:  # fmt: skip
        """Return the finished run of a stretch and add its gates to ``gates``."""
        for gate in s.gates:
            owner = tanks[gate.part] if gate.kind == "wet" else -1
            gates.append(replace(gate, run=number, tank=owner))
        last = next((n for n in reversed(s.inside) if n != s.b), s.a)
        heads = tuple(self.height(n if n != AIR else last) for n in (s.a, s.b))
        return Run(
            a=index[s.a],
            b=index[s.b],
            pieces=tuple(s.pieces),
            one_way=s.one_way,
            both_ways=s.both_ways,
            cracking=s.cracking,
            role=s.role,
            top_tank=tanks[s.top] if s.top else -1,
            heads=(heads[0], heads[1]),
            reducing=s.reducing,
        )

    def places(
        self, index: dict[str, int], runs: Iterable[Run]
    ) -> tuple[dict[str, int], dict[str, tuple[tuple[int, int], ...]]]:
        """Return for every flow part the node that stands for it and the pieces it has."""
        tanks = {index[p.id] for p in self.parts.values() if p.kind in TANKS}
        air = len(index) - 1
        place: dict[str, int] = {}
        pieces: dict[str, list[tuple[int, int]]] = {}
        for number, run in enumerate(runs):
            end = run.b if run.b not in tanks and run.b != air else run.a
            for at, piece in enumerate(run.pieces):
                pieces.setdefault(piece.part, []).append((number, at))
                if run.role == "line" or piece.part not in place:
                    place.setdefault(piece.part, end)
        for part in self.parts.values():
            for name in (f"{part.id}.out", f"{part.id}.in", part.id):
                if name in index:
                    place[part.id] = index[name]
                    break
        return place, {part: tuple(found) for part, found in pieces.items()}

    def tank(self, part: Part, node: int) -> Tank:
        """Return one tank."""
        n = part.numbers
        get = n.get
        return Tank(
            part.id, node, get("height", 0.0), n["capacity"], get("unusable", 0.0), n["depth"],
            get("lateral", 0.0), get("aft", 0.0), get("outlet-lateral", 0.0),
            get("outlet-aft", 0.0), part.kind == "header-tank",
        )  # fmt: skip

    def vents(self, tanks: list[Part], tank_index: dict[str, int]) -> Iterable[Vent]:
        """Yield the vent or vents of every tank; a tank without any is open at a clear hole."""
        for tank in tanks:
            fittings = [p for p in self.parts.values() if p.of == tank.id]
            own = [p for p in fittings if p.kind == "tank-vent"]
            caps = [p for p in fittings if p.kind == "filler-cap"]
            for cap in (c for c in caps if c.traits.get("vented") == "yes"):
                yield Vent(cap.id, tank_index[tank.id], -1, 0.25 * np.pi * _CAP_VENT**2)
            if not own:
                yield Vent(tank.id, tank_index[tank.id], -1, 0.25 * np.pi * CLEAR**2)
            for part in own:
                bore = part.numbers.get("bore", CLEAR)
                pipe = 0.03 * part.numbers.get("length", 0.0) / bore  # rough friction, f = 0.03
                k = 1.5 + part.numbers.get("loss", 0.0) + pipe
                area = 0.25 * np.pi * bore**2 / (0.62 * np.sqrt(k))
                other = tank_index.get(part.traits.get("with", ""), -1)
                yield Vent(part.id, tank_index[tank.id], other, float(area))

    def _beside(self, runs: Iterable[Run], part: str, role: str) -> int:
        """Return the run of ``role`` beside a pump, -1 if there is none."""
        for number, run in enumerate(runs):
            if run.role == role and run.pieces[0].part == part:
                return number
        return -1

    def boosters(self, index: dict[str, int], runs: list[Run]) -> Iterable[Booster]:
        """Yield electric and hand pumps."""
        for part in self.parts.values():
            if part.kind not in PUMPS[:3] or f"{part.id}.in" not in index:
                continue
            n = part.numbers
            rise = n["shutoff"] - n.get("rated-pressure", 0.0)
            yield Booster(
                part.id, index[f"{part.id}.in"], index[f"{part.id}.out"], n["shutoff"],
                rise / n["rated-flow"] ** 2, self._beside(runs, part.id, "bypass"),
                part.kind,
            )  # fmt: skip

    def pumps(self, index: dict[str, int], runs: list[Run]) -> tuple[EnginePump, ...]:
        """Return the engine-driven pumps."""
        out = []
        for part in self.parts.values():
            if part.kind != "engine-pump" or f"{part.id}.in" not in index:
                continue
            n = part.numbers
            rise = max(n.get("relief-rise", 1.5 * PSI), 0.1 * PSI)
            out.append(
                EnginePump(
                    part.id, part.of, index[f"{part.id}.in"], index[f"{part.id}.out"],
                    n["displacement"], n.get("relief", self.raw.normal_pressure(part.of)),
                    n["displacement"] / rise, self._beside(runs, part.id, "bypass"),
                )
            )  # fmt: skip
        return tuple(out)

    def meters(
        self, parts: list[Part], index: dict[str, int], runs: list[Run]
    ) -> tuple[Meter, ...]:
        """Return the carburettors and metering units that a line leads to."""
        out = []
        for part in parts:
            if f"{part.id}.in" not in index:
                continue
            n = part.numbers
            burn = {power: n.get(f"burn-{power}", 0.0) for power in _RUNNING}
            burn |= {"none": 0.0, "cranking": n.get("burn-cranking", 0.5 * burn["idle"])}
            hole = np.sqrt(2.0 / REFERENCE_DENSITY) * 0.25 * np.pi
            if part.kind == "float-carburettor" and "seat-bore" in n:
                capacity = 0.62 * hole * n["seat-bore"] ** 2
            else:  # 97 % of take-off flow at the stated least inlet pressure
                capacity = 1.3 * burn["take-off"] / np.sqrt(n.get("inlet-min", 0.5 * PSI))
            back = [i for i, r in enumerate(runs) if r.role == "return" and
                    r.a == index[f"{part.id}.in"]]  # fmt: skip
            out.append(
                Meter(
                    part.id, part.of, index[f"{part.id}.in"], burn, float(capacity),
                    float(0.8 * hole * self.raw.bore(part) ** 2), back[0] if back else -1,
                    part.kind,
                )
            )  # fmt: skip
        return tuple(out)

    def engines(
        self, pumps: tuple[EnginePump, ...], meters: tuple[Meter, ...]
    ) -> tuple[Engine, ...]:
        """Return the engines with their speeds, pumps and meters."""
        out = []
        for part in self.parts.values():
            if part.kind != "engine":
                continue
            top = part.numbers.get("speed-take-off")
            speed = {
                p: part.numbers[f"speed-{p}"] / top
                if top and f"speed-{p}" in part.numbers
                else _SPEED[p]
                for p in _RUNNING
            } | {"none": 0.0, "can": 0.0}
            pump = next((i for i, p in enumerate(pumps) if p.engine == part.id), -1)
            meter = next((i for i, m in enumerate(meters) if m.engine == part.id), -1)
            out.append(Engine(part.id, speed, pump, meter))
        return tuple(out)
