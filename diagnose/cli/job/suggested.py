"""What was heard in free words, as a line to read and as the finding that it is once taken."""

from __future__ import annotations

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.wording import answer_words, place_words, state_words
from diagnose.model import AEROPLANE, Finding


def finding_of(s: Suggestion, place: str) -> Finding:
    """Return what a suggestion says, as the finding at ``place`` that it is once taken."""
    return Finding(
        s.question,
        place,
        s.value,
        s.state,
        "told",
        typed=s.phrase,
        number=s.number,
        others_normal=s.others_normal,
        one_of=s.one_of,
        one_of_places=s.one_of_places,
    )


def said_line(bench: Bench, s: Suggestion) -> str:
    """Return what a suggestion says: question, place, answer and state."""
    q = bench.library.questions[s.question]
    where = "; ".join(bench.places.label(p) for p in s.places if p != AEROPLANE)
    if s.one_of_places:
        where = place_words(bench, finding_of(s, AEROPLANE))
    state = state_words(bench, s.state)
    return (
        f"{q.title}{f', {where}' if where else ''}: "
        f"{answer_words(q.classes, finding_of(s, ''))}"
        f"{', the others normal' if s.others_normal else ''}{f' [{state}]' if state else ''}"
    )
