"""What every engine run asks for, on screen and on paper: confirmed before, and stopped for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.by_key import by_key
from diagnose.errors import UsageError
from diagnose.job.answers import is_not_checked
from diagnose.job.bundle import by_number, each_read
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.disturbed import initials
from diagnose.job.read_as_check import as_if_read
from diagnose.job.wording import all_of_them, setting_words
from diagnose.model import STAGES, RunState
from diagnose.planner import Reading

FOR_A_RUN = (
    "chocks fore and aft of the main wheels",
    "fire guard with extinguisher, in view of the cockpit",
    "area clear of people and loose things",
    "no line, cock or tank left open by earlier work",
)
"""Confirmed by a person before every engine run; unknown blocks the run (common practice)."""
FOR_POWER = FOR_A_RUN[1:]
"""The same before power on the fuel system; chocks matter only where a propeller turns."""

IN_THE_OPEN = "aeroplane in the open, clear of any hangar"
"""Confirmed besides where it was told to stand in a closed place."""


def for_a_run(job: Job) -> tuple[str, ...]:
    """Return what is confirmed before an engine run now: the usual, and what this job asks for."""
    return (*FOR_A_RUN, *asked_besides(job))


def asked_besides(job: Job) -> tuple[str, ...]:
    """Return what is confirmed besides the usual, by where it stood and by what was found.

    Water that came out of a drain keeps the engines still until somebody says that none comes.
    """
    stood = (IN_THE_OPEN,) if job.state.stood_indoors else ()
    return (*stood, *asked_by_what_was_found(job))


def asked_by_what_was_found(job: Job) -> tuple[str, ...]:
    """Return what must be so before an engine is run again, here or in flight."""
    if not any(s.before_run for s in job.bench.library.symptoms.values()):
        return ()  # nothing is weighed for it
    asked = [c.text for c in job.step().outcome.before_run]
    told = as_if_read(job)
    if told != job.step().read:
        asked += [c.text for c in job.bench.plain.outcome(dict(enumerate(told))).before_run]
    return tuple(dict.fromkeys(asked))


def gates_known(job: Job) -> tuple[str, ...]:
    """Return what was found safe before power or a run, for whoever answers for it."""
    return gate_words(job.bench, job.bench.planner.catalogue.gates)


def answered_for(text: str, wanted: Sequence[str]) -> Mapping[str, str]:
    """Return who answers for each of ``wanted``: 'all AB', or '1: AB, 2: CD, 3: no'.

    What is left out, or 'no', is not known and not in it.

    Raises:
        UsageError: If neither can be read of ``text``, or an initial is missing.
    """
    if text and (is_not_checked(text) or text.lower() in _UNKNOWN):
        return {}
    before, said = by_number(text)
    if before.lower().startswith("all") and not said:
        return dict.fromkeys(wanted, initials(before[len("all") :].strip(" ,;:")))
    if before or not said:
        raise UsageError(
            f"'{before or text}': type 'all' and your initials ('all AB') where every line is so, "
            "else each by its number ('1: AB, 2: no')."
        )
    who = each_read(said, len(wanted), lambda _, t: "" if t.lower() in _UNKNOWN else initials(t))
    return {wanted[k]: by for k, by in sorted(who.items()) if by}


_UNKNOWN = ("no", "n", "none", "not known", "0")
"""What is typed of a line that nobody answers for."""

STOP_AT_ONCE = (
    "Fuel smelt or a leak seen: stop by the approved drill, people clear; no restart.",
    "Fire: the approved drill at once; the fire guard acts, all others go clear.",
    "Guard out of sight, anybody near a propeller, a reading past its limit: stop.",
)
"""Stop limits of any run (common practice, no source); the approved data rules."""


def gate_words(bench: Bench, gates: Sequence[Reading]) -> tuple[str, ...]:
    """Return what must be known safe, the same question once for all its places."""
    places = by_key((g.question, g.place) for g in gates)
    label = bench.places.label
    questions = bench.library.questions
    return tuple(
        f"{questions[q].title}, {all_of_them(bench, at) or ' and '.join(map(label, at))}: "
        f"{questions[q].classes[questions[q].gate]}"
        for q, at in places.items()
    )


def set_up_words(bench: Bench, state: RunState | None) -> tuple[str, str]:
    """Return the title of a run state and the settings that its title does not say."""
    if state is None:
        return "At any time", ""
    parts, label = bench.layout.parts, bench.places.label
    # the stage says the power already, and 'power none' beside 'battery on' reads as switched off
    told = {d: v for d, v in state.settings.items() if (d, v) != ("power", STAGES.get(state.stage))}
    said = [label(v) if v in parts else setting_words(bench, d, v) for d, v in told.items()]
    title = state.title.lower().replace("cross-feed", "cross-feed open")
    more = [x for x in said if x and x not in title]
    return state.title, "; ".join([*more, f"{state.minutes:.0f} min"])
