"""Which faults can be solved together, and which tank must feed for a fault to be felt.

With the cross-feed shut, a large aeroplane is several systems that do not touch.  One solve can
hold a fault in each of them: what one does is read in its own system only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from diagnose.fuel import Fault, Network, Settings
from diagnose.fuel.job import engine_of
from diagnose.fuel.settings import cocks_off, joined, selecting
from diagnose.predict.states import feeds_normally

ALONE = -1
"""Group of a fault that touches more than one system, or of which that is not sure."""
_JOINS = ("cross-feed-cock", "transfer-valve", "bus", "jettison-control", "selector-cock",
          "transfer-pump", "ledger", "fuel-aboard")  # fmt: skip


@dataclass(frozen=True)
class Systems:
    """The separate systems of a network as the cocks stand: number of each node's system.

    shut: run -> numbers of its pieces that are shut, in order.
    """

    of_node: tuple[int, ...]
    engines: Mapping[str, int]
    tanks: Mapping[str, int]
    boosters: Mapping[str, int]
    shut: Mapping[int, tuple[int, ...]]

    def of_place(self, place: str) -> int:
        """Return the system of an engine, a tank or a pump; ``ALONE`` where it is in none."""
        for table in (self.engines, self.tanks, self.boosters):
            if place in table:
                return table[place]
        return ALONE


def systems(network: Network, settings: Settings, feeding: bool = False) -> Systems:
    """Return the systems that open runs, pumps and shared vents join.

    With ``feeding`` vapour returns do not join: a tank they run to is not fed from through them.
    """
    positions = tuple(sorted(settings.positions.items()))
    return _systems(network, positions, settings.open_valves, feeding)


@lru_cache(maxsize=64)
def _systems(
    network: Network,
    positions: tuple[tuple[str, str], ...],
    valves: frozenset[str],
    feeding: bool,
) -> Systems:
    settings = Settings(positions=dict(positions), open_valves=valves)
    up = list(range(len(network.nodes)))

    def root(i: int) -> int:
        while up[i] != i:
            i = up[i]
        return i

    shut: dict[int, tuple[int, ...]] = {}
    for gate in network.gates:
        if (gate.kind == "cock" and gate.pair not in joined(network, settings, gate.part)) or (
            gate.kind == "valve" and gate.part not in valves
        ):
            shut[gate.run] = tuple(sorted((*shut.get(gate.run, ()), gate.piece)))
    air = len(network.nodes)
    pairs = [(r.a, r.b) for i, r in enumerate(network.runs)
             if i not in shut and not (feeding and r.role == "return")]  # fmt: skip
    pairs += [(p.a, p.b) for p in network.boosters] + [(p.a, p.b) for p in network.pumps]
    pairs += [(network.tanks[v.tank].node, network.tanks[v.other].node)
              for v in network.vents if v.other >= 0]  # fmt: skip
    for a, b in pairs:
        if a != air and b != air:
            up[root(a)] = root(b)
    of = tuple(root(i) for i in range(air))
    return Systems(
        of,
        {e.id: of[network.meters[e.meter].node] for e in network.engines if e.meter >= 0},
        {t.id: of[t.node] for t in network.tanks},
        {p.part: of[p.a] for p in network.boosters},
        shut,
    )


def system_of(network: Network, found: Systems, part: str) -> int:
    """Return the one system a fault at ``part`` can act in, or ``ALONE``."""
    parts = network.layout.parts
    here = parts[part]
    while here.kind in ("cock-linkage", "booster-circuit") and here.of in parts:
        here = parts[here.of]
    if here.kind in _JOINS:
        return ALONE
    nodes = _nodes(network, found, here.id)
    touched = {found.of_node[n] for n in nodes if n < len(network.nodes)}
    return touched.pop() if len(touched) == 1 else ALONE


def _nodes(network: Network, found: Systems, part: str) -> set[int]:
    """Return every node at which a part touches the network, itself or through its owner.

    A part in a run that is shut further along touches the near end only.
    """
    nodes: set[int] = set()
    for run, piece in network.pieces.get(part, ()):
        shut = found.shut.get(run, ())
        if not shut or piece <= shut[-1]:
            nodes.add(network.runs[run].a)
        if not shut or piece >= shut[0]:
            nodes.add(network.runs[run].b)
        if shut and shut[0] < piece < shut[-1]:  # shut on both sides
            return set()
    if part in network.tank_index:
        nodes.add(network.tank(part).node)
    for gate in network.gates:
        if gate.part == part and gate.kind in ("cock", "valve"):
            nodes |= {network.runs[gate.run].a, network.runs[gate.run].b}
    if part in network.place and not nodes:
        nodes.add(network.place[part])
    nodes |= {n for p in network.boosters if p.part == part for n in (p.a, p.b)}
    nodes |= {n for p in network.pumps if p.part == part for n in (p.a, p.b)}
    of = network.layout.parts[part].of
    if nodes:
        return nodes
    engine = engine_of(network, part)
    if engine:
        return {m.node for m in network.meters if m.engine == engine}
    return _nodes(network, found, of) if of in network.layout.parts else set()


AT_NODE = ("leaks-out", "air-in", "heat", "soak", "vapour-pressure")
"""Changes the model makes at the node that stands for a part, not in the part itself."""


def astray(network: Network, found: Systems, fault: Fault) -> bool:
    """Say whether the model would make a change on the far side of a shut cock.

    A part between a tank and a cock stands in one run with the cock; the node that stands for it
    lies behind.  With the cock shut, a leak of that part would be taken from the wrong side.
    """
    node = network.place.get(fault.part)
    if fault.change not in AT_NODE or node is None:
        return False
    return found.of_node[node] != system_of(network, found, fault.part)


def needs_tank(network: Network, part: str) -> str:
    """Return the tank that must feed for a fault of ``part`` to be felt at an engine; '' if none.

    It is the tank the part is left alone with when every selector and shut-off cock is off; that
    vapour returns to it does not make it feed.
    """
    found = systems(network, Settings(positions=cocks_off(network)), feeding=True)
    group = system_of(network, found, part)
    tanks = [t for t, g in found.tanks.items() if g == group]
    alone = group != ALONE and group not in found.engines.values() and len(tanks) == 1
    return tanks[0] if alone else ""


def turned_to(network: Network, part: str) -> str:
    """Return the tank to select for a fault of ``part`` to be felt; '' where none need be."""
    tank = needs_tank(network, part)
    return tank if tank and selecting(network, tank) and not feeds_normally(network, tank) else ""


def packed(
    network: Network, settings: Settings, faults: Sequence[Fault]
) -> list[tuple[tuple[int, int], ...]]:
    """Return rows of (index into ``faults``, system): at most one fault in each system."""
    found = systems(network, settings)
    queues: dict[int, list[int]] = {}
    rows: list[tuple[tuple[int, int], ...]] = []
    for i, fault in enumerate(faults):
        group = system_of(network, found, fault.part)
        if group == ALONE:
            rows.append(((i, ALONE),))
        else:
            queues.setdefault(group, []).append(i)
    while queues:
        rows.append(tuple((queue.pop(), group) for group, queue in sorted(queues.items())))
        queues = {g: q for g, q in queues.items() if q}
    return rows
