"""A case played as a job without a terminal: every step printed, the record kept like any other."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from diagnose.cli.job import screens
from diagnose.cli.loading import bench_at, own_layout
from diagnose.cli.printing import say, tell_warnings
from diagnose.cli.room import wrap
from diagnose.grammar import number_of
from diagnose.job.case_warnings import warnings_of
from diagnose.job.confirming import what_is_confirmed
from diagnose.job.day.closeout import inspect, leak_check, restore
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.job.wording import (
    action_words,
    after_finding,
    answer_words,
    finding_line,
    hazards_of,
    hazards_of_mending,
)
from diagnose.knowledge_files import layout_of_case, load_case
from diagnose.model import CauseAt
from diagnose.planner import Action
from diagnose.replay.answers import CaseAnswers

MOST_ACTIONS = 30


def play_file(root: Path, file: Path, evidence: str) -> None:
    """Open a job for the case in ``file`` and let the case answer what the tool asks."""
    layout = layout_of_case(file)
    bench = bench_at(root, layout, evidence)
    case = load_case(file, bench.library, bench.layout)
    tell_warnings(str(w) for w in warnings_of(bench, case))
    answers = CaseAnswers(case, bench.library, bench.layout)
    who = "invented aeroplane" if case.invented else f"case {case.id}"
    job = Job.open(
        Registry(),
        bench,
        date.today().isoformat(),
        case.reported,
        (),
        aeroplane=who,
        asked_by=f"case {case.id}",
        **own_layout(root, layout),
    )
    for work in case.before:
        job.record("work", what=work.what, place=work.at)
    say(screens.heading(job))
    say([*wrap(case.reported, "  ", "Reported: "), "Told with the report:"])
    for f in answers.told:
        job.answer(f)
        say(f"  - {finding_line(bench, f)}")
    told: set[str] = set()
    news = True
    for _ in range(MOST_ACTIONS):
        step = job.step()
        job.keep_ranking(step)
        say(screens.stops(bench, step.outcome.stops))
        if news:
            say(screens.possible(bench, step, 4, numbers=False))
        found = job.found(step)
        if found is not None:
            _found(job, found, told)
            break
        action = job.plan(step, deadline=float("inf")).action
        if action is None:
            say("Nothing more can be asked or checked: not isolated. That is a result.")
            break
        _closed_again(job)
        news = keep_action(job, answers, action, told)
    say(f"The record: diagnose job report {job.name}")


def _closed_again(job: Job) -> None:
    """Sign what the last check opened: a played job has nobody who would, and goes on."""
    joints = job.state.joints_open()
    for d in joints:
        restore(job, d.id, "AB")
        inspect(job, d.id, "CD")
    if joints:
        leak_check(job, dry=True, by="AB")
        say("  closed again, inspected by another person, leak-checked")


def keep_action(job: Job, answers: CaseAnswers, action: Action, told: set[str]) -> bool:
    """Do one action as the case answers it; return whether anything became known."""
    bench = job.bench
    say("")
    if action.is_check:
        check = bench.library.checks[action.check]
        say(f"NEXT  {action_words(bench, action)} (about {action.minutes:.0f} min)")
        _caution(job, check.hazards, told)
        shown = {at: answers.check(action.check, at) for at in action.places}
        found = [f for f in shown.values() if f is not None]
        left_out = [(check.id, at) for at, f in shown.items() if f is None]
        job.checked_together(found, left_out=left_out)
        for at, f in shown.items():
            where = f"{bench.places.label(at)}: " if len(shown) > 1 else ""
            say(f"  -> {where}{answer_words(check.results, f) if f else 'not checked'}")
        return bool(found)
    say(f"NEXT  {number_of(len(action.readings), 'reading')}, about {action.minutes:.0f} min")
    _caution(job, hazards_of(bench, action), told)
    any_answer = False
    for r in action.readings:
        question = bench.library.questions[r.question]
        got = answers.reading(r)
        state = f" [{r.run_state.title}]" if r.run_state else ""
        where = f"{question.ask} -- {bench.places.label(r.place)}{state}"
        if got is None:
            job.skip(r)
            say(f"  {where}  -> not checked")
        else:
            job.answer(got, r)
            say(f"  {where}  -> {answer_words(question.classes, got)}")
            any_answer = True
    return any_answer


def _caution(job: Job, hazards: tuple[str, ...], told: set[str]) -> None:
    """Print cautions in full the first time, by name afterwards."""
    new = [h for h in hazards if h not in told]
    say(screens.cautions(job.bench, new))
    old = [job.bench.library.hazards[h].title for h in hazards if h in told]
    if old:
        say(wrap(f"cautions as before: {', '.join(old)}", "    ", "  "))
    told.update(new)


def _found(job: Job, found: CauseAt, told: set[str]) -> None:
    cause = job.bench.library.causes[found.cause]
    told_what = what_is_confirmed(job.bench, job.step(), found)
    say(["", *wrap(f"A check confirms: {told_what}.", "  ", "")])
    job.record("part-found", cause=found.cause, place=found.at)
    if not cause.outside:
        _caution(job, hazards_of_mending(job.bench, cause), told)
    for name, text in after_finding(job.bench, found):
        say(wrap(text, "    ", f"  {name}: "))
