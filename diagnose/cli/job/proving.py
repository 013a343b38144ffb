"""``diagnose job test``, ``exchange`` and ``beside``: measured tests and comparisons in a job."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.loading import job_at
from diagnose.cli.options import AsJson, JobId
from diagnose.cli.printing import answer, say
from diagnose.cli.room import wrap
from diagnose.errors import UsageError

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.job.diagnosis import Bench


def measured(
    context: typer.Context,
    job: JobId,
    kind: Annotated[str, typer.Argument(help="Kind of test; leave out for a list.")] = "",
    fields: Annotated[
        list[str] | None, typer.Argument(help="FIELD=VALUE; none prints the form.")
    ] = None,
    at: Annotated[str, typer.Option("--at", help="The part it is done at.")] = "",
    as_json: AsJson = False,
) -> None:
    """Keep a measured test, or print its form.

    Without fields its form is printed, cautions first.

    Example: diagnose job test 2026-11-25-01 timed-delivery --at no2-engine volume='5 imp gal' ...
    """
    from diagnose.job.measured.fields import FORMS, fill
    from diagnose.job.measured.proofs import keep, work_out

    taken = job_at(context, job)
    if not kind:
        say(f"{k:<15} {f.title}" for k, f in FORMS.items())
        return
    typed = {}
    for text in fields or ():
        name, equals, value = text.partition("=")
        if not equals:
            raise UsageError(f"'{text}' is not FIELD=VALUE; write like reads='14 psi'.")
        typed[name.strip()] = value
    if not typed:
        if kind not in FORMS:
            fill(kind, {})
        say(form_lines(taken.bench, kind))
        return
    proof = work_out(taken.bench, fill(kind, typed), at, date.today())
    keep(taken, proof)
    place = taken.bench.places.label(at)
    body = {
        "job": taken.name,
        "test": kind,
        "at": at,
        "place_label": place,
        "says": proof.says,
        "kit_out_of_date": proof.out_of_date,
        "findings": [
            {
                "question": f.question,
                "at": f.at,
                "check": f.check,
                "figure_si": f.number,
                "chances": dict(f.chances),
            }
            for f in proof.found
        ],
    }
    lines = [f"{FORMS[kind].title}, {place}: kept", *(f"  {line}" for line in proof.lines)]
    if not any(f.chances for f in proof.found):
        lines.append("  Not weighed: kept in the record, nothing is concluded from it here.")
    answer(as_json, body, lambda: lines)


def form_lines(bench: Bench, kind: str) -> list[str]:
    """Return the empty form of a test: cautions, remark, and one line a field."""
    from diagnose.cli.job.screens import cautions
    from diagnose.job.measured.fields import FORMS

    form = FORMS[kind]
    out = [f"{form.title} ({kind})", *cautions(bench, form.hazards)]
    out += wrap(form.remark, "  ")
    out.append("  By the aeroplane's approved data and licensed practice.")
    if form.at:
        out.append(f"  --at: {', '.join(bench.places.parts_of_kind(form.at))}")
    width = max(len(f.name) for f in form.fields)
    for f in form.fields:
        need = "" if f.required else " (may be left out)"
        out.append(f"  {f.name:<{width}}  {f.what}, {f.how}{need}")
    return out


def exchange(
    context: typer.Context,
    job: JobId,
    one: Annotated[str, typer.Argument(help="The part in doubt, by its id.")],
    other: Annotated[str, typer.Argument(help="Its neighbour of the same kind.")],
    serial: Annotated[str, typer.Option("--serial", help="Serial of the part in doubt.")] = "",
    other_serial: Annotated[
        str, typer.Option("--other-serial", help="Serial of its neighbour.")
    ] = "",
    result: Annotated[str, typer.Option("--result", help="What was seen; none: plan it.")] = "",
    left: Annotated[str, typer.Option("--left", help="back or exchanged.")] = "back",
) -> None:
    """Plan or keep an exchange of two like parts.

    Example: diagnose job exchange JOB left-cap right-cap

    It is refused where it could carry dirt or damage over.
    """
    from diagnose.cli.job.screens import cautions, check_lines
    from diagnose.job.measured.exchange import EXCHANGED, keep_exchange, refused, serial_of

    taken = job_at(context, job)
    bench = taken.bench
    known = [serial_of(bench.layout, p) for p in (one, other)]
    serials = (serial or known[0], other_serial or known[1])
    if result:
        keep_exchange(taken, one, other, serials, result, left)
        typer.echo(f"kept: {bench.places.label(one)} with {bench.places.label(other)}: {result}")
        return
    why = refused(bench, taken.findings, one, other)
    if why:
        raise UsageError(f"NOT EXCHANGED: {why}.")
    check = EXCHANGED[bench.layout.parts[one].kind]
    lines = cautions(bench, bench.library.checks[check].hazards)
    lines += check_lines(bench, check, bench.library.checks[check].minutes, one)
    lines.append("  Written down and tagged before anything is moved:")
    for part, number in zip((one, other), serials, strict=True):
        lines.append(f"    {bench.places.label(part)}: serial {number or '______________'}")
    say(lines)


def beside(
    context: typer.Context,
    job: JobId,
    question: Annotated[str, typer.Argument(help="The question, by its id.")],
    state: Annotated[str, typer.Option("--state", help="Run state, by its id.")] = "",
    as_json: AsJson = False,
) -> None:
    """Lay the figures of like places side by side.

    Example: diagnose job beside JOB fuel-pressure

    With the serials that the aeroplane's file gives.
    """
    from diagnose.job.measured.beside import beside_others
    from diagnose.planner import Reading

    taken = job_at(context, job)
    bench = taken.bench
    if question not in bench.library.questions:
        raise UsageError(f"'{question}' is not a question; `diagnose words` lists them.")
    states = {s.id: s for s in bench.layout.run_states}
    if state and state not in states:
        raise UsageError(f"'{state}' is not a run state here; there are {', '.join(states)}.")
    reading = Reading(question, "", states.get(state))
    rows = beside_others(bench, taken.findings, reading)
    shown = [{"place_label": label, "figure": words} for label, words in rows]
    body = {"job": taken.name, "question": question, "state": state, "figures": shown}
    lines = [f"{label}: {words}" for label, words in rows] or "No figures of it in that state."
    answer(as_json, body, lambda: lines)
