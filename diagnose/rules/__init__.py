"""Forward chaining: findings to signs, signs to symptoms, symptoms to what they point to.

The only package that imports experta.  ``RuleBase.compile`` once per library and layout, then
``session()`` per job; ``PlainRules`` says the same without a network and looks ahead.
"""

from diagnose.rules.book import Relations
from diagnose.rules.compile import RuleBase
from diagnose.rules.conditions import words_of
from diagnose.rules.lookahead import (
    Answer,
    Missing,
    Short,
    what_would_change,
    why_not,
)
from diagnose.rules.outcome import (
    Caution,
    Dispute,
    Evidence,
    Ground,
    Outcome,
    Points,
    Step,
    SymptomAt,
    Trace,
    Verdict,
)
from diagnose.rules.plain import PlainRules, is_confirmed
from diagnose.rules.session import Session
from diagnose.rules.standing import disputes_among

__all__ = [
    "Answer",
    "Caution",
    "Dispute",
    "Evidence",
    "Ground",
    "Missing",
    "Outcome",
    "PlainRules",
    "Points",
    "Relations",
    "RuleBase",
    "Session",
    "Short",
    "Step",
    "SymptomAt",
    "Trace",
    "Verdict",
    "disputes_among",
    "is_confirmed",
    "what_would_change",
    "why_not",
    "words_of",
]
