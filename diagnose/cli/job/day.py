"""``diagnose job state, disturb, close, flight, possible, handover``: the day around the run."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.job.talk import Paused, Talk
from diagnose.cli.loading import job_at, part_named
from diagnose.cli.options import AsJson, JobId, Written
from diagnose.cli.printing import answer, print_json, put, say
from diagnose.errors import UsageError
from diagnose.model import AEROPLANE

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.job.job import Job

By = Annotated[str, typer.Argument(help="Your initials.")]


def state(context: typer.Context, job: JobId, as_json: AsJson = False) -> None:
    """List what is disturbed and what is outstanding.

    Example: diagnose job state JOB
    """
    from diagnose.cli.job.screens import disturbed_lines
    from diagnose.job.day.closeout import outstanding

    taken = job_at(context, job)
    label = taken.bench.places.label
    items = taken.state.disturbed.values()
    left = outstanding(taken)
    body = {
        "job": taken.name,
        "phase": taken.state.phase,
        "disturbed": [
            {
                "item": d.id,
                "kind": d.kind,
                "what": d.what,
                "at": d.place,
                "place_label": label(d.place),
                "restored_by": d.restored,
                "inspected_by": d.inspected,
                "open": d.open,
            }
            for d in items
        ],
        "outstanding": [{"step": x.step, "item": x.item, "text": x.text} for x in left],
    }

    def lines() -> Iterator[str]:
        yield f"job {taken.name}: {taken.state.phase}"
        yield "Disturbed on the aeroplane:"
        yield from disturbed_lines(taken) or ["  nothing"]
        yield "Outstanding before the job is finished:"
        yield from [f"  {x.step:<10} {x.text}" for x in left] or ["  nothing"]

    answer(as_json, body, lines)


def disturb(
    context: typer.Context,
    job: JobId,
    kind: Annotated[str, typer.Argument(help="line, control, panel, cock, tank, tool ...")],
    what: Annotated[str, typer.Argument(help="In a few words.")],
    at: Annotated[str, typer.Option("--at", help="At which part.")],
    restore: Annotated[str, typer.Option("--restore", help="What restores it.")] = "",
) -> None:
    """Enter something disturbed that no check of the job tells of.

    Example: diagnose job disturb JOB panel 'cowling off' --at engine
    """
    from diagnose.job.day.closeout import disturb as keep

    taken = job_at(context, job)
    place = at if at == AEROPLANE else part_named(taken, at, f"'{at}' is no part of the layout.")
    event = keep(taken, kind, what, place, restore)
    typer.echo(f"kept as {event['n']}.1: {kind}, {what}, {taken.bench.places.label(place)}")


FINISHED = "Nothing is outstanding: the job is finished."


def close(context: typer.Context, job: JobId) -> None:
    """Sign what is outstanding, line by line.

    Example: diagnose job close JOB

    Restored, inspected, leak-checked, verified, followed up. Only an empty list closes a job.
    """
    from diagnose.cli.job.shutting import sign_off
    from diagnose.job.day.closeout import finish_if_proved, outstanding

    taken = job_at(context, job)
    try:
        sign_off(Talk(), taken)
    except Paused:
        typer.echo("Left; what was signed is kept.")
    left = outstanding(taken)
    done = f"Nothing is outstanding. Finish it with: diagnose job resume {taken.name}"
    if finish_if_proved(taken):
        done = FINISHED
    say([f"  open: {x.text}" for x in left] or done)


def flight(
    context: typer.Context,
    job: JobId,
    seen: Annotated[str, typer.Argument(help="clear, or again (the trouble was seen again).")],
    by: By,
    text: Annotated[str, typer.Argument(help="What the crew wrote down.")] = "",
) -> None:
    """Keep one watched flight.

    Example: diagnose job flight JOB clear AB 'steady in the climb'
    """
    from diagnose.job.day.closeout import finish_if_proved
    from diagnose.job.day.closeout import flight as keep

    if seen not in ("clear", "again"):
        raise UsageError(f"'{seen}': say clear or again.")
    taken = job_at(context, job)
    keep(taken, seen == "clear", by, text)
    if seen == "again":
        typer.echo(
            f"The trouble came back: the job is open again. diagnose job resume {taken.name}"
        )
    else:
        typer.echo(f"Flown and clear: {taken.state.flown} of {taken.state.flights}.")
        goes_on = f"The job is not finished yet: diagnose job resume {taken.name}"
        typer.echo(FINISHED if finish_if_proved(taken) else goes_on)


def possible(context: typer.Context, job: JobId, as_json: AsJson = False) -> None:
    """Show what can be done here now, and what cannot.

    Example: diagnose job possible JOB

    With the reason, and what it would tell.
    """
    from diagnose.job.at_hand import not_possible
    from diagnose.job.wording import action_words

    taken = job_at(context, job)
    step = taken.step()
    plan = taken.plan(step, deadline=2.0)
    offered = [a for a in (plan.action, *plan.others) if a is not None]
    shut = taken.refused_gates()
    missing = not_possible(
        taken.bench, taken.diagnosis.belief, step, taken.state, unsafe=bool(shut)
    )
    now = [(action_words(taken.bench, a), a.minutes, a.is_run) for a in offered]
    body = {
        "job": taken.name,
        "now": [{"what": what, "minutes": minutes, "run": run} for what, minutes, run in now],
        "not_possible": [vars(x) for x in missing],
    }

    def lines() -> Iterator[str]:
        yield "Can be done here now, best first:"
        for what, minutes, run in now:
            yield f"  {'engine run: ' if run else ''}{what} (about {minutes:.0f} min)"
        if not now:
            yield "  nothing that would tell anything"
        yield "Not possible here:"
        for x in missing:
            yield f"  {x.what}, {x.place}{f' [{x.state}]' if x.state else ''}: {x.why_not}"
            if x.tells:
                yield f"      {x.tells}"
        if not missing:
            yield "  nothing is missing"

    answer(as_json, body, lines)


def at_hand(
    context: typer.Context,
    job: JobId,
    people: Annotated[int, typer.Option("--people", help="How many.", min=1, max=9)] = 2,
    without: Annotated[
        list[str] | None, typer.Option("--without", help="A tool, or 'ground power'; repeat.")
    ] = None,
    run: Annotated[bool, typer.Option("--run/--no-run", help="May an engine be run?")] = True,
    hangar: Annotated[
        bool | None, typer.Option("--hangar/--apron", help="Where it stands, else as told before.")
    ] = None,
    wind: Annotated[str, typer.Option("--wind", help="As you say it: 240/12 kn.")] = "",
    too_windy: Annotated[
        bool, typer.Option("--too-windy", help="Too much for a run-up, by the approved data.")
    ] = False,
) -> None:
    """Enter what is at hand: people, tools, place, wind.

    Example: diagnose job at-hand JOB --people 1 --without mirror --no-run

    Only what can be done with it is offered from now on.
    """
    from diagnose.cli.job.at_hand import people_and_tools, tools_of

    taken = job_at(context, job)
    said = ", ".join([str(people), *(without or [])])
    indoors = taken.state.indoors if hangar is None else hangar
    taken.record(
        "at-hand",
        **people_and_tools(said, tools_of(taken.bench)),
        may_run=run and not indoors,
        indoors=indoors,
        wind=wind,
        wind_too_strong=too_windy,
    )
    possible(context, job)


def handover(
    context: typer.Context,
    job: JobId,
    form: Annotated[str, typer.Option("--format", help="text, html or json.")] = "text",
    output: Written = None,
    by: Annotated[str, typer.Option("--by", help="Hand over, with your initials.")] = "",
    confirm: Annotated[
        bool, typer.Option("--confirm", help="Take over: confirm line by line with initials.")
    ] = False,
) -> None:
    """Hand a job over, or take it over line by line.

    Example: diagnose job handover JOB --by AB

    Proved, only believed, disturbed, to beware of, next and why. While a line is not confirmed no
    run card is printed.
    """
    from diagnose.job.day.handover import Line, give, lines
    from diagnose.report import handover as paper

    if form not in ("text", "html", "json"):
        raise UsageError(f"'{form}' is not a form of the handover; say text, html or json.")
    taken = job_at(context, job)
    if confirm:
        _confirm(taken)
        return
    given = give(taken, by)["lines"] if by else []
    kept = [Line(key, text) for key, text in given] or list(lines(taken))
    if form == "json":
        print_json(paper.as_data(taken, kept))
        return
    put(paper.as_text(taken, kept) if form == "text" else paper.as_html(taken, kept), output)


def _confirm(job: Job) -> None:
    from diagnose.cli.job import screens
    from diagnose.cli.job.added import told_in_words
    from diagnose.job.day.handover import HEADS, Line, take

    if not job.state.handover:
        raise UsageError(
            "no handover waits to be confirmed; hand over with `diagnose job handover --by AB`."
        )
    talk = Talk()
    talk.say(f"Handed over by {job.state.giver}. For each line: your initials, or")
    talk.say("'no AB what is otherwise', or 'later'; 'pause' leaves.")
    kind = ""
    try:
        for key, text in list(job.state.handover.items()):
            line = Line(key, text)
            if line.kind != kind:
                kind = line.kind
                talk.say(f"{HEADS.get(kind, kind)}:")
            talk.say(f"  {text}")

            def read(said: str, key: str = key) -> str:
                word, _, rest = said.partition(" ")
                if word.lower() == "pause":
                    raise Paused
                if word.lower() == "later":
                    return ""
                if word.lower() != "no":
                    take(job, key, said)
                    return ""
                who, _, why = rest.partition(" ")
                if not why:
                    raise UsageError("say it as: no AB what is otherwise")
                take(job, key, who, why)
                return why

            otherwise = talk.ask("  initials:", read, own_words=True)
            if otherwise and not told_in_words(talk, job, otherwise):
                talk.say("  kept in words; what it changes, add when the job goes on.")
    except Paused:
        pass
    if job.state.handover:
        talk.say(f"{len(job.state.handover)} line(s) still open; what was confirmed is kept.")
        return
    talk.say(screens.not_so(job) or "All lines confirmed.")
    talk.say(f"Go on with: diagnose job resume {job.name}")
