"""Exercises on the shipped layouts, worked without a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from diagnosis.shipped import bench

from diagnose.job.keeping.finding_data import finding_as_json
from diagnose.model import CauseAt, Finding, State
from diagnose.planner import Reading
from diagnose.training.attempt import Attempt, Unkept
from diagnose.training.hidden import Hidden
from diagnose.training.simulated import Simulated

SINGLE = "low-wing-single"
STRAINER = CauseAt("strainer-plugged", "strainer")
PRESSURE_LOW = Finding(
    "fuel-pressure", "engine", "low", State("run-up", {"booster": "off"}), known_by="told"
)
PRIMER = CauseAt("primer-not-locked", "primer")
PRIMER_TOLD = (
    Finding("primer-locked", "primer", "not-locked", known_by="told"),
    Finding("mixture-signs", "engine", "rich", State("idle", {"booster": "off"}), known_by="told"),
)
"""A report that all but says it, so that the planner's own route is short."""


def plane(
    cause: CauseAt = STRAINER,
    grade: str = "severe",
    seed: int = 7,
    layout: str = SINGLE,
    told: Sequence[Finding] = (),
) -> Simulated:
    """Return a simulated aeroplane with ``cause`` in it."""
    return Simulated(bench(layout), Hidden(cause, grade, seed), told)


def attempt(
    simulated: Simulated,
    told: Sequence[Finding] = (PRESSURE_LOW,),
    hands: int = 2,
    may_run: bool = True,
    tools: Sequence[str] | None = None,
) -> Attempt:
    """Return an attempt on ``simulated`` with what was ``told``, kept in memory."""
    opening = {
        "n": 1,
        "event": "opened",
        "layout": simulated.bench.layout.id,
        "edition": simulated.bench.library.edition,
        "reported": "Pressure low on the run-up.",
        "told": [finding_as_json(f) for f in told],
        "hands": hands,
        "may_run": may_run,
        "tools": tools,
    }
    return Attempt(simulated.bench, simulated, Unkept([opening]))


def reading(question: str, place: str, state: str = "", layout: str = SINGLE) -> Reading:
    """Return a reading of the layout by its names."""
    wanted = (question, place, state)
    return next(r for r in bench(layout).planner.catalogue.readings if r.key == wanted)


def made_safe(a: Attempt) -> None:
    """Look at every gate and put everything in place for a run."""
    for gate in a.bench.planner.catalogue.gates:
        a.ask(gate)
    a.confirm()
