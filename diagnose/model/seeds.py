"""Seed questions of an interview: published facts whose answers are known."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.errors import NOWHERE, Origin


@dataclass(frozen=True)
class Seed:
    """A question with its true answer, in the ``unit`` it is asked in; ``source`` an id."""

    id: str
    ask: str
    unit: str
    answer: float
    source: str
    origin: Origin = NOWHERE
