"""Work done on the aeroplane while a job is open: typed in by the person, at any prompt."""

from __future__ import annotations

import re
from difflib import get_close_matches

from diagnose.cli.job.mending import keep_rectified
from diagnose.cli.job.talk import Again, Paused, Talk
from diagnose.cli.loading import part_named
from diagnose.errors import UsageError
from diagnose.job.day.closeout import as_disturbed, opened_by_mending
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.wording import cause_words
from diagnose.model import CauseAt

LOST = {"drained": "draining", "refuelled": "refuelling", "replaced": "rectifying"}
"""What was done -> the evidence that goes with it; each starts a new epoch."""


_COUNTED = re.compile(r"([1-9]|one|two|three|four)(?: (?:people|persons?|men|man|hands|of us))?$")
_FIGURE = {"one": 1, "two": 2, "three": 3, "four": 4}
_ALONE = ("just me", "only me", "me", "myself", "alone", "on my own", "by myself", "single-handed")


def record_work(talk: Talk, job: Job, cause: CauseAt | None, kind: str, where: str) -> None:
    """Keep a draining, a refuelling, a replacement, or a rectification of ``cause``.

    Raises:
        Again: When it was kept; what was read before it may no longer hold.
    """
    if kind == "rectified":
        assert cause is not None
        talk.say(f"  rectified: {cause_words(job.bench, cause)}")
        keep_rectified(talk, job, cause)
        raise Again
    if kind not in LOST:
        said = f"'{kind}' is no such work" if kind else "say what was done"
        raise UsageError(
            f"{said}; type: record drained PART, record refuelled PART, record replaced PART, "
            "or record rectified CAUSE."
        )
    place = part_named(job, where, f"say at which part: record {kind} PART")
    joint = opened_by_mending(job, place)[0] if kind == "replaced" else ""
    opened = as_disturbed(joint, "part exchanged", place)
    job.record("intervened", what=kind, place=place, lost=LOST[kind], disturbs=opened)
    label = job.bench.places.label(place)
    talk.say(f"  kept: {kind}, {label}. Leak and smell are asked again before any run.")
    if opened:
        talk.say(f"  on the list: part exchanged, {label}; when it is closed again, type: sign")
    raise Again


def hand_over(talk: Talk, job: Job, words: str) -> None:
    """Keep a note for whoever goes on with the job, and leave it.

    Raises:
        Paused: When the note is kept.
    """
    if not words:
        raise UsageError("say it on the same line: hand over strainer is open, bowl on the bench")
    job.record("note", text=words, hand_over="yes")
    talk.say("  kept for whoever goes on.")
    raise Paused


def tools_of(bench: Bench) -> list[str]:
    """Return every tool that a question or check on the layout asks for, in order of name."""
    catalogue = bench.planner.catalogue
    checks = (bench.library.checks[c] for c, _ in catalogue.checks)
    questions = (bench.library.questions[r.question] for r in catalogue.readings)
    return sorted({t for c in checks for t in c.tools} | {t for q in questions for t in q.tools})


def at_hand(text: str, tools: list[str]) -> tuple[int, list[str] | None, str]:
    """Return (people, tools at hand or None for all, ground power: no or not said).

    ``text``: a number of people, then what is not at hand, with commas between.  A name takes out
    every tool it is a whole word or phrase of: 'borescope' takes out 'flexible borescope safe for
    vapour'; 'no tools' takes out all.  People are counted as people say it: '2 people', 'just me'.
    """
    people, power, out = 2, "not said", set()
    for name in (n.strip().lower() for n in text.split(",") if n.strip()):
        name = name.removeprefix("no ")
        fits = {t for t in tools if f" {name} " in f" {t.lower()} "}
        counted = _COUNTED.fullmatch(name)
        if name in _ALONE:
            people = 1
        elif counted:
            people = _FIGURE.get(counted[1]) or int(counted[1])
        elif name == "tools":
            out |= set(tools)
        elif name == "ground power":
            power = "no"
        elif fits:
            out |= fits
        else:
            near = get_close_matches(name, tools, 1)
            hint = f"Did you mean '{near[0]}'?" if near else f"Like {', '.join(tools[:3])}."
            raise UsageError(
                f"'{name}' is neither a number of people (1 to 9), nor ground power, nor one of "
                f"the {len(tools)} tools the checks here ask for; leave it out. {hint}"
            )
    return people, [t for t in tools if t not in out] if out else None, power
