"""What a whole report told, each thing once, without what speaks of a trouble nobody told."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.of_an_engine import IMPLIED
from diagnose.job.hearing.trouble import (
    GAUGE_THEN,
    OF_IT,
    ONSET,
    RAN_WELL,
    is_amiss,
    may_be_amiss,
    usual,
)
from diagnose.job.hearing.vocabulary import Suggestion

STARTING, IT_DIED = "engine-start", "fires-then-dies"
"""What tells that an engine fired and died, and was not running before."""
HISS, CAP = "cap-hiss", "cap-as-found"
"""What is heard as a cap comes off, and how it was found."""


def told_once(
    bench: Bench, heard: Iterable[Suggestion], of_amiss: Collection[str]
) -> Iterable[Suggestion]:
    """Return what was ``heard``, in its order; ``of_amiss``: of which something amiss was told."""
    out = [s for s in heard if IMPLIED in of_amiss or s.question not in (GAUGE_THEN, RAN_WELL)]
    if all(s.question in OF_IT or (s.value and not is_amiss(bench, s)) for s in out):
        out = [s for s in out if s.question != ONSET]  # nothing came after it
    out = [s for s in out if not _read_otherwise(bench, s, out)]
    starts = {s.value for s in out if s.question == STARTING}
    hissed = any(s.question == HISS and s.value for s in out)
    out = [
        s
        for s in out
        if not (IT_DIED in starts and _is_of_the_start(s)) and not (hissed and _was_taken_off(s))
    ]
    told = {s.question for s in out if s.value}
    amiss = {s.question for s in out if is_amiss(bench, s)}
    once: dict[object, Suggestion] = {}
    for s in out:
        # 'warning lamp ... flickering': the bare name adds nothing to what was said of it
        # but 'coughed' is a complaint, however well it ran after
        complaint = may_be_amiss(s) and s.question not in amiss
        if complaint and s.one_of:
            s = replace(s, value=s.one_of[0])
        if s.value or s.negated or complaint or s.question not in told:
            at = (s.places, s.one_of_places, s.among, str(s.state)) if s.value else ()
            what = (s.question, s.value, s.negated, s.asks, at)
            first = once.setdefault(what, s)
            if s.others_normal:  # '11 psi and sagging. The others steady.'
                once[what] = replace(first, others_normal=True)
    return once.values()


def _is_of_the_start(s: Suggestion) -> bool:
    """Return whether ``s`` says again what was told of a start: 'fires, and dies'."""
    return s.question == IMPLIED and not s.state.stage and s.phrase in ("dies", "died", "stops")


def _was_taken_off(s: Suggestion) -> bool:
    """Return whether a cap was taken off to look: 'cap off and it hissed', 'it came off'."""
    return s.question == CAP and s.phrase.endswith((" off", "loose"))


def _read_otherwise(bench: Bench, s: Suggestion, out: Iterable[Suggestion]) -> bool:
    """Return whether a figure says that ``s`` was not as usual: '4 psi and steady' may be low."""
    return (
        bool(s.value)
        and s.number is None
        and s.value == usual(bench, s)
        and any(
            f.number is not None
            and is_amiss(bench, f)
            and (f.question, f.places, f.state) == (s.question, s.places, s.state)
            for f in out
        )
    )
