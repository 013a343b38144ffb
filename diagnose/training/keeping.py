"""Opening an exercise, and taking one up again from its log; its fault is kept covered.

Covered is no secret: whoever wants to read it can, with this module.  It only keeps an eye that
falls on the file from seeing the answer.
"""

from __future__ import annotations

import binascii
import secrets
from base64 import b64decode, b64encode
from collections.abc import Iterable, Mapping
from hashlib import sha256
from itertools import count
from typing import Any

from diagnose.errors import CaseError, Origin, Problem, UsageError
from diagnose.job.confirming import FOUND
from diagnose.job.diagnosis import Bench
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event, JobLog
from diagnose.job.keeping.names import unknown_name
from diagnose.model import AEROPLANE, Library, SetExercise
from diagnose.training.attempt import Attempt
from diagnose.training.drawing import Drawn, opening_of, sharing
from diagnose.training.events import EXERCISE, Exercises
from diagnose.training.hidden import Hidden
from diagnose.training.progress import Progress, progress
from diagnose.training.simulated import Simulated


def begin(
    folder: Exercises,
    bench: Bench,
    drawn: Drawn,
    day: str,
    at_hand: Mapping[str, Any] | None = None,
    **typed: str,
) -> tuple[str, Attempt]:
    """Open an exercise and return its name and the attempt; the fault is kept covered.

    ``at_hand``: hands, may_run and tools, all there is where it is left out.  ``typed``:
    apprentice, title, layout_file ...; kept and printed, never interpreted.
    """
    plane = Simulated(bench, drawn.hidden, drawn.told)
    name = folder.new_id(day)
    log = JobLog(folder.path(name), EXERCISE)
    log.append(
        "opened",
        layout=bench.layout.id,
        edition=bench.library.edition,
        covered=sealed(str(drawn.hidden), secrets.token_bytes(SALT)),
        **opening_of(drawn, **(at_hand or {})),
        **{k: v for k, v in typed.items() if v},
    )
    return name, Attempt(bench, plane, log)


def of_file(bench: Bench, found: SetExercise) -> tuple[Drawn, dict[str, Any]]:
    """Return the exercise an instructor set, and what is at hand in it.

    Raises:
        CaseError: If the layout has no such cause, with its place in the file.
    """
    if found.cause not in bench.net.instances:
        text = (
            f"'{found.cause.cause}' cannot be at '{found.cause.at}' on this layout; "
            "`diagnose words --json` lists what can"
        )
        raise CaseError([Problem(found.cause_origin, text)])
    hidden = Hidden(found.cause, found.grade, found.seed)
    drawn = Drawn(hidden, found.reported, found.told, sharing(bench, found.told))
    at_hand = {"hands": found.hands, "may_run": found.may_run, "tools": found.tools}
    return drawn, at_hand


def opening(folder: Exercises, name: str) -> tuple[JobLog, Event]:
    """Return the log of an exercise and its opening.

    Raises:
        UsageError: If there is none of that name.
        CaseError: If it cannot be read, or was never opened.
    """
    log = JobLog(folder.find(name), EXERCISE)
    text = "the exercise has no opening entry; nothing was done in it. Start a new one."
    return log, log.opening(text)


def take_up(bench: Bench, log: JobLog) -> Attempt:
    """Return the attempt kept in ``log``.

    Raises:
        CaseError: If it names what the knowledge in use does not have.
        UsageError: If its fault cannot be read.
    """
    problems = [
        Problem(
            Origin(log.path.name, int(e["n"]), 1),
            f"{unknown}; the exercise was begun with knowledge edition "
            f"{log.events[0]['edition']}. Give that with --knowledge.",
        )
        for e in log.events
        if (unknown := _unknown(bench, e))
    ]
    if problems:
        raise CaseError(problems)
    first = log.events[0]
    hidden = Hidden.read(opened(first["covered"]))
    told = [finding_of(f) for f in first["told"]]
    return Attempt(bench, Simulated(bench, hidden, told), log)


def row(folder: Exercises, name: str, library: Library) -> dict[str, Any] | None:
    """Return one exercise as plain data, None where it was never opened.

    What was hidden, its family and whether it was done well are told once it is over.

    Raises:
        CaseError: If its log cannot be read.
    """
    log = JobLog(folder.path(name), EXERCISE)
    if not log.events:
        return None
    state = progress(log.events)
    truth, family = "", ""
    if state.over:
        cause = Hidden.read(opened(state.opened["covered"])).cause
        truth = str(cause)
        family = library.causes[cause.cause].family if cause.cause in library.causes else ""
    return {
        "exercise": name,
        "day": name[:10],
        "layout": state.opened["layout"],
        "apprentice": state.opened.get("apprentice", ""),
        "title": state.opened.get("title", ""),
        "state": "solved" if state.solved else "not solved" if state.over else "open",
        "minutes": state.minutes,
        "starts": state.starts,
        "named": len(state.namings),
        "hints": state.hints,
        "skipped": len(state.skipped),
        "premature": any(n.chance is not None and n.chance < FOUND for n in state.namings),
        "truth": truth,
        "family": family,
        "well": _well(state),
    }


def _well(state: Progress) -> bool:
    """Return whether the part was named at once and with reason, without a hint, and safely."""
    if not state.solved or len(state.namings) > 1 or state.hints or state.skipped:
        return False
    chance = state.namings[0].chance
    return chance is None or chance >= FOUND


def _unknown(bench: Bench, event: Event) -> str:
    """Return what an event names that is unknown, in words; '' when nothing is."""
    if unknown := unknown_name(bench.library, bench.layout, event):
        return unknown
    for told in event.get("told", ()):
        as_asked = {**event, "event": "asked", "finding": told}
        if unknown := unknown_name(bench.library, bench.layout, as_asked):
            return unknown
    if event["event"] == "asked":
        known: Iterable[tuple[str, str, str]] = (r.key for r in bench.planner.catalogue.readings)
        if tuple(event["reading"]) not in set(known):
            return f"'{' '.join(event['reading'])}' is no reading of this layout"
    if "cause" in event and event["cause"] not in bench.library.causes:
        return f"'{event['cause']}' is not a cause of the knowledge in use"
    place = event.get("place", AEROPLANE)
    if place != AEROPLANE and place not in bench.layout.parts:
        return f"'{place}' is not a part of layout '{bench.layout.id}'"
    return ""


SALT = 8
"""Bytes of salt, so that the same fault never looks the same twice."""


def sealed(text: str, salt: bytes) -> str:
    """Return ``text`` covered, with its ``salt`` before it; plain letters and figures."""
    return b64encode(salt + _covered(text.encode(), salt)).decode()


def opened(cover: str) -> str:
    """Return what ``sealed`` covered.

    Raises:
        UsageError: If it is not such a text.
    """
    try:
        data = b64decode(cover.encode(), validate=True)
        return _covered(data[SALT:], data[:SALT]).decode()
    except (binascii.Error, UnicodeError):
        raise UsageError("the hidden fault kept in the exercise cannot be read.") from None


def _covered(data: bytes, salt: bytes) -> bytes:
    """Add a key stream of SHA-256 (FIPS 180-4) over the salt, bit by bit; twice is nothing."""
    stream = bytearray()
    for k in count():
        if len(stream) >= len(data):
            break
        stream += sha256(salt + k.to_bytes(4, "big")).digest()
    return bytes(a ^ b for a, b in zip(data, stream, strict=False))
