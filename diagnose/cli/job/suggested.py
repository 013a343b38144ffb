"""What was heard in free words, as a line to read; and what was not."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.not_heard import NotHeard
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.wording import all_of_them, answer_words, place_words, state_words
from diagnose.model import AEROPLANE


def said_line(bench: Bench, s: Suggestion) -> str:
    """Return what a suggestion says: question, place, answer and state."""
    q = bench.library.questions[s.question]
    where = all_of_them(bench, s.places) or "; ".join(
        bench.places.label(p) for p in s.places if p != AEROPLANE
    )
    if s.one_of_places:
        where = place_words(bench, s.finding(AEROPLANE))
    state = state_words(bench, s.state)
    return (
        f"{q.title}{f', {where}' if where else ''}: "
        f"{answer_words(q.classes, s.finding(''))}"
        f"{', the others normal' if s.others_normal else ''}{f' [{state}]' if state else ''}"
    )


def show_not_taken(
    talk: Talk, bench: Bench, unheard: Iterable[NotHeard], first: int
) -> list[Suggestion]:
    """Show the words of which nothing was taken and return what they may mean, in its order.

    What may be meant is numbered from ``first``; words that are near nothing are named together.
    """
    out: list[Suggestion] = []
    lost = []
    shown: set[tuple[str, tuple[str, ...]]] = set()
    for clause in unheard:
        if not clause.may:
            lost.append(f"'{clause.words}'")
            continue
        may = (clause.words, tuple(said_line(bench, s) for s in clause.may))
        if may in shown:
            continue  # said twice, and asked about once
        shown.add(may)
        if not out:
            talk.say("Not understood, and near to (pick one only if it is what was meant):")
        talk.say(f"  '{clause.words}'")
        for s in clause.may:
            out.append(s)
            talk.say(f"    {first + len(out) - 1}  {said_line(bench, s)}")
    if lost:
        talk.say(wrap(f"Not understood, kept as words only: {'; '.join(lost)}.", "  ", ""))
    return out
