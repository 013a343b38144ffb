"""When a cause may be called found: a check confirms it, and it is likelier than not."""

from __future__ import annotations

from collections.abc import Container, Iterable

from diagnose.job.diagnosis import Bench, Step
from diagnose.model import CauseAt, Finding

FOUND = 0.5
"""Belief in a cause that a check confirms, from which it is called found: likelier than not."""


def found(bench: Bench, step: Step, rectified: Container[CauseAt] = ()) -> CauseAt | None:
    """Return the cause a check has confirmed, not yet rectified; None while there is none."""
    for cause, p in step.posterior.ranking():
        if p < FOUND:
            return None
        if cause not in rectified and confirmed(bench, cause, step.findings):
            return cause
    return None


def fits_also(
    bench: Bench, step: Step, cause: CauseAt, rectified: Container[CauseAt] = ()
) -> list[CauseAt]:
    """Return the other causes that what the checks showed confirms as well, likeliest first."""
    return [
        other
        for other, _ in step.posterior.ranking()
        if other != cause and other not in rectified and confirmed(bench, other, step.findings)
    ]


def confirmed(bench: Bench, cause: CauseAt, findings: Iterable[Finding]) -> bool:
    """Return whether a check among ``findings`` showed what confirms ``cause``.

    A result that only narrows the search ('the error stays with the tank') confirms nothing.
    """
    known = bench.library.causes.get(cause.cause)
    if known is None:
        return False
    checks = [f for f in findings if f.check]
    return any(
        f.question == c.check
        and f.surely(c.result)
        and f.at in bench.places.related(cause.at, c.at, {})
        for c in known.checks
        if c.result not in bench.library.checks[c.check].narrows
        for f in checks
    )
