"""Opening a new job and taking up an old one."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from diagnose.cli.loading import bench_at, layout_at
from diagnose.cli.session import Session
from diagnose.cli.talk import Talk
from diagnose.errors import CaseError, Origin, Problem, UsageError
from diagnose.job.answers import choose, numbered
from diagnose.job.job import Job
from diagnose.job.log import JobLog
from diagnose.job.registry import Registry
from diagnose.knowledge_files import list_layouts
from diagnose.planner import Action


def start(root: Path, layout: str, report: str, typed: Mapping[str, str]) -> None:
    """Open a job, asking for what is missing, and work it."""
    talk = Talk()
    name = layout or _ask_layout(talk, root)
    bench = bench_at(root, name)
    said = report or talk.ask("What was reported (in the words it was told)?", _something)
    given = dict(typed)
    if sys.stdin.isatty():
        for key, what in (
            ("aeroplane", "Which aeroplane (registration)"),
            ("asked_by", "Your name"),
        ):
            given[key] = given.get(key) or talk.line(f"{what}? (Enter: leave empty)")
    job = Job.open(Registry(), bench, date.today().isoformat(), said, **given)
    Session(job).run()


def _ask_layout(talk: Talk, root: Path) -> str:
    names = {n: layout_at(root, n).title for n in list_layouts(root)}
    talk.say(["Which layout?", *list(numbered(names))[:-1]])
    return talk.ask("layout:", lambda text: choose(text, names))


def _something(text: str) -> str:
    if not text:
        raise UsageError("say what was reported in a few words.")
    return text


def take_up(root: Path, name: str) -> Job:
    """Return the job ``name`` with the layout it was opened on.

    Raises:
        UsageError: If there is no such job.
        CaseError: If its log cannot be read.
    """
    registry = Registry()
    log = JobLog(registry.find(name))
    if not log.events or log.events[0]["event"] != "opened":
        text = "the job has no opening entry; nothing was confirmed in it. Open a new one."
        raise CaseError([Problem(Origin(log.path.name, 1, 1), text)])
    return Job(name, log, bench_at(root, str(log.events[0].get("layout", ""))), registry)


def next_run(job: Job) -> Action:
    """Return the engine run that would tell most now.

    Raises:
        UsageError: If no run would tell anything.
    """
    planner = job.bench.planner
    step = job.step()
    run = planner.best_run(job.diagnosis.belief, step.posterior, job.situation())
    if run is None:
        raise UsageError(
            "no engine run would tell anything now; `diagnose job resume` shows what would."
        )
    return replace(run, gates=job.situation().open_gates)
