"""A figure as read on its gauge, brought to where the model computes it.

A gauge that stands above its tapping shows less by the weight of the fuel in its line, and a gauge
with an error card of its own is put right by it.  Both are of this layout or this aeroplane, so
they are taken off the figure; the spread of the model stays what it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.fuel import build
from diagnose.fuel.properties import DENSITY_15C, GRAVITY
from diagnose.knowledge_files.cutting import card_of
from diagnose.model import Card, Layout, Question


@dataclass(frozen=True)
class Gauge:
    """What lies between a figure as read and the place the model has it at.

    height: of the gauge above its tapping [m], negative below it.  card: its own error card.
    """

    height: float
    card: Card | None

    @property
    def rise(self) -> float:
        """Return the pressure of the fuel standing between tapping and gauge [Pa]."""
        return DENSITY_15C * GRAVITY * self.height

    @property
    def sigma(self) -> float:
        """Return the standard deviation of the card's own error, SI (JCGM 100:2008, factor 2)."""
        return 0.0 if self.card is None or self.card.error is None else self.card.error / 2.0

    def true(self, read: float) -> float:
        """Return the figure at the tapping for one ``read``, both SI."""
        return (self.card.true(read) if self.card else read) + self.rise


def heights_above(layout: Layout) -> Mapping[str, float]:
    """Return how high each pressure gauge stands above the metering inlet it reads [m].

    Only gauges whose height the layout states are in it.
    """
    stated = [p for p in layout.parts.values() if p.kind == "pressure-gauge"
              and "height" in p.numbers]  # fmt: skip
    if not stated:
        return {}
    network = build(layout)
    inlet = {
        e.id: float(network.height[network.meters[e.meter].node])
        for e in network.engines
        if e.meter >= 0
    }
    return {p.id: p.numbers["height"] - inlet[p.of] for p in stated if p.of in inlet}


def gauge_of(question: Question, place: str, layout: Layout, heights: Mapping[str, float]) -> Gauge:
    """Return the gauge that ``question`` is read on at ``place``; a bare one where none is known.

    ``heights``: as ``heights_above`` gives them.
    """
    parts = layout.parts
    here = [
        h
        for g, h in heights.items()
        if parts[g].of == place and parts[g].kind in question.instruments
    ]
    return Gauge(here[0] if len(here) == 1 else 0.0, card_of(question, layout, place))
