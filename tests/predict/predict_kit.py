"""A small layout with a handful of causes, solved once for the tests of the predictions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from diagnosis.shipped import KNOWLEDGE, library

from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.model import CauseAt, Difference, Evidence, Layout, Library
from diagnose.places import Places
from diagnose.predict import Predictions, Tables, compile_tables, solvable
from diagnose.predict.merge import patient_causes
from diagnose.replay.study import without

LAYOUT = "low-wing-single"
FEW = (
    "strainer-plugged", "engine-pump-worn", "engine-pump-drive-sheared", "outlet-screen-blocked",
    "pump-relief-set-low", "pump-relief-set-high", "suction-draws-air", "hot-soak-vapour",
    "vent-nest", "sender-float-sunk", "pressure-gauge-reads-low", "booster-dead",
)  # fmt: skip
"""Causes solved here."""


@cache
def places() -> Places:
    """Return the places of the test layout."""
    return Places(load_layout(list_layouts(KNOWLEDGE)[LAYOUT]), library().words.unstated)


@cache
def few() -> tuple[CauseAt, ...]:
    """Return the few causes at the parts that can have them."""
    return tuple(c for c in places().cause_instances(library()) if c.cause in FEW)


@cache
def tables() -> Tables:
    """Return the tables of the few causes."""
    return compile_tables(solvable(library(), places().layout, few()))


def predictions(evidence: Evidence = "both") -> Predictions:
    """Return the predictions of the few causes in one mode."""
    read = {effect for effect, _ in tables().blocks}
    effects = {e.id: e for e in library().effects.values() if e.id in read}
    patient = patient_causes(library(), tables().causes)
    return Predictions(tables(), effects, places().unstated, evidence, patient)


SMALL = (LAYOUT, "radial-single-hand-pump", "high-wing-single")
"""Layouts that solve quickly."""


@cache
def small_layouts() -> dict[str, Layout]:
    """Return the small layouts by id."""
    return {name: load_layout(list_layouts(KNOWLEDGE)[name]) for name in SMALL}


@cache
def _few_on(layout: str) -> Tables:
    on = Places(small_layouts()[layout], library().words.unstated)
    causes = tuple(c for c in on.cause_instances(library()) if c.cause in FEW)
    return compile_tables(solvable(library(), on.layout, causes))


def few_on(where: Places) -> Predictions:
    """Return the predictions of the few causes on a small layout."""
    found = tables() if where.layout.id == LAYOUT else _few_on(where.layout.id)
    read = {effect for effect, _ in found.blocks}
    effects = {e.id: e for e in library().effects.values() if e.id in read}
    return Predictions(
        found, effects, where.unstated, "both", patient_causes(library(), found.causes)
    )


@cache
def only_few() -> Library:
    """Return the shipped library with nothing but the few causes in it."""
    few = without(library(), set(library().causes) - set(FEW))
    return replace(few, differences=_of_few(few.differences), unsaid=_of_few(few.unsaid))


def _of_few(listed: Iterable[Difference]) -> tuple[Difference, ...]:
    kept = (replace(d, causes=tuple(c for c in d.causes if c in FEW)) for d in listed)
    return tuple(d for d in kept if d.causes)
