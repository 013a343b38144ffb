"""What a clause says of an engine that it hardly names: 'faded after an hour', 'no. 2 also low'."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from diagnose.job.hearing.clauses import FILLERS, Clause
from diagnose.job.hearing.durations import SPAN
from diagnose.job.hearing.phrases import Hit
from diagnose.job.hearing.said import Span
from diagnose.job.hearing.the_others import says_well
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.job.hearing.what_fed import without_feeding

IMPLIED, PRESSURE = "engine-behaviour", "fuel-pressure"
"""What a clause speaks of that names a stage and nothing else: 'idle was fine'; and one that tells
something of an engine: 'no. 2 fades', 'no. 2 low'."""
ROUGH = "rough"
"""The class of ``IMPLIED`` of which only an engine is told; a leak or a noise stops as well."""
_BETWEEN = frozenset({
    "engine", "alone", "both", "also", "just", "then", "always", "still", "is", "was", "a", "bit",
    "little", "again", "only", "well", "sits", "sounds", "sounded", "sounding",
    "started", "starts", "starting", "began", "begins", "kept",
    "keeps", "to", "suddenly", "slowly", "gradually",
})  # fmt: skip
_LEADING = frozenset(
    {
        "it",
        "she",
        "which",
        "first",
        "again",
        "suddenly",
        "slowly",
        "also",
        "always",
        "both",
        "all",
        "just",
        "still",
        "now",
        "into",
        "out",
        "later",
        "flight",
        "thing",
        "aeroplane",
        "aircraft",
        "plane",
        "machine",
        "old",
        "girl",
        "sudden",
        "bad",
        "nasty",
    }
)
"""What may stand before the verb of a sentence about the engine."""
_SMALL = re.compile(rf"(?:$| (?:{'|'.join(sorted(FILLERS))})\b)")
"""Behind a word that stands for itself: 'rough at idle', and not 'failed pump'."""
_SOMEBODY = re.compile(r"(?:^|\s)(?:i|we|he|you|the pilot)(?: (?:then|just|have|had|slowly))* $")
_RUNS = re.compile(r"r[au]n(?:s|ning)?\b")


def is_told_behind(
    begun: Span, clause: Clause, hits: Iterable[Hit], vocabulary: Vocabulary, *, after: bool
) -> bool:
    """Return whether what begins a clause is said of an engine though something else is named.

    'Rough at idle after washing', and not 'failed pump'.  ``after``: it was named in a clause
    before; then only what is said of no other ('pressure low, rough at idle').
    """
    alone = bool(_SMALL.match(clause.text[begun[1] :]))
    return alone and (not after or _only_of_it(begun, hits, vocabulary))


def _only_of_it(span: Span, hits: Iterable[Hit], vocabulary: Vocabulary) -> bool:
    """Return whether what stands at ``span`` is said of an engine that runs rough, and no other."""
    said = [s for hit in hits if (hit.start, hit.end) == span
            for s, _ in vocabulary.said.get(hit.phrase, ())]  # fmt: skip
    return all(s.question == IMPLIED and s.value == ROUGH for s in said)


def begins(clause: Clause, vocabulary: Vocabulary) -> Span | None:
    """Return where a clause begins with what an engine did amiss: 'faded after an hour'."""
    if says_well(clause.text):
        return None
    for hit in vocabulary.book.found(clause.text):
        # 'after an hour on the left it faded'
        lead = SPAN.sub(" ", without_feeding(clause.rest[: hit.start])).split()
        if set(lead) <= (_LEADING | FILLERS) and any(
            s.question == IMPLIED for s, _ in vocabulary.said.get(hit.phrase, ())
        ):
            return hit.start, hit.end
    return None


def is_of_a_run(clause: Clause) -> bool:
    """Return whether a clause itself tells the stage or the power of a run."""
    return clause.own and bool(clause.stage or "power" in clause.settings)


def is_next(clause: Clause, engine: Span, span: Span) -> bool:
    """Return whether what is said stands next to the engine that was named: 'no. 3 also fades'."""
    between = clause.text[engine[1] : span[0]].split()
    return engine[1] <= span[0] and set(between) <= _BETWEEN


def is_done_by_somebody(hit: Hit, clause: Clause) -> bool:
    """Return whether a word tells what a person did: 'when I stopped', 'as you lean'."""
    return hit.words == 1 and bool(_SOMEBODY.search(clause.text[: hit.start]))


def is_of_another(
    s: Suggestion, meanings: Iterable[tuple[Suggestion, bool]], subjects: Collection[str]
) -> bool:
    """Return whether what is told of an engine as well is said of another: 'gauge came back'."""
    every = {m.question for m, _ in meanings}
    if _RUNS.match(s.phrase) and every.isdisjoint(subjects):
        return False  # no pressure runs
    either = every > {IMPLIED}
    return either and s.question in (IMPLIED, PRESSURE) and s.question not in subjects
