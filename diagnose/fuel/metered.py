"""Changes of what a metering unit meters: float, jets, enrichment, mixture control."""

from __future__ import annotations

from collections.abc import Container

from diagnose.fuel.job import SQUARE_MM, Job
from diagnose.fuel.settings import POWERS


def float_level(j: Job) -> None:
    """Let the chamber stand at that share of its level: low it meters less, high it runs over."""
    for m in j.meters_in_use():
        rich = j.value - 1.0
        j.c.demand[j.row, m] *= 1.0 + (0.5 * rich if rich > 0.0 else rich)
        j.c.flood[j.row, m] += max(rich, 0.0) * SQUARE_MM


def metering(j: Job, powers: Container[str] = POWERS) -> None:
    """Meter that share of the fuel, at the ``powers`` at which what is at fault meters it."""
    for m in j.meters_in_use():
        if j.state.power.get(j.network.meters[m].engine, "none") in powers:
            j.c.demand[j.row, m] *= j.value
            j.c.capacity[j.row, m] *= min(max(j.value, 1e-6), 1.0)


_ENRICHED = ("run-up", "take-off")
"""Powers at which the enrichment valve stands open (FAA-H-8083-32, chapter 2)."""


def main_metering(j: Job) -> None:
    """Change what the main system meters; an idling engine is fed by the idle jet instead.

    Source: FAA-H-8083-32, chapter 2, idling system.
    """
    metering(j, ("cruise", *_ENRICHED))


def enrichment(j: Job) -> None:
    """Leave the enrichment valve shut (below 1) or open (above 1) where it should be the other."""
    metering(j, _ENRICHED if j.value < 1.0 else ("idle", "cruise"))
