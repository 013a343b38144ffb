"""What a report says that was not understood: shown with what it may mean, to pick from."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.cli.job import screens
from diagnose.cli.job.suggested import said_line
from diagnose.cli.job.talk import Talk
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.not_heard import NotHeard
from diagnose.job.hearing.vocabulary import Suggestion


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
        talk.say(screens.wrap(f"Not understood, kept as words only: {'; '.join(lost)}.", "  ", ""))
    return out
