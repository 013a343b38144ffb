"""A finished job made with the fuel-system model: one failure, at one part, of one grade.

The findings are those an engineer would bring: what is amiss first, then what is in order and
narrows it down.  Nothing here looks at how the job is ranked.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.casebook.watch import Seen, watch
from diagnose.fuel import Fault, FaultError, build
from diagnose.job.diagnosis import Bench
from diagnose.job.telling import told_in_words
from diagnose.model import FROM_THE_MODEL, GRADES, Case, CauseAt, Finding, Library, Physical
from diagnose.predict.severity import WEIGHTS, points_of

MOST_AMISS = 4
"""Findings out of the ordinary that a drawn job tells."""
MOST_NORMAL = 3
"""Findings in order that it tells beside them."""


@dataclass(frozen=True)
class Draw:
    """What is put into the model: the failure, how bad, and the seed of everything random."""

    cause: CauseAt
    grade: str
    seed: int


def draw(bench: Bench, what: Draw, name: str) -> Case | None:
    """Return the job ``name`` drawn on the layout of ``bench``; None where nothing is amiss.

    The same draw gives the same job.  None too where the failure has no physical form here.
    """
    cause = bench.library.causes[what.cause.cause]
    if cause.physical is None or what.cause.at not in bench.layout.parts:
        return None
    key = f"{bench.layout.id} {what.cause} {what.grade}"
    rng = np.random.default_rng([what.seed, zlib.crc32(key.encode())])
    value = how_bad(cause.physical, what.grade, rng)
    if value is None:
        return None
    fault = Fault(what.cause.at, cause.physical.change, value, cause.physical.unit)
    try:
        seen = watch(bench, build(bench.layout), fault, rng)
    except FaultError:
        return None
    findings = chosen(bench.library, seen, rng)
    if not findings:
        return None
    return Case(
        id=name,
        source=f"{FROM_THE_MODEL}, seed {what.seed}, grade {what.grade}",
        layout=bench.layout.id,
        reported=told_in_words(bench, findings[:1]),
        before=(),
        findings=findings,
        examination=_examination(bench, what.cause),
        causes=(what.cause,),
        family=cause.family,
        invented=True,
        title=f"{cause.title}, {what.grade}",
        notes=(
            f"Drawn with the fuel-system model by `diagnose cases draw`: {cause.physical.change} "
            f"{value:.3g} at {what.cause.at}. Invented layout; nothing of it was ever seen."
        ),
    )


def how_bad(physical: Physical, grade: str, rng: np.random.Generator) -> float | None:
    """Return a severity inside the grade: its own figure, or half-way to a neighbour."""
    points = points_of(physical)
    weight = WEIGHTS[GRADES.index(grade)] * np.asarray([p is not None for p in points])
    if not weight.any():
        return None
    found = points[int(rng.choice(len(points), p=weight / weight.sum()))]
    return None if found is None else float(found)


def chosen(library: Library, seen: Sequence[Seen], rng: np.random.Generator) -> tuple[Finding, ...]:
    """Return the findings a job would tell: up to four amiss, up to three in order.

    A hot day counts only where a cool one shows nothing.  What needs no tools comes first, one of
    each question; what is in order is the same question at the same place in another state, then
    another question there.  What needs tools is told when asked, unless there is nothing else.
    """
    mixed = [seen[i] for i in rng.permutation(len(seen))]
    cool = [s.finding for s in mixed if s.amiss and not _hot(s.finding)]
    amiss = cool or [s.finding for s in mixed if s.amiss]
    if not amiss:
        return ()

    def tools(f: Finding) -> bool:
        return bool(library.questions[f.question].tools)

    amiss.sort(key=tools)
    ahead = _one_of_each(amiss)
    told = [*ahead, *(f for f in amiss if f not in ahead)][:MOST_AMISS]
    order = sorted((s.finding for s in mixed if not s.amiss), key=lambda f: (_hot(f), tools(f)))
    same = {(f.question, f.at) for f in told}
    here = {f.at for f in told}
    beside = [f for f in order if (f.question, f.at) in same]
    beside += [f for f in order if f.at in here and (f.question, f.at) not in same]
    told += _one_of_each(beside)[:MOST_NORMAL]
    later = [replace(f, after="tested") if tools(f) else f for f in told[1:]]
    return (_with_the_others(told[0], seen), *later)


def _hot(f: Finding) -> bool:
    return f.state.settings.get("heat") == "hot"


def _one_of_each(findings: Sequence[Finding]) -> list[Finding]:
    out: dict[tuple[str, str], Finding] = {}
    for f in findings:
        out.setdefault((f.question, f.at), f)
    return list(out.values())


def _with_the_others(finding: Finding, seen: Sequence[Seen]) -> Finding:
    """Say that the others were normal, where every other place of the question was."""
    same = [
        s
        for s in seen
        if s.finding.question == finding.question
        and s.finding.state == finding.state
        and s.finding.at != finding.at
    ]
    tank = "tank" in finding.state.settings  # the setting of one engine says nothing of the rest
    if not same or tank or any(s.amiss for s in same):
        return finding
    return replace(finding, others_normal=True)


def _examination(bench: Bench, cause: CauseAt) -> tuple[Finding, ...]:
    """Return what the checks of the cause show: what they show when it is there.

    A check is made once, with the result named first; one that this layout cannot have is not.
    """
    out: dict[tuple[str, str], Finding] = {}
    for check in bench.library.causes[cause.cause].checks:
        made = bench.library.checks[check.check]
        for place in bench.places.related(cause.at, check.at, {}):
            if bench.layout.parts[place].kind in made.at and bench.places.allows(made, place):
                found = Finding(check.check, place, check.result, check=True)
                out.setdefault((check.check, place), found)
                break
    return tuple(out.values())
