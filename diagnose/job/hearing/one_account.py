"""What one report tells unlike of one thing in one state: a course of events, not a contradiction.

'Spluttered and then quit' is the commonest complaint of all.  Kept as two findings the second would
answer for the first; kept as one answer left open between them, neither is lost.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.trouble import is_amiss
from diagnose.job.hearing.vocabulary import Suggestion


def in_one_account(bench: Bench, taken: Iterable[Suggestion]) -> list[Suggestion]:
    """Return ``taken`` with what is amiss in one state of one thing made one answer left open.

    What was well stays a finding of its own: a good answer beside a bad one is a contradiction.
    """
    out: list[Suggestion] = []
    for s in taken:
        before = next((k for k, b in enumerate(out) if _of_one_thing(bench, b, s)), None)
        if before is None:
            out.append(s)
            continue
        out[before] = _both(bench, out[before], s)
    return out


def _of_one_thing(bench: Bench, a: Suggestion, b: Suggestion) -> bool:
    same = (a.question, a.state, a.places, a.one_of_places, a.among) == (
        b.question,
        b.state,
        b.places,
        b.one_of_places,
        b.among,
    )
    figures = a.number is not None or b.number is not None
    return same and not figures and is_amiss(bench, a) and is_amiss(bench, b)


def _both(bench: Bench, a: Suggestion, b: Suggestion) -> Suggestion:
    told = {a.value, b.value, *a.one_of, *b.one_of}
    if len(told) == 1:
        return a
    classes = tuple(c for c in bench.library.questions[a.question].classes if c in told)
    well = a.others_normal or b.others_normal
    phrase = f"{a.phrase}, {b.phrase}"
    return replace(a, phrase=phrase, value=classes[0], one_of=classes, others_normal=well)
