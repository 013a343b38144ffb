"""The words of the project as frozen dataclasses: knowledge, layouts, findings and cases.

Nothing here reads files, reasons or prints.  Every item remembers the ``Origin`` (file, line,
column) it was read from, so that any conclusion can be traced back to the line that said it.
All quantities are SI floats; units live at the edges (``diagnose.units``).
"""

from diagnose.model.cases import Case, CauseAt, Finding, Work
from diagnose.model.causes import (
    Cause,
    CauseCheck,
    Distorts,
    LookAlike,
    Physical,
    Produces,
    Provenance,
)
from diagnose.model.checks import DISTURBED, Check, Hazard
from diagnose.model.layouts import Layout, Limit, Line, Part, RunState
from diagnose.model.library import Library
from diagnose.model.questions import Effect, Question
from diagnose.model.states import (
    AEROPLANE,
    ANY_STATE,
    DIMENSIONS,
    GRADES,
    KNOWN_BY,
    STAGES,
    KnownBy,
    State,
)
from diagnose.model.symptoms import Combination, Condition, Literal, Symptom
from diagnose.model.words import Source, SourceRef, TradeWord, Words

__all__ = [
    "AEROPLANE",
    "ANY_STATE",
    "DIMENSIONS",
    "DISTURBED",
    "GRADES",
    "KNOWN_BY",
    "STAGES",
    "Case",
    "Cause",
    "CauseAt",
    "CauseCheck",
    "Check",
    "Combination",
    "Condition",
    "Distorts",
    "Effect",
    "Finding",
    "Hazard",
    "KnownBy",
    "Layout",
    "Library",
    "Limit",
    "Line",
    "Literal",
    "LookAlike",
    "Part",
    "Physical",
    "Produces",
    "Provenance",
    "Question",
    "RunState",
    "Source",
    "SourceRef",
    "State",
    "Symptom",
    "TradeWord",
    "Words",
    "Work",
]
