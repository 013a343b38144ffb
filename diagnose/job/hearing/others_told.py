"""What was told amiss of a part where the others of its kind were told to be normal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.the_others import TheOthers
from diagnose.job.hearing.trouble import is_amiss, usual
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.model import AEROPLANE


def of_others(
    bench: Bench, out: list[Suggestion], last: Sequence[int], others: TheOthers
) -> Iterator[Suggestion]:
    """Mark what was told amiss ``last`` in ``out`` where all others were normal; else yield it."""
    for k in last:
        s = out[k]
        if not is_amiss(bench, s) or AEROPLANE in bench.library.questions[s.question].at:
            continue
        asked = bench.library.questions[s.question]
        if others.well(Vocabulary.of(bench).how(asked, usual(bench, s))) and _are_all(
            bench, s, others.count
        ):
            out[k] = replace(s, others_normal=True)
        else:
            yield Suggestion(others.words, "said of the others", asks=(s.question,))


def _are_all(bench: Bench, s: Suggestion, count: int) -> bool:
    """Return whether so many others are all there are of the kind of part ``s`` speaks of."""
    parts = bench.layout.parts
    if s.places or s.one_of_places:
        kinds: set[str] = {parts[p].kind for p in s.places or s.one_of_places}
    else:
        kinds = set(bench.library.questions[s.question].at)
    left = {
        len(bench.places.parts_of_kind(kind)) - max(1, len(s.places))
        for kind in kinds - {AEROPLANE}
    }
    return count in left if count else any(n > 0 for n in left)
