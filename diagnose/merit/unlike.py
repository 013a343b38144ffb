"""Aeroplanes and damage other than those that fill the model's tables.

Spreads are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.fuel import (
    Network,
    Readings,
    Settings,
    build,
    classify,
    from_state,
    readings,
    solve,
)
from diagnose.model import GRADES, Layout, Physical
from diagnose.predict.severity import SCATTER, SHARES_LOST, on_the_way
from diagnose.predict.states import CAN

LINES = {"bore": 0.03, "length": 0.10}
"""Relative spread of lines between aeroplanes of one layout."""
FIGURES = frozenset({"displacement", "relief", "rated-pressure", "rated-flow", "shutoff"})
"""Figures of pumps and reliefs that differ too, and by how much:"""
FIGURE_SPREAD = 0.02
NOISE = 1.0
"""Error of every single reading, as a multiple of the scatter of the tables; so a sound aeroplane
shows up to 1 reading in 200 as not normal, which is about the background rate of the knowledge."""
FUEL = (273.15, 300.15)
"""Fuel in the tanks [K] where the run state does not make it hot."""
RVP = (38e3, 49e3)
"""Reid vapour pressure [Pa], the range of ASTM D910."""
HEIGHT = (0.0, 1200.0)
"""Pressure height of the aerodrome [m]."""
CONTENTS = (0.3, 0.8)
"""Contents as a share of capacity where the run state does not say."""


def unlike(layout: Layout, rng: np.random.Generator) -> Layout:
    """Return another aeroplane of the same layout: lines and pump figures differ a little."""

    def about(value: float, spread: float) -> float:
        return float(value * math.exp(spread * rng.standard_normal()))

    lines = tuple(
        replace(x, bore=about(x.bore, LINES["bore"]), length=about(x.length, LINES["length"]))
        for x in layout.lines
    )
    parts = {
        k: replace(
            p,
            numbers={
                n: about(v, FIGURE_SPREAD) if n in FIGURES else v for n, v in p.numbers.items()
            },
        )
        for k, p in layout.parts.items()
    }
    return replace(layout, lines=lines, parts=parts)


@dataclass(frozen=True)
class Taken:
    """The state a reading is taken in; ``can``: at an open union above a can, engines stopped."""

    stage: str
    settings: tuple[tuple[str, str], ...]
    can: bool


class Aeroplane:
    """One aeroplane on one day: its network, its settings, and what it reads sound."""

    def __init__(self, layout: Layout, states: Sequence[Taken], rng: np.random.Generator) -> None:
        """Draw the aeroplane and the day, and solve it sound in ``states``."""
        self.network: Network = build(unlike(layout, rng))
        rvp, height = float(rng.uniform(*RVP)), float(rng.uniform(*HEIGHT))
        fuel, share = float(rng.uniform(*FUEL)), float(rng.uniform(*CONTENTS))
        self.settings: list[Settings] = []
        for s in states:
            settings = dict(s.settings)
            figures: dict[str, object] = {"rvp": rvp, "height": height}
            if settings.get("heat") != "hot":
                figures["temperature"] = fuel
            if "level" not in settings:
                figures["levels"] = {t.id: share for t in self.network.tanks}
            if s.can:
                figures |= {"power": {e.id: CAN for e in self.network.engines}, "rising": False}
            self.settings.append(from_state(self.network, settings, s.stage, **figures))
        found = solve(self.network, self.settings)
        self.sound: Readings = readings(self.network, found)
        self.found = found
        self.words = classify(self.network, found, self.sound, self.sound)


def severity_at(physical: Physical, grade: int, offset: float) -> float | None:
    """Return the damage ``offset`` of a step (-.5 .. .5) away from a grade's own figure.

    Steps are even in what is left open where a share is lost, in ratio where the figure has a
    sign, else in the figure.  Beyond the outer grades, and towards a grade that is not given, the
    grade's own figure stands.  None where the grade itself is not given.
    """
    here = physical.grades.get(GRADES[grade])
    if here is None:
        return None
    other = grade + (1 if offset > 0 else -1)
    there = physical.grades.get(GRADES[other]) if 0 <= other < len(GRADES) else None
    if there is None:
        return float(here)
    return on_the_way(float(here), float(there), abs(offset), physical.change in SHARES_LOST)


def noisy(read: Readings, rng: np.random.Generator) -> Readings:
    """Return ``read`` with an error of its own on every reading."""
    values = dict(read.values)
    for name, sigma in SCATTER.items():
        if name in values:
            error = NOISE * sigma * rng.standard_normal(values[name].shape)
            values[name] = values[name] * (1.0 + error)
    return Readings(values, read.places)
