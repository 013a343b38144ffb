"""``diagnose job complaint, complaints, split, merge``: several complaints of one aeroplane."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.loading import job_at, knowledge_root, part_named
from diagnose.cli.options import AsJson, JobId
from diagnose.cli.printing import answer
from diagnose.cli.room import wrap
from diagnose.errors import DiagnoseError, UsageError
from diagnose.job.keeping.hangar import Hangar, kept_from
from diagnose.model import AEROPLANE, STAGES

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.aeroplane.fuelling import SameFuel
    from diagnose.job.job import Job

By = Annotated[str, typer.Option("--by", help="Initials of who says so.")]


def complaint(
    context: typer.Context,
    job: JobId,
    at: Annotated[str, typer.Option("--at", help="The part it is about, by id or in words.")],
    text: Annotated[
        str, typer.Option("--text", help="The complaint, verbatim; none: place the report.")
    ] = "",
    time: Annotated[str, typer.Option("--time", help="When: 14:32, or with the day.")] = "",
    stage: Annotated[str, typer.Option("--stage", help="Stage of operation.")] = "",
    heat: Annotated[str, typer.Option("--heat", help="hot or cool.")] = "",
) -> None:
    """Add a complaint, or place the report itself.

    Example: diagnose job complaint JOB --at no3-engine --text 'No. 3 low all day'
    """
    from diagnose.job.several.complaints import clock

    taken = job_at(context, job)
    place = _place(taken, at)
    if stage and stage not in STAGES:
        raise UsageError(f"'{stage}' is not a stage; there are {', '.join(STAGES)}.")
    if heat not in ("", "hot", "cool"):
        raise UsageError(f"'{heat}' is neither hot nor cool.")
    said = {"place": place, "time": clock(time) if time else "", "stage": stage, "heat": heat}
    if text:
        number = taken.record("complaint", text=text, **said)["n"]
    else:
        number = 1
        taken.record("complaint-placed", of=number, **said)
    typer.echo(f"kept: complaint {number}, {taken.bench.places.label(place)}")
    if text:
        _hear(taken, text)


def _hear(job: Job, text: str) -> None:
    """Ask what of a complaint's words is to be taken: in the list alone they weigh nothing."""
    from diagnose.cli.job.added import told_in_words
    from diagnose.cli.job.talk import Again, Paused, Talk

    try:
        taken = told_in_words(Talk(), job, text)
    except (Paused, Again):
        taken = False
    if not taken:
        typer.echo(
            "  Nothing of it is taken as a finding yet; in the job, type: add and what it was"
        )


def complaints(context: typer.Context, job: JobId, as_json: AsJson = False) -> None:
    """List the complaints in clock order.

    Example: diagnose job complaints JOB

    With what they share, and who else had the same fuel.
    """
    from diagnose.cli.job.start import take_up
    from diagnose.job.several import complaints as c

    root = knowledge_root(context)
    taken, today = take_up(root, job), date.today()
    listed = c.complaints_of(taken.log.events)
    together = c.shared(taken.bench, listed, taken.state.before, today)
    which = c.one_or_two(taken.step())
    others, unread = _same_fuel(root, taken, today)
    label = taken.bench.places.label
    body = {
        "job": taken.name,
        "complaints": [
            {
                "number": x.number,
                "text": x.text,
                "at": x.place,
                "place_label": label(x.place),
                "time": x.time,
                "stage": x.stage,
                "heat": x.heat,
                "split_to": x.job,
            }
            for x in listed
        ],
        "shared": [
            {"kind": s.kind, "what": s.words, "complaints": list(s.numbers)} for s in together
        ],
        "one_cause": which.one,
        "two_causes": which.two,
        "same_fuel": [
            {
                "registration": s.registration,
                "source": s.theirs.source,
                "batch": s.theirs.batch,
                "on": s.theirs.on,
                "same_batch": s.same_batch,
            }
            for s in others
        ],
        "aeroplanes_not_read": unread,
    }
    out = ["Complaints in clock order (those without a time last):"]
    for x in listed:
        told = ", ".join(w for w in (x.stage, x.heat) if w)
        where = f"{label(x.place)}{f' [{told}]' if told else ''}"
        apart = f" (worked in job {x.job})" if x.job else ""
        out += wrap(f"{where}: {x.text}{apart}", " " * 12, f"  {x.number:>4}  {x.time or '-':<5} ")
    out.append("They share:")
    for s in together:
        numbers = " and ".join(str(n) for n in s.numbers)
        out += wrap(f"{s.words} (complaints {numbers})", " " * 10, f"  {s.kind:<7} ")
    if not together:
        out.append("  nothing that is known here")
    if sum(not x.job for x in listed) > 1:
        out.append(f"By all findings together: {which.word}.")
        out += [
            f"  Nothing found tells of complaint {x.number} yet, so that says nothing of it."
            for x in c.untold(taken.bench, listed, taken.amiss())
        ]
    out.append("Together or apart is your word: diagnose job split JOB NUMBER --by INITIALS.")
    out += _fuel_lines(others, unread)
    answer(as_json, body, lambda: out)


def split(
    context: typer.Context,
    job: JobId,
    number: Annotated[int, typer.Argument(help="The complaint to work apart, by its number.")],
    by: By = "",
) -> None:
    """Work one complaint in a job of its own.

    Example: diagnose job split JOB 2 --by AB

    The findings at its place go with it.
    """
    from diagnose.job.several.splitting import split_off

    taken = job_at(context, job)
    new = split_off(taken, number, by, date.today().isoformat())
    typer.echo(f"complaint {number} is worked in job {new.name}, {len(new.findings)} finding(s)")


def merge(
    context: typer.Context,
    job: JobId,
    other: Annotated[str, typer.Argument(help="The job whose complaints come over.")],
    by: By = "",
) -> None:
    """Take over the complaints of another open job.

    Example: diagnose job merge JOB OTHER --by AB

    It must be of the same aeroplane.
    """
    from diagnose.cli.job.start import take_up
    from diagnose.job.several.splitting import merge as together

    root = knowledge_root(context)
    taken = take_up(root, job)
    together(taken, take_up(root, other), by)
    typer.echo(f"job {other} is closed; its complaints are worked in {job}")


def _place(job: Job, text: str) -> str:
    if text in job.bench.layout.parts:
        return text
    if text.strip().lower() in (AEROPLANE, "airframe"):
        return AEROPLANE
    return part_named(job, text, f"'{text}' names no part; give its id.")


def _same_fuel(root: Path, job: Job, today: date) -> tuple[tuple[SameFuel, ...], list[str]]:
    """Return who had the same fuel, and the aeroplanes whose files cannot be read."""
    from diagnose.aeroplane.fuelling import fuelled_alike
    from diagnose.cli.aeroplane.own_file import laid

    own = job.bench.layout.aeroplane
    if own is None or not own.uplifts:
        return (), []
    others, unread = [], []
    for name, path in Hangar().files().items():
        if name == own.registration:
            continue
        try:
            other = laid(root, kept_from(path)).aeroplane
        except DiagnoseError:
            unread.append(name)
            continue
        if other is not None:
            others.append(other)
    return fuelled_alike(own, others, today), unread


def _fuel_lines(others: tuple[SameFuel, ...], unread: list[str]) -> list[str]:
    out = []
    if others:
        out.append("WARNING fuelled from the same source; sample them before they fly:")
    for s in others:
        batch = f", batch {s.theirs.batch}" if s.theirs.batch else ""
        sure = "same batch" if s.same_batch else "batch not written down on both"
        out.append(f"  {s.registration}: {s.theirs.source}{batch}, {s.theirs.on} ({sure})")
    if unread:
        out.append(f"  not read, so not known: {', '.join(unread)} (diagnose aeroplane check)")
    return out
