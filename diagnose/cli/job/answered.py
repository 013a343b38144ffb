"""One question answered: read as the question takes it, and whether its condition was reached."""

from __future__ import annotations

from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import Answer, read_answer
from diagnose.job.diagnosis import Bench
from diagnose.job.wording import finding_line
from diagnose.model import Finding, Question
from diagnose.signs import normal_class


def answer_to(talk: Talk, bench: Bench, question: Question, place: str) -> Answer:
    """Return what is typed in answer to ``question`` at ``place``; Enter alone is no answer."""

    def read(text: str) -> Answer:
        if not text:  # a slip would be kept as 'not checked', and the question asked no more
            raise UsageError("Type a number or a name; 0 where it was not looked at.")
        return read_answer(text, question, bench.layout, place)

    with talk.asked_for(question.why):
        return talk.ask("answer:", read)


def condition_reached(
    talk: Talk, bench: Bench, question: Question, answer: Answer, before: Finding | None = None
) -> bool:
    """Ask whether the reported condition was reached, where its absence would speak.

    ``before``: what was told otherwise where this is read; an answer that it is well would take
    the complaint back unseen.
    """
    if answer.value != normal_class(question, bench.library):
        return True
    if answer.tries == 1 and before is not None:
        talk.say(wrap(f"{finding_line(bench, before)}.", "    ", "  It was told otherwise: "))
        asked = "  Was that so then, and only does not show now (no: this stands instead of it)?"
        reached = not talk.yes(asked)
    elif answer.tries == 1:
        return True
    else:
        reached = talk.yes("  Was the reported condition (heat, attitude, level ...) reached?")
    if not reached:
        talk.say("  Kept, but it says nothing. How to reach it: diagnose job hidden JOB")
    return reached
