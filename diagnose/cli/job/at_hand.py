"""Who and what is at hand: asked on the first page and at any prompt, or given as options.

What would tell most and cannot be done is told where it can still save somebody a detour.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any

from diagnose.by_key import by_key
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.answers import is_not_checked
from diagnose.job.at_hand import not_possible
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.events import JobState
from diagnose.job.keeping.stands import in_a_closed_place

NO_RUN = ("no run", "no runs", "no engine run")
ALL_HERE = ("all", "all tools", "an engine may be run", "everything", "yes", "y")
"""What people type where nothing is missing."""

WITHOUT_A_GUARD = "one person, so no fire guard: no run, no pump, and nothing that takes two"
"""What is said back where a bare '1' was typed, whatever was meant by it."""

MOST_NAMED = 6
"""Things not here that are said back by name."""

_COUNTED = re.compile(r"([1-9]|one|two|three|four)(?: (?:people|persons?|men|man|hands|of us))?$")
_FIGURE = {"one": 1, "two": 2, "three": 3, "four": 4}
_ALONE = ("just me", "only me", "me", "myself", "alone", "on my own", "by myself", "single-handed")
_WIND = re.compile(r"\d{1,3}\s*/\s*\d|calm$|light$|variable")


def ask_at_hand(talk: Talk, job: Job) -> None:
    """Ask who and what is here; what cannot be done with it is not offered."""
    tools = tools_of(job.bench)

    def read(text: str) -> dict[str, Any]:
        if is_not_checked(text):
            text = ""  # nothing is known to be missing
        said = [part.strip() for part in text.split(",") if part.strip()]
        low = [part.lower() for part in said]
        stands = {p: in_a_closed_place(p) for p in low}
        told = [closed for closed in stands.values() if closed is not None]
        indoors = any(told) if told else job.state.indoors
        here = [p for p in low if stands[p] is None]
        rest = [p for p in here if p not in (*NO_RUN, *ALL_HERE) and not _WIND.match(p)]
        return {
            **people_and_tools(", ".join(rest), tools),
            "may_run": not indoors and not set(low) & set(NO_RUN),
            "indoors": indoors,
            "wind": ", ".join(part for part in said if _WIND.match(part.lower())),
        }

    runs, stands_in = "an engine may be run", "hangar"
    if job.state.indoors:
        runs, stands_in = "no run in the closed place it stands in", "apron"
    asked = (
        f"What is here? Enter: two people, all tools, {runs}. Else, with commas: how many people, "
        f"what is NOT here, 'no run' or '{stands_in}', the wind (like: 1, mirror, ground power, "
        "no run, 240/12 kn):"
    )
    here = talk.ask("\n".join(wrap(asked, "  ")), read, own_words=True)
    job.record("at-hand", **here)
    if here != read(""):
        # a bare '1', typed as at the questions before, would take away all that takes two people
        talk.say(wrap(f"kept: {_here(job.state, tools)}. 'at hand' changes it.", "    ", "    "))
        talk.say(not_here(job))


def _here(state: JobState, tools: Sequence[str]) -> str:
    """Return what was typed of who and what is here, as it is taken."""
    people = f"{state.hands} people" if state.hands > 1 else WITHOUT_A_GUARD
    lacks = [t for t in tools if state.tools is not None and t not in state.tools]
    lacks += [] if state.ground_power else ["ground power"]
    missing = f"not here: {', '.join(lacks[:MOST_NAMED])}" if lacks else "all tools"
    if len(lacks) > MOST_NAMED:
        missing += f" and {len(lacks) - MOST_NAMED} more"
    said = [people, missing, "" if state.runs_here else "no engine run", state.wind]
    return "; ".join(filter(None, said))


def tools_of(bench: Bench) -> list[str]:
    """Return every tool that a question or check on the layout asks for, in order of name."""
    catalogue = bench.planner.catalogue
    checks = (bench.library.checks[c] for c, _ in catalogue.checks)
    questions = (bench.library.questions[r.question] for r in catalogue.readings)
    return sorted({t for c in checks for t in c.tools} | {t for q in questions for t in q.tools})


def people_and_tools(text: str, tools: Sequence[str]) -> dict[str, Any]:
    """Return how many people, which tools (None: all) and what ground power are here, as kept.

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
    left = [t for t in tools if t not in out] if out else None
    return {"tools": left, "hands": people, "ground_power": power}


MOST_TOLD = 3
"""Things told of: who fetches the trolley wants to know what for, not all that it could do."""


def not_here(job: Job) -> list[str]:
    """Return what would tell most and why it cannot be done; [] where nothing is missing."""
    unsafe = bool(job.refused_gates())
    step = job.step()
    missing = not_possible(job.bench, job.diagnosis.belief, step, job.state, unsafe=unsafe)
    once = list({(m.what, m.place): m for m in reversed(missing)}.values())[::-1][:MOST_TOLD]
    # what bars several is told once
    whys = by_key(
        (x.why_not, f"{x.what}, {x.place}{f' [{x.state}]' if x.state else ''}") for x in once
    )
    lines = [
        w for why, of in whys.items() for w in wrap(f"{'; '.join(of)}: {why}", "      ", "    - ")
    ]
    return ["  Would tell more, and cannot be done here:", *lines] if lines else []
