"""What was done about a part that was found, and what was opened for it."""

from __future__ import annotations

import re

from diagnose.cli.job.talk import Paused, Talk
from diagnose.errors import UsageError
from diagnose.job.day.closeout import (
    as_disturbed,
    disturb,
    of_paper,
    opened_by_mending,
    opens_fuel_parts,
    opens_other_parts,
)
from diagnose.job.job import Job
from diagnose.model import AEROPLANE, CauseAt

MENDED = "what was done (or 'later'):"
MENDED_OR_LOOK = "what was done ('look on': look further first; or 'later'):"
LOOK_ON = "look on"
"""What goes on with the search before anything is mended: a dry tank may not be the whole story."""


_NO_WORK = re.compile(
    r"[\d\s,]*|go on|continue|next|read|done|yes|y|no|n|ok|dry|gone|none|nothing|all(?: \w{1,3})?",
    re.I,
)
"""What is typed for another prompt, one too early: as work done it would be a false record."""


def tells_no_work(text: str) -> bool:
    """Return whether ``text`` is the answer to another prompt, or none at all."""
    return bool(_NO_WORK.fullmatch(text))


def _work(text: str) -> str:
    if tells_no_work(text):
        said = f"'{text}' tells no work. " if text else ""
        raise UsageError(f"{said}Say what was done in a few words, or type 'later'.")
    return text


def keep_rectified(talk: Talk, job: Job, cause: CauseAt, ask: str = MENDED) -> bool:
    """Ask what was done about ``cause`` and keep it; starts a new epoch.

    Return False where nothing was done, because more is to be looked at first.

    Raises:
        Paused: When it is to be done later.
    """
    what = talk.ask(ask, _work, own_words=True)
    if what.lower() == "later":
        raise Paused
    if what.lower() == LOOK_ON and ask == MENDED_OR_LOOK:
        return False
    off, on, opened = "", "", []
    with talk.half_typed():
        touched = _touched(talk, job, cause)
        if touched:
            off = talk.ask("part off, number and serial (Enter: none):", _serial, own_words=True)
            on = talk.ask("part on, number and serial (Enter: none):", _serial, own_words=True)
            opened = _opened(talk, job, cause, exchanged=bool(_named(off) or _named(on)))
    job.record(
        "rectified",
        cause=cause.cause,
        place=cause.at,
        what=what,
        off=off,
        on=on,
        disturbs=opened,
    )
    if not touched:
        return True
    label = job.bench.places.label
    listed = [d for d in job.state.disturbed.values() if d.joint and d.open]
    talk.say(f"  on the list: {d.what}, {label(d.place)}" for d in listed)
    ask = "feed or control joint disturbed by it, not on the list yet (what at part; Enter: none):"
    while text := _named(talk.ask(ask, str, own_words=True)):
        disturbed_at(talk, job, "line", text)
    return True


def _serial(text: str) -> str:
    """Return the number of a part as typed; what answers another prompt is none."""
    if text.lower() in ("later", "yes", "y", "read"):
        raise UsageError(f"'{text}' is no number of a part; type it, or Enter where there is none.")
    return text


def _touched(talk: Talk, job: Job, cause: CauseAt) -> bool:
    """Return whether mending took a part off or opened anything; asked where it need not have."""
    if of_paper(job, cause):
        return False
    asked = "Did a part come off or on, or was a joint or a control opened or adjusted for it?"
    return opens_fuel_parts(job, cause) or talk.yes(asked)


def _named(text: str) -> str:
    """Return what was typed; '' where somebody typed that there is none."""
    return "" if text.lower() in ("none", "no", "nothing", "n/a", "-") else text


def _opened(talk: Talk, job: Job, cause: CauseAt, *, exchanged: bool) -> list[dict[str, str]]:
    """Return what mending opened, as it is kept: asked, for nobody may forget a joint.

    A part exchanged was opened, whatever is said.
    """
    may = opened_by_mending(job, cause.at)
    label = job.bench.places.label(cause.at)
    asked = {
        "line": f"Was a fuel line or part opened for it, at {label}?",
        "control": f"Was the control adjusted or taken apart for it, at {label}?",
    }
    for kind, what in may:
        if exchanged:
            return as_disturbed(kind, "part exchanged", cause.at)
        if talk.yes(asked[kind]):
            return as_disturbed(kind, what, cause.at)
    if may:
        return []
    elsewhere = "Was a strainer, a screen, a line or another fuel part opened for it?"
    if opens_other_parts(job, cause) and talk.yes(elsewhere):
        return as_disturbed("line", "fuel parts opened to be mended", AEROPLANE)
    return []


def disturbed_at(talk: Talk, job: Job, kind: str, text: str) -> None:
    """Keep 'what at part' as disturbed; says what to type where the part is not clear."""
    what, _, where = text.rpartition(" at ")
    match = job.bench.places.find_places(where)
    if not what or not match.part:
        talk.say(f"  {match.ask or 'Say it as: bowl seal at no. 2 strainer.'}")
        return
    disturb(job, kind, what, match.part)
    talk.say(f"  kept: {what}, {job.bench.places.label(match.part)}")
