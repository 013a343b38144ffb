"""When a part may be called found: a check confirms what fails there, likelier than not."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence

from diagnose.job.diagnosis import Bench, Step
from diagnose.job.wording import cause_words
from diagnose.model import CauseAt, Finding, agree

POSSIBLE = 0.05
"""Belief from which what would have shown the same is told beside what a check confirmed."""

FOUND = 0.5
"""Belief in what a check confirms at a part, from which it is called found: likelier than not."""


def found(bench: Bench, step: Step, rectified: Container[CauseAt] = ()) -> CauseAt | None:
    """Return the likeliest cause a check has confirmed and nobody rectified; None: there is none.

    What the checks confirm at one part counts together: where the error goes with a gauge, the
    gauge is found, however it may have failed.
    """
    checks = [f for f in step.findings if f.check]
    confirms: dict[str, float] = {}
    first: dict[str, CauseAt] = {}
    for cause, p in step.posterior.ranking() if checks else ():
        if cause not in rectified and confirmed(bench, cause, checks):
            confirms[cause.at] = confirms.get(cause.at, 0.0) + p
            first.setdefault(cause.at, cause)
    part = max(first, key=lambda at: confirms[at], default="")
    return first[part] if part and confirms[part] >= FOUND else None


def what_is_confirmed(bench: Bench, step: Step, cause: CauseAt) -> str:
    """Return in words what a check confirms: ``cause``, or the part of which it is likeliest."""
    if dict(step.posterior.ranking())[cause] >= FOUND:
        return cause_words(bench, cause)
    likeliest = bench.library.causes[cause.cause].title
    part = bench.places.label(cause.at)
    return f"{part}; how it failed is not told apart yet, likeliest {likeliest}"


def put_right(
    bench: Bench, rectified: Mapping[CauseAt, int], findings: Sequence[Finding]
) -> Mapping[CauseAt, int]:
    """Return what was mended, without what a check has found again since: that is not put right.

    ``rectified``: cause -> first epoch in which it should act no longer.
    """
    return {
        c: epoch
        for c, epoch in rectified.items()
        if not confirmed(bench, c, [f for f in findings if f.epoch >= epoch])
    }


def fits_also(
    bench: Bench, step: Step, cause: CauseAt, rectified: Container[CauseAt]
) -> list[CauseAt]:
    """Return the other causes that fit what the checks showed, likeliest first.

    They are those it confirms as well, and what shows the same result at the check that confirmed
    ``cause`` and is not unlikely: air bled from the line came in by a union or by the strainer's
    seal.
    """
    shown = [f for f in step.findings if f.check and confirmed(bench, cause, [f])]
    ranking = step.posterior.ranking()
    return [
        other
        for other, p in ranking
        if other != cause
        and other not in rectified
        and (
            confirmed(bench, other, step.findings)
            or (p >= POSSIBLE and _shows(bench, other, shown))
        )
    ]


def _shows(bench: Bench, cause: CauseAt, found: Iterable[Finding]) -> bool:
    """Return whether ``cause`` shows, of itself, what a check among ``found`` has shown."""
    each = [(c, at) for c, at in bench.at_checks(cause)]
    return any((f.question, f.at) == (c.check, at) and f.surely(c.result)
               for f in found for c, at in each)  # fmt: skip


def not_told_by(step: Step, causes: Container[CauseAt], amiss: Iterable[Finding]) -> list[Finding]:
    """Return what of ``amiss`` all ``causes`` are silent on by the knowledge: another gives it.

    What was told, and then read in the same state or one that it may have meant, is one thing.
    """
    told = [step.findings[e.finding] for e in step.outcome.evidence if e.cause in causes]
    return [f for f in amiss if f not in told and not any(_is_same(f, g) for g in told)]


def _is_same(told: Finding, read: Finding) -> bool:
    """Return whether ``read`` says again what was ``told``, in all of its state that was told."""
    what = [(f.question, f.places, f.value, f.one_of, f.check) for f in (told, read)]
    meant = agree(told.state.known(), read.state.known())
    return what[0] == what[1] and meant and told.state.stage in ("", read.state.stage)


def confirmed(bench: Bench, cause: CauseAt, findings: Iterable[Finding]) -> bool:
    """Return whether a check among ``findings`` showed what confirms ``cause``.

    A result that only narrows the search ('the error stays with the tank') confirms nothing.
    """
    shown = [f for f in findings if f.check]
    return any(
        (f.question, f.at) == (c.check, at) and f.surely(c.result)
        for c, at in bench.settling(cause)
        if c.result not in bench.library.checks[c.check].narrows
        for f in shown
    )
