"""Causes that no case proves, and proofs by cases that there are not.

Whether a proof holds is not looked at here: that takes the replay of ``diagnose cases prove``.
"""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds

UNPROVED = code(
    "CAUSE-04",
    "cause without a proof",
    means="A cause names no case that it fires or is settled on, or none it stays silent on.",
    matters="Nobody has seen it found where it is, or left alone where it is not.",
    do="Write a job of it into cases/invented, then 'diagnose cases prove NAME --write'.",
)
NO_CASE = code(
    "CAUSE-05",
    "proof by a case that is not there",
    means="The proof of a cause names a case that is neither shipped nor in 'cases' beside the "
    "knowledge.",
    matters="The proof proves nothing, and nobody notices before it is replayed.",
    do="Correct the name, or let 'diagnose cases prove NAME --write' choose anew.",
)


@finds(UNPROVED, NO_CASE, doing="causes: their proofs")
def proofs(base: Base) -> Iterator[Found]:
    """Yield what the proofs of the causes lack."""
    for name, cause in base.library.causes.items():
        item = f"causes/{name}"
        if not cause.fires_on and not cause.settled_on:
            text = "no case fires or settles it; write a job of it and let the proof be chosen"
            yield base.found(UNPROVED, item, text, cause.origin, "proof", "fires-on")
        if not cause.silent_on:
            text = (
                "no case of another cause leaves it silent; let the proof be chosen, or write one"
            )
            yield base.found(UNPROVED, item, text, cause.origin, "proof", "silent-on")
        for side, cases in cause.proofs.items():
            for number, case in enumerate(cases):
                if base.cases is not None and case not in base.cases:
                    text = f"'{case}' is not a case; correct the name or let the proof be chosen"
                    yield base.found(NO_CASE, item, text, cause.origin, "proof", side, number)
