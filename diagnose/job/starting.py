"""Whether an engine has run, or was last found not to start."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.job.diagnosis import Bench
from diagnose.model import AEROPLANE, RUNNING, STAGES, Finding, Question
from diagnose.model.states import IN_FLIGHT
from diagnose.planner import Key
from diagnose.signs import normal_class

STARTING = ("engine-start", "no-start")
"""Question and class that say that an engine cannot be run until it is seen to start."""
RAN_ON = ("still-there", "gone")
"""Question and class that say of the whole aeroplane that it ran well after the trouble."""


def dead(bench: Bench, findings: Mapping[int, Finding], epoch: int, place: str) -> bool:
    """Return whether what is read at ``place`` needs an engine that was last found not to start.

    A place that is no engine may be read with any of them, so all must be dead.  ``findings``: by
    number; those of another epoch than ``epoch`` say nothing of now.
    """
    last: dict[str, bool] = {}
    for _, f in sorted(findings.items()):
        if f.epoch != epoch or not f.value or f.check:
            continue
        if f.question == STARTING[0]:
            # one that fails hot alone starts again once it has cooled
            last[f.at] = f.surely(STARTING[1]) and f.state.settings.get("heat") != "hot"
        elif f.state.stage not in IN_FLIGHT and _tells_of_a_run(bench, f):
            # told after it that it ran rough: it did start; how it flew may have been before it
            last |= dict.fromkeys(f.places, False)
        elif f.surely(RAN_ON[1]) and (f.question, f.at) == (RAN_ON[0], AEROPLANE):
            last.clear()
    engines = bench.places.engines
    meant = [place] if place in engines else engines
    return all(last.get(e, False) for e in meant)


def shows_its_running(question: Question) -> bool:
    """Return whether a question tells how an engine starts or runs, and not what is read beside it.

    A gauge and a lamp have an instrument between, a leak and a lamp's test are seen at rest too.
    """
    at_rest = {"static", "parked"} & set(question.stages)
    turning = any(s == "cranking" or STAGES[s] in RUNNING for s in question.stages)
    return "engine" in question.at and turning and not at_rest and not question.instruments


def started(bench: Bench, findings: Iterable[Finding], epoch: int) -> frozenset[str]:
    """Return the engines told to have run in this epoch: how they start need not be asked.

    Where starting itself is told amiss it is worth another try.
    """
    asked = bench.library.questions.get(STARTING[0])
    if asked is None:
        return frozenset()
    usual = normal_class(asked, bench.library)
    here = [f for f in findings if not f.check and f.epoch == epoch and f.value]
    amiss = {at for f in here if f.question == asked.id and not f.surely(usual) for at in f.places}
    ran = {at for f in here if _tells_of_a_run(bench, f) for at in f.places}
    return frozenset(at for at in ran - amiss if bench.layout.parts[at].kind in asked.at)


def _tells_of_a_run(bench: Bench, f: Finding) -> bool:
    """Return whether an engine ran when ``f`` was seen: by its state, or by what it tells."""
    asked = bench.library.questions[f.question]
    if f.state.stage or f.state.known().get("power"):
        return f.state.known().get("power") in RUNNING
    return shows_its_running(asked) and all(STAGES[s] in RUNNING for s in asked.stages)


def starts_had(bench: Bench, findings: Iterable[Finding], epoch: int) -> frozenset[Key]:
    """Return the starts that need not be made to be read: that engine has run in this epoch."""
    ran = started(bench, findings, epoch)
    return frozenset(
        r.key
        for r in bench.planner.catalogue.readings
        if r.question == STARTING[0] and r.place in ran
    )
