"""Signing off what is outstanding, one line after another, at the terminal."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.cli.job import screens
from diagnose.cli.job.talk import Paused, Talk
from diagnose.cli.room import wrap
from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.job.day.closeout import (
    Outstanding,
    flight,
    follow_up,
    inspect,
    leak_check,
    outstanding,
    restore,
)
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import initials

LATER = "later"

SIGNED = {
    "restore": "restored: initials, or 'later':",
    "inspect": "seen by another person: initials, or 'later':",
    "leak-check": "'dry AB', 'leak AB', or 'later':",
    "follow-up": "in a few words, or 'later':",
    "watch": "how many flights, or 'later':",
    "fly": "'clear AB what was seen', 'again AB what was seen', or 'later':",
}
"""What is asked for each step; the verification run is asked for elsewhere."""

WHOSE = "Follow-up: whose answers are these (initials, or 'later')?"

OF_A_LEAK_CHECK = ("no-leak-before-power", "ignition-sources", "lead-and-skin")
"""Hazards minded while a joint is put under pressure and looked at."""

IT_LEAKS = (
    "  It leaks: pump and power off, pressure away, before anything is touched. The joints stand",
    "  open again: make them anew by the approved data, have each seen by another, check again.",
)

GEAR_OFF = (
    "  The gear came off a joint that was signed with it on: the joint is made anew, seen by",
    "  another and leak-checked.",
)

TO_CLOSE = ("restore", "inspect", "leak-check")
"""What every job needs signed, isolated or not."""


def sign_off(
    talk: Talk, job: Job, steps: tuple[str, ...] = tuple(SIGNED), *, for_a_run: bool = False
) -> None:
    """Ask for what is outstanding of ``steps`` until none is left.

    ``for_a_run``: only what must be shut before an engine runs again; a cowling may stay off, and
    test gear on.

    Raises:
        Paused: When one is to be done later.
    """
    by, told = "", set(job.state.acknowledged)
    while left := [x for x in outstanding(job) if x.step in steps]:
        if for_a_run and not _bars_a_run(job, left[0]):
            return
        if left[0].step == "follow-up" and not by:
            by = talk.ask(WHOSE, _whose, own_words=True)
        if left[0].step == "leak-check":
            talk.say(screens.cautions(job.bench, OF_A_LEAK_CHECK, told))
            told.update(OF_A_LEAK_CHECK)
        talk.say(wrap(left[0].text, "    ", "  "))
        if left[0].hint:
            talk.say(wrap(left[0].hint, "    ", "    The knowledge says of it: "))
        talk.ask(f"  {SIGNED[left[0].step]}", _signing(job, left[0], by), own_words=True)
        if _is_gear(job, left[0]) and job.state.joints_open():
            talk.say(GEAR_OFF)
        if left[0].step == "leak-check" and job.state.leak_due:
            talk.say(IT_LEAKS)


def _is_gear(job: Job, left: Outstanding) -> bool:
    return left.step == "restore" and job.state.disturbed[left.item].kind == "test-gear"


def _whose(text: str) -> str:
    if text.lower() == LATER:
        raise Paused
    return initials(text)


def _bars_a_run(job: Job, left: Outstanding) -> bool:
    if left.step == "restore":
        return job.state.disturbed[left.item].bars_a_run
    return True


def _signing(job: Job, left: Outstanding, by: str) -> Callable[[str], None]:
    def sign(text: str) -> None:
        if text.lower() == LATER:
            raise Paused
        word, _, rest = text.partition(" ")
        if left.step == "restore":
            restore(job, left.item, text)
        elif left.step == "inspect":
            inspect(job, left.item, text)
        elif left.step == "leak-check":
            leak_check(job, _one_of(word, "dry", "leak"), rest)
        elif left.step == "follow-up":
            follow_up(job, left.item, text, by)
        elif left.step == "watch":
            count = whole_number("0" if text.lower() in ("none", "no") else text)
            if count is None or count > 99:
                raise UsageError(f"'{text}' is no number of flights from 0 to 99.")
            job.record("watch-set", flights=count)
        else:
            who, _, said = rest.partition(" ")
            flight(job, _one_of(word, "clear", "again"), who, said)

    return sign


def _one_of(word: str, yes: str, no: str) -> bool:
    if word.lower() not in (yes, no):
        raise UsageError(f"say '{yes}' or '{no}' first, then your initials.")
    return word.lower() == yes
