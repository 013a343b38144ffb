"""Exercises that an instructor sets: a fault hidden in a simulated aeroplane, and its report."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.errors import NOWHERE, Origin
from diagnose.model.cases import CauseAt, Finding


@dataclass(frozen=True)
class SetExercise:
    """One exercise file.

    told: the report as findings, so that the aeroplane answers as it was told.  tools: what is at
    hand, None for everything.  seed: of everything that is drawn, so that several apprentices have
    the same aeroplane.
    """

    id: str
    title: str
    layout: str
    cause: CauseAt
    grade: str
    reported: str
    told: tuple[Finding, ...]
    seed: int
    hands: int = 2
    may_run: bool = True
    tools: tuple[str, ...] | None = None
    invented: bool = False
    notes: str = ""
    origin: Origin = NOWHERE
    cause_origin: Origin = NOWHERE
