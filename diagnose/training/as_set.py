"""Run states as they are set up: where none is named, the tank that feeds in normal running feeds.

People say 'on the run-up' and leave the tank out; the knowledge then averages over the tanks.  An
aeroplane cannot: its cocks stand somewhere.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import lru_cache

from diagnose.fuel import build
from diagnose.fuel.settings import selecting
from diagnose.job.diagnosis import Bench
from diagnose.model import RUNNING, State
from diagnose.places.graph import joint_positions
from diagnose.planner import Key, Reading

_FLOWS = ("cranking", *RUNNING)
"""Powers at which an engine draws fuel."""


def state_as_set(bench: Bench, place: str, state: State) -> State:
    """Return ``state`` with the tank that feeds ``place``, where it is an engine drawing fuel.

    Unchanged where a tank is named, the cross-feed is open, or several tanks feed in turn.
    """
    known = state.known()
    tank = _usual_tanks(bench).get(place, "")
    drawing = known.get("power") in _FLOWS and known.get("crossfeed") != "open"
    if not tank or not drawing or "tank" in state.settings:
        return state
    return replace(state, settings={**state.settings, "tank": tank})


def as_set(bench: Bench, reading: Reading) -> Reading:
    """Return ``reading`` in its run state as set up."""
    run, state = reading.run_state, state_as_set(bench, reading.place, reading.state)
    if run is None or state is reading.state:
        return reading
    return replace(reading, run_state=replace(run, settings=state.settings))


def read_alike(bench: Bench, asked: Collection[Key]) -> frozenset[Key]:
    """Return the readings ``asked`` and those that are one with one of them as it is set up."""
    slots = _slots(bench)
    had = {slots.get(key, key) for key in asked}
    return frozenset(key for key, slot in slots.items() if slot in had) | frozenset(asked)


@lru_cache(maxsize=4)
def _slots(bench: Bench) -> Mapping[Key, tuple[object, ...]]:
    """Return reading -> question, place and run state as it is set up."""
    out: dict[Key, tuple[object, ...]] = {}
    for r in bench.planner.catalogue.readings:
        known = state_as_set(bench, r.place, r.state).known()
        out[r.key] = (r.question, r.place, r.state.stage, *sorted(known.items()))
    return out


@lru_cache(maxsize=4)
def _usual_tanks(bench: Bench) -> Mapping[str, str]:
    """Return engine -> the tank, or joint position, that its selector stands at normally."""
    layout, places = bench.layout, bench.places
    network, parts = build(layout), layout.parts
    joint = joint_positions(layout)
    out: dict[str, str] = {}
    for engine in places.engines:
        found = []
        for tank in (t.id for t in network.tanks):
            way = places.path(tank, engine, {"crossfeed": "shut"})
            cocks = [p for p in way if parts[p].kind == "selector-cock"]
            together = [parts[c].normal for c in cocks if parts[c].normal in joint]
            stands = all(parts[c].normal == n for c, n in selecting(network, tank).items())
            if way and cocks and (together or stands):
                found.append(together[0] if together else tank)
        if len(set(found)) == 1:
            out[engine] = found[0]
    return out
