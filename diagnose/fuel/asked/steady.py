"""One state solved, sound and with a cause, and the ways the fuel takes in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from diagnose.fuel import properties as fp
from diagnose.fuel.asked.setup import Setup
from diagnose.fuel.classes import classify, places_of
from diagnose.fuel.reach import downstream
from diagnose.fuel.readings import Readings, readings
from diagnose.fuel.settings import NOT_RUNNING
from diagnose.fuel.solve import Solution, solve
from diagnose.model import Limit

STILL = 0.05e-3 / 3600.0
"""Flow below which fuel is said to stand still [m3/s]: 0.05 l/h, the leak of a shut cock."""

_KINDS = {
    "bypass": "bypass of", "standing": "through the stopped", "return": "vapour return",
}  # fmt: skip


@dataclass(frozen=True)
class Solved:
    """A setup solved: row 0 sound, row 1 with the cause, if there is one."""

    setup: Setup
    solution: Solution
    found: Readings
    words: Mapping[str, Any]  # reading -> class (rows, places)

    @property
    def rows(self) -> int:
        """Return how many rows there are."""
        return len(self.solution.converged)

    @property
    def last(self) -> int:
        """Return the row that is drawn: with the cause, else the sound one."""
        return self.rows - 1

    def at(self, reading: str, place: str, row: int) -> float:
        """Return one reading; NaN in a row without a steady state."""
        return float(self.found.at(reading, place)[row])

    def word(self, reading: str, place: str, row: int) -> str:
        """Return the class of one reading, '' where there is none."""
        places = places_of(self.found, reading)
        return str(self.words[reading][row, places.index(place)]) if place in places else ""

    def gauge(self, node: int, row: int) -> float:
        """Return the pressure at a node against the air outside [Pa]."""
        c = self.solution.conditions
        return float(self.solution.pressure[row, node] - c.ambient[row, 0])

    def margin(self, node: int, row: int) -> float:
        """Return the pressure at a node above the vapour pressure there [Pa]."""
        c, p = self.solution.conditions, self.solution.pressure[row, node]
        return float(fp.vapour_margin(p, c.temperature[row, node], c.rvp[row, node]))


def solved(setup: Setup) -> Solved:
    """Solve a setup, sound and with its cause."""
    rows = [(), setup.faults] if setup.faults else [()]
    solution = solve(setup.network, [setup.settings], rows)
    found = readings(setup.network, solution)
    sound = Readings({k: np.repeat(v[:1], len(rows), axis=0) for k, v in found.values.items()},
                     found.places)  # fmt: skip
    words = classify(setup.network, solution, found, sound)
    return Solved(setup, solution, found, words)


def node_label(setup: Setup, node: int) -> str:
    """Return what a node of the model is called: the part, and which end of it."""
    name, _, end = setup.network.nodes[node].partition(".")
    words = {"in": "inlet of ", "out": "outlet of ", "": "outlet of "}
    return words.get(end, "") + setup.label(name)


@dataclass(frozen=True)
class Passage:
    """A way fuel can take between two nodes (``b`` -1 = overboard or to an engine's primer)."""

    label: str
    role: str
    a: int
    b: int
    parts: tuple[str, ...]
    kind: str  # element kind and number in it, for the flow
    number: int


def passages(setup: Setup) -> tuple[Passage, ...]:
    """Return every way of the fuel in the network, in the order of its elements."""
    network, out = setup.network, []
    air = len(network.nodes)
    for k, run in enumerate(network.runs):
        parts = tuple(dict.fromkeys(p.part for p in run.pieces if p.part in network.layout.parts))
        names = [setup.label(p) for p in parts]
        ends = f"{_end(setup, run.a)} to {_end(setup, run.b)}"
        if run.role in ("bypass", "standing"):
            text = f"{_KINDS[run.role]} {names[0]}"
        elif run.role == "return":
            text = f"vapour return, {ends}"
        else:
            text = f"{ends}, by {names[-1]}" if run.b == air and names else ends
        out.append(Passage(text, run.role, run.a, -1 if run.b == air else run.b, parts, "runs", k))
    for k, pump in enumerate(network.boosters):
        out.append(Passage(setup.label(pump.part), "pump", pump.a, pump.b, (pump.part,),
                           "boosters", k))  # fmt: skip
    for k, engine_pump in enumerate(network.pumps):
        label = setup.label(engine_pump.part)
        ends_of = (engine_pump.a, engine_pump.b, (engine_pump.part,))
        out.append(Passage(label, "pump", *ends_of, "pumps", k))
        back = (engine_pump.b, engine_pump.a, (engine_pump.part,))
        out.append(Passage(f"{label}, back through its relief", "relief", *back, "reliefs", k))
    for k, meter in enumerate(network.meters):
        text = f"{setup.label(meter.part)} to {setup.label(meter.engine)}"
        out.append(Passage(text, "burn", meter.node, -1, (meter.part,), "meters", k))
    return tuple(out)


def _end(setup: Setup, node: int) -> str:
    if node == len(setup.network.nodes):
        return "overboard or primer"
    return setup.label(setup.network.nodes[node].partition(".")[0])


def flow_of(done: Solved, passage: Passage, row: int) -> float:
    """Return the flow of a passage [m3/s], positive from ``a`` to ``b``."""
    return float(done.solution.part(passage.kind)[row, passage.number])


def lost(done: Solved) -> list[tuple[str, list[float]]]:
    """Return where fuel leaves the aeroplane, and how much of it in each row [m3/s]."""
    setup, rows = done.setup, range(done.rows)
    holes = done.solution.part("leaks")
    out = [(f"lost at the {node_label(setup, node)}", [float(holes[row, node]) for row in rows])
           for node in range(len(setup.network.nodes))]  # fmt: skip
    for tank in setup.network.tanks:
        over = [done.at("overboard-flow", tank.id, row) - float(holes[row, tank.node])
                for row in rows]  # fmt: skip
        out.append((f"lost over the vent or cap of the {setup.label(tank.id)}", over))
    return [(label, flows) for label, flows in out if any(f > STILL for f in flows)]


def limit_here(done: Solved, engine: str) -> Limit | None:
    """Return the limit that holds in this state, if one is entered.

    It is one of the metering pressure, with the union open into a can one of the delivery.
    """
    limits = done.setup.places.layout.limits
    s = done.setup.settings
    power = s.power.get(engine, "none")
    if power == "can":
        return limits.get("delivery")
    if power not in NOT_RUNNING:
        return limits.get("fuel-pressure")
    if power != "none" or not s.boosters:
        return None
    kinds = {done.setup.network.layout.parts[b].kind for b in s.boosters}
    return limits.get("hand-pump-pressure" if "hand-pump" in kinds else "booster-pressure")


def against(limit: Limit, done: Solved, engine: str, row: int) -> str:
    """Return how a row stands to its limit; '' in a row without a solution.

    The classes of the readings are no answer to that: they hold a row against the sound one, and a
    sound aeroplane with its cock shut is not low for them.
    """
    word = done.word("metering-pressure", engine, row)
    into_can = done.setup.settings.power.get(engine) == "can"
    value = done.at("flow" if into_can else "metering-pressure", engine, row)
    stopped = done.word("engine-running", engine, row) == "stops"
    if not word or (word == "hunting" and not stopped):
        return word  # a needle swings only while an engine runs
    if limit.low is not None and value < limit.low:
        return "low"
    return "high" if limit.high is not None and value > limit.high else "normal"


def boiling(done: Solved, row: int) -> list[str]:
    """Return the tanks in which fuel boils as they stand, vented and still."""
    return [t.id for t in done.setup.network.tanks if done.margin(t.node, row) < 0.0]


def unusable(done: Solved) -> tuple[list[str], list[str]]:
    """Return the tanks set to feed an engine that hold no more than their unusable fuel.

    First those that fuel is drawn from all the same, then those whose engine goes short of it.
    """
    network, settings = done.setup.network, done.setup.settings
    drawn: list[str] = []
    dry: list[str] = []
    for tank in network.tanks:
        if settings.levels.get(tank.id, 0.5) * tank.capacity > tank.unusable:
            continue
        reached = downstream(network, settings, tank.node)
        fed = [m.engine for m in network.meters if m.node in reached]
        runs = {done.word("engine-running", e, done.last) for e in fed}
        if fed and done.at("tank-rate", tank.id, done.last) < -STILL:
            drawn.append(tank.id)
        elif runs & {"stops", "fades"}:
            dry.append(tank.id)
    return drawn, dry
