"""What is told where no check left is worth its time: what stands, what is left, in order."""

from __future__ import annotations

from collections.abc import Collection

from diagnose.belief import UNKNOWN
from diagnose.by_key import by_key
from diagnose.cli.job.at_hand import not_here
from diagnose.cli.room import wrap
from diagnose.job.diagnosis import Step
from diagnose.job.explain import LIKELY
from diagnose.job.job import Job
from diagnose.job.ranking import still_possible
from diagnose.job.wording import cause_words
from diagnose.model import CauseAt
from diagnose.planner.worth import HAND_OVER, check_minutes

LEFT = 5
"""Kinds of check told, the best first."""


def left_over(job: Job, step: Step, found: Collection[CauseAt] = ()) -> list[str]:
    """Return why to hand over now, and the checks that are left in their order.

    ``found``: what a check has confirmed, and was left as it is to look further.
    """
    bench, situation = job.bench, job.situation()
    planner = bench.planner
    names = "; ".join(cause_words(bench, c) for c in found)
    lines = wrap(
        f"{f'Found, and not mended yet: {names}. Beside it' if found else 'Not isolated here:'} no "
        "check left is worth its time by what is known. No one of them, nor all in their order, "
        f"saves what it costs, a hand-over reckoned as {HAND_OVER:.0f} min.",
        "  ",
        "",
    )
    lines += [] if found else _looked_for(job, step)
    if missing := not_here(job):
        lines += [*missing, "  When it can be had, type: at hand"]
    places = by_key(planner.in_order(job.diagnosis.belief, step.posterior, situation))
    lines.append("Left, best first:")
    for check, where in list(places.items())[:LEFT]:
        minutes = check_minutes(bench.net, check, where[0], situation.opened)
        more = f", and {len(where) - 1} like it" if len(where) > 1 else ""
        title = f"{bench.library.checks[check].title}, {bench.places.label(where[0])}"
        lines += wrap(f"{title}{more} (about {minutes:.0f} min)", "    ", "  - ")
    if len(places) > LEFT:
        lines.append(f"  - and {len(places) - LEFT} kinds of check more")
    return lines


def _looked_for(job: Job, step: Step) -> list[str]:
    """Return what to make of a likely cause that no check found and none left can find."""
    first = still_possible(step)[0]
    settled = (job.bench.planner.settles(c, job.situation()) for c in first.causes if c != UNKNOWN)
    if first.probability < LIKELY or first.causes[0] == UNKNOWN or any(settled):
        return []
    told = (
        f"Likely by the findings, and no check left here shows it: {first.short(job.bench)}. A "
        "check can miss and a reading be wrong: 'findings' lists what it rests on, 'change N' "
        "puts one right; the approved data may have a test of its own."
    )
    return wrap(told, "  ", "")
