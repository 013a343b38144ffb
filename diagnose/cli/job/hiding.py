"""``diagnose job hidden`` and ``watch``: faults that do not always show."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.loading import job_at
from diagnose.cli.options import AsJson, JobId
from diagnose.cli.printing import answer
from diagnose.cli.room import wrap
from diagnose.errors import UsageError

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.job.hidden import Hiding, Tries


CHANCES = (0.5, 0.8, 0.9, 0.95)


def hidden(context: typer.Context, job: JobId, as_json: AsJson = False) -> None:
    """List the causes that do not always show.

    Example: diagnose job hidden JOB

    How to reach the condition of each, and how many tries catch it.
    """
    from diagnose.job import hidden as h

    taken = job_at(context, job)
    step = taken.step()
    tries, rows = h.tries_of(taken.bench, step.findings), h.hiding(taken.bench, step)
    body = {
        "job": taken.name,
        "tries_in_condition": tries.reached,
        "seen": tries.seen,
        "tries_outside_condition": tries.outside,
        "causes": [
            {
                "cause": r.cause.cause,
                "at": r.cause.at,
                "label": r.label,
                "word": r.word,
                "pattern": r.pattern,
                "chance_each_try": r.each_try,
                "reach": r.reach,
            }
            for r in rows
        ],
    }
    answer(as_json, body, lambda: _lines(tries, rows))


def _lines(tries: Tries, rows: tuple[Hiding, ...]) -> list[str]:
    from diagnose.job import hidden as h

    out = [
        f"Tried {tries.reached} times in the reported condition, seen {tries.seen}; "
        f"{tries.outside} tries outside it (what did not show there says nothing).",
    ]
    if tries.reached and not tries.seen:
        most = h.highest_rate(tries.reached)
        out += wrap(
            f"Not seen in {tries.reached}: at 95 % it may still come {most:.0%} of the time "
            "(rule of three, JAMA 249 (1983) 1743).",
            "  ",
        )
    out.append("Causes still possible that do not always show:")
    for r in rows:
        out += wrap(f"{r.label} ({r.pattern})", " " * 13, f"  {r.word:<9}  ")
        out += wrap(r.reach, " " * 13, " " * 13)
    if not rows:
        out.append("  none of those that stand high hides; repeat the reported state exactly")
    each = sorted({r.each_try for r in rows if r.each_try < 1.0} | {round(tries.each, 2)})
    out.append("Tries to see it at least once:  " + "  ".join(f"{c:.0%}" for c in CHANCES))
    for p in each:
        counts = "  ".join(f"{h.tries_for(c, p):>3}" for c in CHANCES)
        out.append(f"  where it shows {p:.0%} of the time:   {counts}")
    out.append("Write tries as an answer: 'low 2 of 5', or 'normal 5 of 5 not reached'.")
    return out


def watch(
    context: typer.Context,
    job: JobId,
    chance: Annotated[
        float, typer.Option("--chance", help="Chance of catching it, between 0 and 1.")
    ] = 0.9,
    each: Annotated[
        float | None,
        typer.Option("--each", help="Chance that it shows on a flight, where that is known."),
    ] = None,
    condition: Annotated[
        str, typer.Option("--condition", help="The conditions tried, in your words.")
    ] = "",
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep the job as not reproduced, open and watched.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Make the watch plan of a fault not reproduced.

    Example: diagnose job watch JOB --condition 'hot day, third climb' --keep

    With --keep the job stays open with it.
    """
    from diagnose.cli.job import screens
    from diagnose.job import hidden as h

    taken = job_at(context, job)
    if taken.state.phase in ("finished", "stopped"):
        raise UsageError(f"job {job} is {taken.state.phase}; nothing is watched on it.")
    try:
        plan = h.watch_plan(taken.bench, taken.step(), taken.findings, chance, each)
    except ValueError:
        raise UsageError("--chance and --each lie between 0 and 1, like .9.") from None
    if keep:
        if not condition:
            raise UsageError("say under which conditions it was tried: --condition TEXT.")
        h.keep_watch(taken, plan, condition)
    body = {
        "job": taken.name,
        "kept": keep,
        "reported": plan.condition,
        "tried_under": condition,
        "gauges": list(plan.gauges),
        "notes": list(plan.notes),
        "chance": plan.chance,
        "chance_each_flight": plan.each,
        "flights": plan.flights,
    }
    kept = ["Kept: the job stays open as not reproduced, and is watched."] if keep else []
    answer(as_json, body, lambda: [*screens.watch_lines(taken.name, plan, condition), *kept])
