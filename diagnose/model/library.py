"""All knowledge of one edition."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.model.causes import Cause
from diagnose.model.checks import Check, Hazard
from diagnose.model.questions import Effect, Question
from diagnose.model.symptoms import Symptom
from diagnose.model.words import Source, Words


@dataclass(frozen=True)
class Library:
    """All knowledge of one edition, frozen; ``edition`` is the hash of every file read."""

    root: str
    edition: str
    effects: Mapping[str, Effect]
    questions: Mapping[str, Question]
    symptoms: Mapping[str, Symptom]
    causes: Mapping[str, Cause]
    checks: Mapping[str, Check]
    hazards: Mapping[str, Hazard]
    sources: Mapping[str, Source]
    words: Words
