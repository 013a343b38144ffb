"""The words of the project as frozen dataclasses: knowledge, layouts, findings and cases.

Nothing here reads files, reasons or prints.  Every item remembers the ``Origin`` (file, line,
column) it was read from, so that any conclusion can be traced back to the line that said it.
All quantities are SI floats; units live at the edges (``diagnose.units``).
"""

from diagnose.model.aeroplanes import (
    Aeroplane,
    ApprovedData,
    Card,
    Deferred,
    Done,
    Fitted,
    Modification,
    OwnLimit,
    Quirk,
    Uplift,
)
from diagnose.model.cases import FROM_THE_MODEL, TOLD, Case, CauseAt, Finding, Work
from diagnose.model.causes import (
    ALOFT,
    Cause,
    CauseCheck,
    Difference,
    Distorts,
    LookAlike,
    Physical,
    Produces,
    Provenance,
    shows_each_try,
)
from diagnose.model.checks import A_JOINT, DISTURBED, JOINTS, Check, Hazard
from diagnose.model.exercises import SetExercise
from diagnose.model.flights import Flight
from diagnose.model.layouts import COCKS, METERS, TANKS, Layout, Limit, Line, Part, RunState
from diagnose.model.library import Library
from diagnose.model.questions import Effect, Follows, ImpliedBy, Question
from diagnose.model.seeds import Seed
from diagnose.model.states import (
    AEROPLANE,
    ANY_STATE,
    DIMENSIONS,
    ELSEWHERE,
    GRADES,
    KNOWN_BY,
    RUNNING,
    STAGES,
    KnownBy,
    State,
    on_the_ground,
)
from diagnose.model.symptoms import (
    ONE_STATE,
    Combination,
    Condition,
    Literal,
    Symptom,
    literals_of,
)
from diagnose.model.words import EVIDENCE, Evidence, Source, SourceRef, TradeWord, Words

__all__ = [
    "AEROPLANE",
    "ALOFT",
    "ANY_STATE",
    "A_JOINT",
    "COCKS",
    "DIMENSIONS",
    "DISTURBED",
    "ELSEWHERE",
    "EVIDENCE",
    "FROM_THE_MODEL",
    "GRADES",
    "JOINTS",
    "KNOWN_BY",
    "METERS",
    "ONE_STATE",
    "RUNNING",
    "STAGES",
    "TANKS",
    "TOLD",
    "Aeroplane",
    "ApprovedData",
    "Card",
    "Case",
    "Cause",
    "CauseAt",
    "CauseCheck",
    "Check",
    "Combination",
    "Condition",
    "Deferred",
    "Difference",
    "Distorts",
    "Done",
    "Effect",
    "Evidence",
    "Finding",
    "Fitted",
    "Flight",
    "Follows",
    "Hazard",
    "ImpliedBy",
    "KnownBy",
    "Layout",
    "Library",
    "Limit",
    "Line",
    "Literal",
    "LookAlike",
    "Modification",
    "OwnLimit",
    "Part",
    "Physical",
    "Produces",
    "Provenance",
    "Question",
    "Quirk",
    "RunState",
    "Seed",
    "SetExercise",
    "Source",
    "SourceRef",
    "State",
    "Symptom",
    "TradeWord",
    "Uplift",
    "Words",
    "Work",
    "literals_of",
    "on_the_ground",
    "shows_each_try",
]
