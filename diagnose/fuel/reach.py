"""Where fuel goes on from a node as the cocks stand: for heat, volatile fuel and air in a line."""

from __future__ import annotations

from functools import lru_cache

from diagnose.fuel.network import Network
from diagnose.fuel.settings import Settings, joined


def downstream(network: Network, state: Settings, start: int) -> frozenset[int]:
    """Return the nodes that fuel from ``start`` can reach, pumps included; itself among them."""
    return _walk(network, _open_runs(network, state), start, True)


def pumps_fed(network: Network, state: Settings, start: int) -> tuple[int, ...]:
    """Return the pumps that draw from ``start``: engine pumps, then boosters after all of them.

    A number below the count of engine pumps is one of those; the rest are boosters.  The walk
    goes on past a booster (it may stand still, its bypass open) and ends at an engine pump.
    """
    reached = _walk(network, _open_runs(network, state), start, False)
    pumps = [i for i, p in enumerate(network.pumps) if p.a in reached]
    count = len(network.pumps)
    boosters = [count + i for i, p in enumerate(network.boosters) if p.a in reached]
    return tuple(pumps + boosters)


def _open_runs(network: Network, state: Settings) -> frozenset[int]:
    """Return the runs that no cock or valve shuts in this state."""
    shut = set()
    for gate in network.gates:
        if gate.kind == "cock":
            opened = gate.pair in joined(network, state, gate.part)
        else:
            opened = gate.kind != "valve" or gate.part in state.open_valves
        if not opened:
            shut.add(gate.run)
    return frozenset(range(len(network.runs))) - shut


@lru_cache(maxsize=4096)
def _walk(
    network: Network, runs: frozenset[int], start: int, through_pumps: bool
) -> frozenset[int]:
    seen, ahead = {start}, [start]
    ends = [(network.runs[i].a, network.runs[i].b, network.runs[i]) for i in sorted(runs)]
    engine = {p.a for p in network.pumps}
    air = len(network.nodes)
    while ahead:
        node = ahead.pop()
        if node in engine and not through_pumps:
            continue
        onward = [b for a, b, run in ends if a == node and run.role != "return"]
        onward += [a for a, b, run in ends if b == node and run.both_ways]
        onward += [p.b for p in network.boosters if p.a == node]
        onward += [p.b for p in network.pumps if p.a == node]
        for other in onward:
            if other != air and other not in seen:
                seen.add(other)
                ahead.append(other)
    return frozenset(seen)
