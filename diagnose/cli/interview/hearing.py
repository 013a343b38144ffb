"""Findings in what the expert says: heard in his words, shown, taken only as he confirms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from diagnose.capture.told import CANNOT_SAY
from diagnose.cli.job import screens
from diagnose.cli.job.answered import answer_to
from diagnose.cli.job.heard import (
    NoneOfThem,
    completed,
    confirmed,
    findings_told,
    picked_reading,
)
from diagnose.cli.job.meant import report_as_meant
from diagnose.cli.job.talk import Talk
from diagnose.errors import UsageError
from diagnose.job.answers import nothing
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.not_heard import not_heard
from diagnose.job.hearing.report_words import listened
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.wording import finding_line
from diagnose.model import AEROPLANE, Finding
from diagnose.planner import Reading


def findings_in(talk: Talk, bench: Bench, words: str) -> list[Finding]:
    """Return the findings he takes of ``words``, and those he adds by hand."""
    meant = report_as_meant(talk, words, bench)
    whole = listened(meant, bench)
    heard, unheard = whole.said, list(not_heard(whole, bench))
    talk.say(f"  '{s.phrase}': {s.trap}." for s in heard if s.trap)
    ready = completed(talk, bench, [s for s in heard if s.value])
    out: list[Finding] = []
    taken = confirmed(talk, bench, ready, "What you said", unheard)
    with talk.half_typed():  # 'back' begins with these words anew, and takes nothing away
        for s in taken:
            out += findings_told(talk, bench, s)
        _say_what_is_open(talk, bench, heard)
        if not (ready or any(clause.may for clause in unheard)):
            talk.say("  None of these words is a finding the knowledge knows.")
        return out + _by_hand(talk, bench)


def _say_what_is_open(talk: Talk, bench: Bench, heard: Sequence[Suggestion]) -> None:
    """Say which words may speak of several things, and of which."""
    for s in heard:
        if not s.value and (s.question or s.asks):
            asked = dict.fromkeys((s.question, *s.asks) if s.question else s.asks)
            titles = ", ".join(bench.library.questions[q].title for q in asked)
            talk.say(f"  '{s.phrase}' may speak of {titles}: add it below if it does.")


def _by_hand(talk: Talk, bench: Bench) -> list[Finding]:
    """Return findings named by a word of their question, until Enter."""
    out: list[Finding] = []

    def read(text: str) -> bool:
        if nothing(text) or text.lower() == CANNOT_SAY:
            return False
        try:
            q, at, reading, state = picked_reading(talk, bench, text)
        except NoneOfThem:
            return True
        shown = reading or Reading(q.id, at[0])
        talk.say(screens.reading_lines(bench, shown, brief=True))
        answer = answer_to(talk, bench, q, at[0])
        if answer.is_given and answer.value:
            found = answer.finding(q.id, at[0], state, "told")
            if len(at) > 1:
                if found.number is not None:
                    raise UsageError("a figure is read at one place; name the place.")
                found = replace(found, at=AEROPLANE, one_of_places=at)
            out.append(found)
            talk.say(f"  kept: {finding_line(bench, found)}")
        return True

    while talk.ask(
        "Anything else found? (a word of it, as 'lamp'; Enter: no more)", read, own_words=True
    ):
        pass
    return out
