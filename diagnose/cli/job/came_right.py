"""What a report says came right again: of two findings told alike in state, the last would count.

'Faded in the cruise, changed tanks and it came back' names no tank.  Taken as it stands, the good
running would answer for the bad, and the complaint itself would be lost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import nothing
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.told_state import state_told
from diagnose.job.hearing.trouble import is_amiss
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.model import State


def of_the_same(bench: Bench, heard: Sequence[Suggestion]) -> list[Suggestion]:
    """Return ``heard`` with what came right again told of the part of which it was told amiss."""
    out: list[Suggestion] = []
    for s in heard:
        bad = None if s.places or s.one_of_places else _before(bench, s, out)
        out.append(replace(s, places=bad.places, one_of_places=bad.one_of_places) if bad else s)
    return out


def otherwise_set(talk: Talk, bench: Bench, heard: Sequence[Suggestion]) -> list[Suggestion]:
    """Return ``heard`` with what came right again told by what was otherwise, or left out."""
    out: list[Suggestion] = []
    for k, s in enumerate(heard):
        if _before(bench, s, heard[:k]) is None:
            out.append(s)
            continue
        state = _ask(talk, bench, s)
        if state is not None:
            out.append(replace(s, state=state))
    return out


def _before(bench: Bench, s: Suggestion, told: Sequence[Suggestion]) -> Suggestion | None:
    """Return what was told amiss before in the state in which ``s`` says that it was well."""
    if not s.value or is_amiss(bench, s):
        return None
    return next(
        (
            b
            for b in told
            if b.question == s.question
            and is_amiss(bench, b)
            and b.state == s.state
            and (not s.places or not b.places or b.places == s.places)
            # 'the right one emptied': whichever it is, it is none of those that did not
            and (not s.among or not b.places or bool(set(b.places) & set(s.among)))
        ),
        None,
    )


def _ask(talk: Talk, bench: Bench, s: Suggestion) -> State | None:
    title = bench.library.questions[s.question].title
    talk.say(
        wrap(
            f"'{s.phrase}': {title} came right again. What was otherwise then? In words, like 'on "
            "the other tank by its name', 'booster on' or 'at idle'; Enter leaves it out.",
            "  ",
            "",
        )
    )

    def read(text: str) -> State | None:
        if nothing(text):
            return None
        told = state_told(text, bench, s.question)
        new = State(told.stage or s.state.stage, {**s.state.settings, **told.settings})
        if new == s.state:
            raise UsageError(
                f"'{text}' tells no other tank, pump, cross-feed, power or stage of the flight "
                "than before; say which, or press Enter."
            )
        return new

    return talk.ask("otherwise:", read, own_words=True)
