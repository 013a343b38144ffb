"""Shared by the fuel-model tests: shipped networks, hand-built layouts, random faults."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

import numpy as np

from diagnose.fuel import FITS, Fault, FaultError, Network, Settings, build, from_state
from diagnose.fuel.conditions import prepare
from diagnose.fuel.faults import apply
from diagnose.fuel.properties import HOUR, PSI
from diagnose.knowledge_files import load_layout
from diagnose.model import Layout, Limit, Line, Part
from diagnose.units import US_GALLON

LAYOUTS = Path(__file__).parents[2] / "knowledge" / "layouts"
MAIN = "four-engine-injection"
GPH = US_GALLON / HOUR
"""One US gallon an hour [m3/s]."""


@cache
def shipped(layout: str = MAIN) -> Network:
    """Return the network of a shipped layout."""
    return build(load_layout(LAYOUTS / f"{layout}.yaml"))


def state_of(network: Network, run_state: str, **figures: object) -> Settings:
    """Return the settings of one of the layout's own run states."""
    found = next(r for r in network.layout.run_states if r.id == run_state)
    return from_state(network, found.settings, found.stage, **figures)


def states_of(network: Network) -> list[Settings]:
    """Return the settings of all run states of the layout."""
    return [state_of(network, r.id) for r in network.layout.run_states]


def part(name: str, kind: str, **more: object) -> Part:
    """Return a part; figures in SI as ``numbers``, other fields of ``Part`` by name."""
    return Part(id=name, kind=kind, name=name, **more)  # type: ignore[arg-type]


def layout(
    parts: Sequence[Part],
    lines: Sequence[tuple[str, str, str, float, float, float]],
    limits: Mapping[str, tuple[float, float]] | None = None,
) -> Layout:
    """Return a hand-built layout; lines are (id, from, to, bore, length, loss), SI."""
    return Layout(
        id="hand-built",
        title="hand-built",
        invented=True,
        notes="",
        traits={},
        parts={p.id: p for p in parts},
        lines=tuple(Line(*line) for line in lines),
        limits={
            name: Limit(name, low, high, "pressure", "invented for a test", "")
            for name, (low, high) in (limits or {}).items()
        },
        run_states=(),
        edition="",
    )


def tank(name: str, height: float, depth: float = 2.0, capacity: float = 2.0) -> Part:
    """Return a tank with its bottom at ``height`` [m], without vent part (a clear opening)."""
    figures = {"height": height, "depth": depth, "capacity": capacity}
    return part(name, "tank", numbers=figures)


def joint(name: str, height: float = 0.0) -> Part:
    """Return a mere joint of pipes."""
    return part(name, "supply-line", numbers={"height": height})


GRADES: Mapping[str, tuple[float, ...]] = {
    "blocked": (0.4, 0.5, 0.8, 0.9, 0.97, 1.0),
    "leaks-out": (0.05, 0.3, 1.5, 5.0, 15.0),
    "leaks-through": (0.5, 3.0, 15.0, 60.0, 200.0),
    "output": (0.8, 0.55, 0.3, 0.02, 0.001, 1.5),
    "slip": (0.2, 0.7, 2.0),
    "dead": (1.0,),
    "relief-set": (0.2, 0.5, 0.75, 1.4, 2.0, 3.0),
    "stuck-open": (1.0,),
    "stuck-shut": (0.5, 0.8, 0.95, 1.0),
    "stuck-at": (0.1, 0.3, 0.5, 0.8),
    "air-in": (0.1, 0.3, 0.9, 3.0),
    "air-left": (0.2, 0.5, 0.95),
    "vent-blocked": (0.8, 0.95, 0.99, 1.0),
    "return-open": (0.0, 0.3, 2.0, 8.0),
    "heat": (10.0, 25.0, 60.0),
    "soak": (10.0, 25.0, 60.0),
    "vapour-pressure": (10.0, 20.0, 40.0),
    "float-level": (0.5, 0.8, 1.2, 2.0),
    "metering": (0.2, 0.5, 0.8, 1.4),
    "main-metering": (0.2, 0.5, 0.8, 1.4),
    "enrichment": (0.8, 1.2),
    "contents-loss": (3.0, 20.0),
    "drawn-off": (3.0, 20.0),
    "reads": (-0.3, 0.1),
    "scale": (0.8, 1.2),
    "switch-set": (0.2, 1.5),
}
"""Values of each physical change that the knowledge uses, mildest first within a direction."""


@cache
def possible(network: Network) -> tuple[tuple[str, str], ...]:
    """Return every (part, change) that has a physical form in this layout.

    A change may fit a kind of part and yet find nothing to act on (a bus without a pump); the
    model must then refuse it by name.
    """
    state = Settings()
    scratch = prepare(network, [state])
    out = []
    for p in network.layout.parts.values():
        for change, kinds in FITS.items():
            if p.kind not in kinds:
                continue
            try:
                apply(network, scratch, 0, state, Fault(p.id, change, GRADES[change][0], "mm2"))
            except FaultError as error:
                if change not in str(error):
                    raise
            else:
                out.append((p.id, change))
    return tuple(out)


def draw(network: Network, count: int, seed: int) -> tuple[list[Settings], list[tuple[Fault, ...]]]:
    """Return random states of the layout with one or two random faults each."""
    rng = np.random.default_rng(seed)
    states, choices = states_of(network), possible(network)
    rows, faults = [], []
    for _ in range(count):
        rows.append(states[rng.integers(len(states))])
        picked = []
        for at in rng.integers(len(choices), size=rng.integers(1, 3)):
            where, change = choices[at]
            picked.append(Fault(where, change, float(rng.choice(GRADES[change])), "mm2"))
        faults.append(tuple(picked))
    return rows, faults


def psig(pascal: float) -> float:
    """Return pounds per square inch."""
    return pascal / PSI
