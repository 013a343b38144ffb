"""Which faults feel alike on a run: the triads of the interview, out of the knowledge itself.

Two causes are told apart by a reading if its answers differ by a tenth (``planner.apart``).  Here
only what an engine run shows without tools counts, because that is what an expert feels.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.capture.asking import NEW, Ground, subject
from diagnose.capture.told import Told
from diagnose.job.diagnosis import Bench
from diagnose.model import CauseAt
from diagnose.planner.apart import answers_of, differ

TRIADS = 3
Triad = tuple[str, str, str]
"""Three causes by id."""


def nearest(bench: Bench, cause: CauseAt) -> list[tuple[str, float]]:
    """Return the other fuel causes, the most alike on a run first, each with how far it lies apart.

    The distance is that of the reading that tells most, 0 to 1; what nothing tells apart, the
    ambiguity group of ``cause`` on this layout, has less than a tenth.  Causes that no run shows
    are left out.
    """
    readings = [
        r
        for r in bench.planner.catalogue.readings
        if r.is_run and not bench.library.questions[r.question].tools
    ]
    fuel = [c for c in bench.net.instances if not bench.library.causes[c.cause].outside]
    answers = answers_of(bench.net, fuel, readings)
    shown = {c for _, _, by in answers for c in by}
    best: dict[str, float] = {}
    for other in fuel:
        if other.cause != cause.cause and other in shown:
            gap = max((g for _, g in differ(answers, cause, other)), default=0.0)
            best[other.cause] = min(gap, best.get(other.cause, 1.0))
    return sorted(best.items(), key=lambda x: (round(x[1], 6), x[0]))


def triads(told: Told, ground: Ground) -> Sequence[Triad]:
    """Return up to three triads about what it was in the case told, with little repetition.

    A new failure is asked about beside what it is taken for.
    """
    here = subject(told, ground)
    if here is None:
        return ()
    near: list[str] = []
    like = here
    if here.cause == NEW:
        taken_for = told.picked("new-like")
        if not taken_for:
            return ()
        near = [taken_for[0]]
        like = CauseAt(taken_for[0], ground.bench.parts_of(taken_for[0])[0])
    near += [c for c, _ in nearest(ground.bench, like)]
    pairs = [(near[k], near[k + 1]) for k in range(0, min(len(near) - 1, 2 * TRIADS), 2)]
    return [(here.cause, a, b) for a, b in pairs]
