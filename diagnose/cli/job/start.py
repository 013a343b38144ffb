"""Opening a new job and taking up an old one."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path

from diagnose.cli.aeroplane.own_file import bench_of, file_entries, own_bench
from diagnose.cli.job.session import Session
from diagnose.cli.job.talk import Paused, Talk, in_words
from diagnose.cli.loading import bench_at, bench_kept, layouts_at, own_layout
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.grammar import number_of
from diagnose.job.choices import choose, numbered
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping.hangar import kept_in
from diagnose.job.keeping.log import JobLog
from diagnose.job.keeping.registry import UNREADABLE, Registry
from diagnose.job.several.splitting import MERGED_INTO

NOT_PAUSED = (
    "Note: it was not left by 'pause'. If it is open in another window still, close that one: "
    "whatever is typed there from now on is not kept."
)
"""Told where a job is taken up that may be open elsewhere, or was cut off."""

MEANWHILE = (
    "Was it flown, filled, worked on or left in the rain since? Tell that before anything else: "
    "'add' what was seen, 'note' the rest. Look anew at what was wet, smelt of fuel or stood open."
)
"""Asked of whoever takes up a job after a day or more."""

MOST_WORDS = 6
"""Words a registration, or the name of an aeroplane's file, is typed in at most."""


def start(root: Path, layout: str, report: str, typed: Mapping[str, str], evidence: str) -> None:
    """Open a job, asking for what is missing, and work it; ``evidence`` as ``compiled``."""
    talk = Talk()
    given = dict(typed)
    asking = sys.stdin.isatty()
    if asking and not given.get("aeroplane"):
        # first of all: its own file may say which layout it is
        which = "Which aeroplane (registration)? (Enter: leave empty)"
        given["aeroplane"] = talk.ask(which, _aeroplane, own_words=True)
    given |= own_layout(root, layout)
    own = own_bench(root, given.get("aeroplane", ""), layout, evidence)
    bench = own[0] if own else bench_at(root, layout or ask_layout(talk, root), evidence)
    said = report or talk.ask(
        "What was reported (in the words it was told)?",
        in_words("what was reported"),
    )
    if asking and not given.get("asked_by"):
        given["asked_by"] = talk.line("Your name? (Enter: leave empty)")
    if own:
        given["aeroplane"] = _registration(bench)
        if own[1].layout:
            given |= {"layout_file": f"{bench.layout.id}.yaml", "layout_text": own[1].layout}
    today = date.today()
    also = file_entries(bench, own[1], today) if own else ()
    job = Job.open(Registry(), bench, today.isoformat(), said, also, **given)
    if not own and given.get("aeroplane"):
        talk.say(f"No file for {given['aeroplane']}: limits are the layout's, no history is known.")
    Session(job).run()


def ask_layout(talk: Talk, root: Path) -> str:
    """Return the layout chosen from the list of those there are."""
    names = {name: layout.title for name, layout in layouts_at(root).items()}
    talk.say(["Which layout?", *list(numbered(names))[:-1]])
    return talk.ask("layout:", lambda text: choose(text, names))


def _registration(bench: Bench) -> str:
    own = bench.layout.aeroplane
    return own.registration if own else ""


def _aeroplane(text: str) -> str:
    if len(text.split()) > MOST_WORDS:
        raise UsageError("that reads like a report, which is asked for next; Enter if no name.")
    return text


def take_up(root: Path, name: str) -> Job:
    """Return the job ``name`` with the layout it was opened on."""
    registry = Registry()
    log = JobLog(registry.find(name))
    text = "the job has no opening entry; nothing was confirmed in it. Open a new one."
    opened = log.opening(text)
    kept = kept_in(log.events)
    # a job goes on with what it was begun with; before it was kept there was one kind only
    evidence = str(opened.get("evidence", "stated"))
    bench = bench_of(root, kept, evidence) if kept else bench_kept(root, opened, log.path, evidence)
    return Job(name, log, bench, registry)


def _was_paused(job: Job) -> bool:
    """Return whether whoever worked it last left by 'pause', so that no window has it open."""
    sessions = ("opened", "paused", "resumed")
    kinds = [str(e["event"]) for e in job.log.events if e["event"] in sessions]
    return kinds[-1:] == ["paused"]


def left_for(last: str, now: datetime) -> list[str]:
    """Return what is told ``now`` of a job ``last`` worked on some day before, [] the same day.

    ``last``: when, as its log keeps it; the days are those of the clock on the wall of ``now``.
    """
    then = datetime.fromisoformat(last).astimezone(now.tzinfo).date()
    days = (now.date() - then).days
    if days < 1:
        return []
    return wrap(f"Last worked on {then}, {number_of(days, 'day')} ago. {MEANWHILE}")


def goes_on(job: Job) -> bool:
    """Return whether a job may be gone on with; of one that was stopped it is asked, and why told.

    One that was merged into another goes on there.
    """
    talk = Talk()
    if job.state.phase not in ("stopped", "finished") and not _was_paused(job):
        talk.say(wrap(NOT_PAUSED))
    if job.state.phase not in ("stopped", "finished"):
        talk.say(left_for(str(job.log.events[-1]["at"]), datetime.now().astimezone()))
    if job.state.phase != "stopped":
        return True
    why = str(next(e["reason"] for e in reversed(job.log.events) if e["event"] == "stopped"))
    talk.say(f"Job {job.name} was stopped: {why}")
    try:
        return not why.startswith(MERGED_INTO) and talk.yes("Go on with it?")
    except Paused:
        return False


def renew_aeroplane(root: Path, job: Job) -> Job:
    """Return the job taken up again with its aeroplane's file as it is on disk now."""
    name = str(job.state.opened.get("aeroplane", ""))
    if not name:
        raise UsageError("no aeroplane is named in this job; leave --renew-aeroplane out.")
    own = own_bench(root, name, job.bench.layout.id, job.bench.evidence)
    if own is None:
        raise UsageError(f"there is no file for '{name}'; see `diagnose aeroplane list`.")
    again = Job(job.name, job.log, own[0], job.registry)
    again.record_group(file_entries(own[0], own[1], date.today(), job.state.before))
    return again


def the_open_one(registry: Registry) -> str:
    """Return the only job that is open."""
    left = [e for e in registry.entries() if e.state not in ("finished", "stopped", UNREADABLE)]
    if len(left) == 1:
        return left[0].id
    if not left:
        raise UsageError("no job is open; begin one with: diagnose job new")
    listed = "\n".join(f"  {e.id}  {e.layout}  {e.in_short}" for e in left)
    raise UsageError(f"{len(left)} jobs are open; say which, as diagnose job resume ID:\n{listed}")
