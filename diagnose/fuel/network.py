"""What the model makes of a layout: nodes, runs of parts in series, pumps, meters, tanks, vents.

``diagnose.fuel.build`` makes a ``Network`` from any ``Layout``.  Node ``len(network.nodes)`` is
the open air.  Tanks are nodes too: their pressure is that at the outlet under the fuel.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from diagnose.fuel.elimination import Elimination
from diagnose.fuel.friction import Piece, RunTables
from diagnose.fuel.properties import Array
from diagnose.model import Layout


@dataclass(frozen=True)
class Gate:
    """A piece of a run that is opened and shut: by a cock, a valve, or the level in a tank."""

    kind: str  # cock | valve | wet | standing
    part: str
    run: int
    piece: int
    pair: frozenset[str] = frozenset()  # the ports a cock joins here
    tank: int = -1  # wet: the tank whose level uncovers the outlet
    standpipe: float = 0.0  # wet: outlet above the tank bottom [m]


@dataclass(frozen=True)
class Run:
    """Pieces in series between two nodes; flow counts positive from ``a`` to ``b``.

    ``role``: line, bypass (flap round a pump), standing (through a stopped pump), return (vapour).
    ``top_tank`` is the tank entered above the fuel at ``b`` (-1 = none): nothing siphons back.
    """

    a: int
    b: int
    pieces: tuple[Piece, ...]
    one_way: bool
    both_ways: bool  # a cross-feed: fuel is meant to go either way
    cracking: float  # [Pa]
    role: str
    top_tank: int
    heads: tuple[float, float]  # height of each end [m]
    reducing: str  # id of the reducing valve in it


@dataclass(frozen=True)
class Tank:
    """A tank as a prism: volume = area x level."""

    id: str
    node: int
    bottom: float  # [m] above the datum
    capacity: float  # [m3]
    unusable: float  # [m3]
    depth: float  # [m]
    lateral: float  # [m] starboard of the centre line
    aft: float  # [m]
    outlet_lateral: float  # [m] outlet from the tank's own centre
    outlet_aft: float
    header: bool  # a header tank that can stand quite full

    @property
    def area(self) -> float:
        """Free surface [m2]."""
        return self.capacity / self.depth


@dataclass(frozen=True)
class Vent:
    """The air way of a tank, to the open air or into the air space of ``other``."""

    part: str
    tank: int
    other: int  # tank index, -1 = open air
    area: float  # [m2], the loss of the pipe taken in


@dataclass(frozen=True)
class Booster:
    """A centrifugal or hand pump p = shutoff - curve q^2 between nodes a and b."""

    part: str
    a: int
    b: int
    shutoff: float  # [Pa]
    curve: float  # [Pa s2/m6]
    bypass: int  # run index, -1 = none
    kind: str


@dataclass(frozen=True)
class EnginePump:
    """A displacement pump with a relief valve referred to the air."""

    part: str
    engine: str
    a: int
    b: int
    displacement: float  # [m3/s] at take-off speed
    relief: float  # [Pa] gauge
    gain: float  # [m3/s/Pa] above the setting
    bypass: int  # run index, -1 = none


@dataclass(frozen=True)
class Meter:
    """A carburettor or metering unit: where fuel leaves for its engine."""

    part: str
    engine: str
    node: int
    burn: Mapping[str, float]  # power -> [m3/s]
    capacity: float  # [m3/s/sqrt(Pa)]
    union_capacity: float  # the same into a can at the open union
    returns: int  # run index of the vapour return, -1 = none
    kind: str


@dataclass(frozen=True)
class Reducing:
    """A pressure reducing valve standing in a run."""

    part: str
    run: int
    setting: float  # [Pa] gauge


@dataclass(frozen=True)
class Engine:
    """Speed of an engine as a share of take-off speed, by power."""

    id: str
    speed: Mapping[str, float]
    pump: int  # index of its pump, -1 = none
    meter: int


@dataclass(frozen=True, eq=False)  # one network is itself alone: usable as a cache key
class Network:
    """A layout as the solver sees it; shared by all states and faults."""

    layout: Layout
    nodes: tuple[str, ...]
    height: Array  # (N,) [m]
    runs: tuple[Run, ...]
    tables: RunTables
    gates: tuple[Gate, ...]
    tanks: tuple[Tank, ...]
    vents: tuple[Vent, ...]
    boosters: tuple[Booster, ...]
    pumps: tuple[EnginePump, ...]
    meters: tuple[Meter, ...]
    reducing: tuple[Reducing, ...]
    engines: tuple[Engine, ...]
    place: Mapping[str, int]  # flow part -> node that stands for it
    pieces: Mapping[str, tuple[tuple[int, int], ...]]  # part -> (run, piece) it lies in
    tank_index: Mapping[str, int] = field(repr=False)
    engine_index: Mapping[str, int] = field(repr=False)

    def tank(self, part: str) -> Tank:
        """Return the tank called ``part``."""
        return self.tanks[self.tank_index[part]]

    @cached_property
    def ends(self) -> tuple[np.ndarray, np.ndarray]:
        """First and second node of every element, in the order of ``Solution.flow``.

        Runs, boosters, engine pumps, relief valves, meters, vents, leaks (one a node).
        """
        air = len(self.nodes)
        a = [r.a for r in self.runs] + [p.a for p in self.boosters] + [p.a for p in self.pumps]
        b = [r.b for r in self.runs] + [p.b for p in self.boosters] + [p.b for p in self.pumps]
        a += [p.b for p in self.pumps] + [m.node for m in self.meters]
        b += [p.a for p in self.pumps] + [air] * len(self.meters)
        a += [self.tanks[v.other].node if v.other >= 0 else air for v in self.vents]
        b += [self.tanks[v.tank].node for v in self.vents]
        a += list(range(air))
        b += [air] * air
        return np.asarray(a, dtype=np.intp), np.asarray(b, dtype=np.intp)

    @cached_property
    def incidence(self) -> Array:
        """What each element's flow adds to each node (E, N): -1 at its first, +1 at its second."""
        a, b = self.ends
        out = np.zeros((a.size, len(self.nodes) + 1))
        out[np.arange(a.size), a] -= 1.0
        out[np.arange(a.size), b] += 1.0
        return out[:, :-1]

    @cached_property
    def pattern(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """How slopes add up to the Jacobian: order of the slopes, group starts, flat places.

        The slopes stand as d first/d first, d first/d second, d second/d first and d second/d
        second of all elements; those that touch the open air drop out.
        """
        a, b = self.ends
        count = len(self.nodes)
        row, column = np.concatenate([a, a, b, b]), np.concatenate([a, b, a, b])
        place = np.where((row < count) & (column < count), row * count + column, -1)
        order = np.argsort(place, kind="stable")
        order = order[np.searchsorted(place[order], 0) :]
        flat, starts = np.unique(place[order], return_index=True)
        return order, starts, flat

    @cached_property
    def elimination(self) -> tuple[Elimination, np.ndarray]:
        """How the equations are solved in a large batch, and the slots of ``pattern``'s places."""
        flat, count = self.pattern[2], len(self.nodes)
        row, column = flat // count, flat % count
        plan = Elimination(count, zip(row.tolist(), column.tolist(), strict=True))
        return plan, plan.slots(row, column)

    @cached_property
    def spans(self) -> Mapping[str, slice]:
        """Where each kind of element lies in ``Solution.flow``."""
        counts = {
            "runs": len(self.runs),
            "boosters": len(self.boosters),
            "pumps": len(self.pumps),
            "reliefs": len(self.pumps),
            "meters": len(self.meters),
            "vents": len(self.vents),
            "leaks": len(self.nodes),
        }
        out, start = {}, 0
        for name, count in counts.items():
            out[name] = slice(start, start + count)
            start += count
        return out

    def parts_of(self, owner: str, kind: str) -> tuple[str, ...]:
        """Return the parts of ``kind`` that belong to ``owner``."""
        parts = self.layout.parts.values()
        return tuple(p.id for p in parts if p.kind == kind and p.of == owner)
