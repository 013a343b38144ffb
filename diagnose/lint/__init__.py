"""Proves that the knowledge is sound: every finding has a code, a place and an explanation.

One module for each group of findings; each code is documented where it is defined.  ``lint`` looks
through a folder, ``look`` through a library in memory; ``lint-waivers.yaml`` beside the knowledge
lets single findings stand, each with its reason.
"""

from diagnose.lint import (  # the modules register their codes when they are imported
    against,
    alike,
    beside_acts,
    fitting,
    loading,
    mending,
    model,
    proofs,
    rows,
    rules,
    safety,
    shared,
    texts,
    twice,
    unsafe_acts,
    unused,
    wording,
)
from diagnose.lint.base import Base
from diagnose.lint.codes import Code, Found, all_codes
from diagnose.lint.run import Result, chosen, lint, look
from diagnose.lint.waivers import Waiver, read_waivers

GROUPS = (
    loading,
    rules,
    against,
    rows,
    proofs,
    unused,
    twice,
    alike,
    texts,
    shared,
    wording,
    safety,
    unsafe_acts,
    mending,
    beside_acts,
    fitting,
    model,
)
"""The modules with findings, in the order in which they are looked for."""

__all__ = [
    "GROUPS",
    "Base",
    "Code",
    "Found",
    "Result",
    "Waiver",
    "all_codes",
    "chosen",
    "lint",
    "look",
    "read_waivers",
]
