"""The first page of a job: the report heard, what was touched, what is at hand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from diagnose.cli.job.added import keep_heard
from diagnose.cli.job.answered import answer_to
from diagnose.cli.job.at_hand import ask_at_hand
from diagnose.cli.job.beside_it import other_engines
from diagnose.cli.job.came_right import of_the_same, otherwise_set
from diagnose.cli.job.heard import (
    completed,
    confirmed,
    lacks_engine,
    lacks_stage,
    placed,
)
from diagnose.cli.job.meant import report_as_meant
from diagnose.cli.job.talk import Talk
from diagnose.cli.job.work_done import work_done
from diagnose.cli.room import wrap
from diagnose.job.answers import nothing, read_answer
from diagnose.job.choices import numbered
from diagnose.job.epochs import needs_it_running
from diagnose.job.hearing.figures_placed import figures_placed
from diagnose.job.hearing.not_heard import NotHeard, not_heard
from diagnose.job.hearing.report_words import listened
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.job.job import Job
from diagnose.job.refining import answered_first
from diagnose.job.starting import STARTING, dead, shows_its_running, started
from diagnose.job.wording import state_words
from diagnose.knowledge_files.cutting import why_unclassed
from diagnose.model import AEROPLANE, Question
from diagnose.planner import Reading
from diagnose.signs import is_normal

MOST_OPENERS = 4
"""Questions on the first page beside the gates: cold people stop answering (no source)."""

WORTH_OPENING = 0.1
"""Bits an answer must give to be asked for before anything is looked at (no source)."""

MOST_WITH_PAPERS = 5
"""With those that pay only because nobody is called away for them later (no source)."""

QUICK = 2.0
"""Minutes of a question that is asked there; adding up the fuel record is no such question."""

LookOut = Callable[[], object]
"""Called after each answer: whoever tells of danger is stopped there, not a page later."""


def hear_report(talk: Talk, job: Job, look_out: LookOut) -> None:
    """Hear the report; where nothing amiss was taken of it, ask what was amiss in other words."""
    _hear(talk, job, str(job.state.opened.get("reported", "")), look_out)
    while not _told_amiss(job):
        said = talk.ask(
            "Nothing amiss was taken from the report. What was amiss, and where, in other words? "
            "(Enter: go on):",
            str,
            own_words=True,
        )
        if nothing(said):
            return
        job.record("note", text=f"said of the report: {said}")
        _hear(talk, job, said, look_out)


def _told_amiss(job: Job) -> list[Question]:
    """Return what was told not to be as it should, on any part, as the questions it answers."""
    library = job.bench.library
    asked = [(f, library.questions[f.question]) for f in job.findings if not f.check]
    # what is asked of the day and the circumstances is no complaint; a smell of fuel is one
    return [
        q for f, q in asked if (q.stages or q.gate or not q.opening) and not is_normal(f, library)
    ]


def _of_the_trouble(q: Question, amiss: Sequence[Question]) -> bool:
    """Return whether ``q`` can be asked of what is ``amiss``, where anything was told so.

    Of a gauge, a lamp or a leak nobody is asked how the engine starts, nor of what shows with the
    engine stopped, how long after the start it came.
    """
    if not amiss:
        return True
    if q.id == STARTING[0]:
        return any(shows_its_running(told) for told in amiss)
    return q.implied_by is None or any(told.id in q.implied_by.of for told in amiss)


def _hear(talk: Talk, job: Job, words: str, look_out: LookOut) -> None:
    """Show what ``words`` may speak of and take only what the person confirms."""
    report = report_as_meant(talk, words, job.bench)
    told = {(f.question, f.typed) for f in job.findings}  # before it was cut off
    whole = listened(report, job.bench)
    heard_before = words in talk.turned_down
    settled = told | talk.turned_down.get(words, set())
    unheard = [] if heard_before else list(not_heard(whole, job.bench, told))
    heard = tuple(s for s in whole.said if (s.question, s.phrase) not in settled)
    if not heard and not told and not heard_before and not any(clause.may for clause in unheard):
        talk.say("None of the report's words is known here; say what was found as questions come.")
        return
    talk.say(f"  '{s.phrase}': {s.trap}." for s in heard if s.trap)
    questions = job.bench.library.questions
    # what can hurt somebody is settled before anything is asked that only sorts the rest
    danger = [
        s
        for s in heard
        if s.value
        and questions[s.question].gate not in ("", s.value)
        and not (lacks_engine(job.bench, s) or lacks_stage(job.bench, s))
    ]
    _take(talk, job, danger, look_out)
    rest = of_the_same(job.bench, [s for s in heard if s not in danger])
    placed_ = figures_placed(job.bench, completed(talk, job.bench, rest))
    heard = tuple(otherwise_set(talk, job.bench, placed_))
    _take(talk, job, [s for s in heard if s.value], look_out, unheard)
    kept = {(f.question, f.typed) for f in job.findings}
    # what was not taken is not offered again; what is taken back is
    offered = {(s.question, s.phrase) for s in whole.said if s.value}
    talk.turned_down.setdefault(words, set()).update(offered - kept)
    for s in heard:
        if s.negated:
            talk.say(f"  '{s.phrase}' stands after a 'no'; it is asked about, not concluded from.")
        if s.question and not s.value:
            _ask(talk, job, s)
            look_out()
        elif s.asks and not s.value:
            titles = [job.bench.library.questions[q].title for q in s.asks]
            told_by = (
                f"'{s.phrase}' ({s.means}) can be several things; what tells: {', '.join(titles)}."
            )
            talk.say(wrap(told_by, "  "))


def _take(
    talk: Talk,
    job: Job,
    ready: Sequence[Suggestion],
    look_out: LookOut,
    unheard: Sequence[NotHeard] = (),
) -> None:
    """Keep of ``ready`` what the person confirms: what can hurt first, what needs a place last."""
    gate = {q.id: q.gate for q in job.bench.library.questions.values()}
    taken = confirmed(talk, job.bench, ready, unheard=unheard)
    taken.sort(key=lambda s: (not gate[s.question], not s.places))
    keep_heard(talk, job, taken, look_out)


def _ask(talk: Talk, job: Job, s: Suggestion) -> None:
    bench = job.bench
    q = bench.library.questions[s.question]
    if not s.places:
        s = placed(talk, job.bench, s)
    if s.one_of_places:
        talk.say(f"  '{s.phrase}': it is asked where its place is known; type 'add' for it then.")
    # what was picked of words not understood may have answered it meanwhile
    told = {p for f in job.findings if f.question == q.id and f.value for p in f.places}
    known = set() if s.negated or s.state.known() else told
    for place in [p for p in s.places if p not in known]:
        words = state_words(bench, s.state)
        where = bench.places.label(place) + (f" [{words}]" if words else "")
        talk.say([f"  '{s.phrase}': {q.ask}  -- {where}", *numbered(q.classes)])
        # 'down 30 gal' is no reading of what a limit never tells apart
        figure = s.number is not None and bool(q.cut)
        if figure:
            talk.say(f"  The figure is kept; {why_unclassed(q, bench.layout)}. 0 calls it nothing.")
        answer = answer_to(talk, bench, q, place)
        if figure and answer.number is None:
            answer = replace(answer, number=s.number, typed=s.phrase)
        if answer.is_given:
            job.answer(answer.finding(q.id, place, s.state, "told"), note=answer.note)


def worked_on(talk: Talk, job: Job, _: LookOut) -> None:
    """Ask how the others were and what was done last."""
    talk.say("Before anything is touched (Enter leaves a question out):")
    other_engines(talk, job)
    work_done(talk, job)


def first_page(talk: Talk, job: Job, look_out: LookOut) -> None:
    """Ask what costs nothing and perishes first; every question can be left with Enter."""
    talk.say("From those who were there, or at a glance:")
    asked = 0
    while (r := _next_opener(job, asked)) is not None:
        quick(talk, job, r)
        look_out()
        asked += not job.bench.library.questions[r.question].gate
    ask_at_hand(talk, job)


def _next_opener(job: Job, asked: int) -> Reading | None:
    """Return what is asked next on the first page: every gate, then the few that tell most now.

    What is left stays with the planner, which asks it once it is worth its minute.
    """
    left = [r for r in openers(job) if r.key not in job.state.asked]
    questions = job.bench.library.questions
    gates = [r for r in left if questions[r.question].gate]
    if gates:
        return gates[0]  # what can hurt somebody comes first, told of or not
    if left and asked < MOST_OPENERS:
        best, bits = job.telling(left)[0]
        if bits >= WORTH_OPENING:
            return best
    # and what would else be asked for with the work begun
    papers = job.asked_before_work(QUICK) if asked < MOST_WITH_PAPERS else ()
    return next((r for r in papers if r in left), None)


def openers(job: Job) -> list[Reading]:
    """Return what can be asked before anything is done: of the aeroplane, and each engine meant.

    These are asked of the people who were there, so they speak of no run state; a reading taken
    on a run may still be asked for later.  Among those of the engine are the few that tell
    whether it is fuel at all.
    """
    bench = job.bench
    told = [p for f in job.findings if f.value for p in f.places
            if bench.layout.parts[p].kind == "engine"]  # fmt: skip
    every = bench.places.engines
    engines = [e for e in every if e in told or len(every) == 1]
    possible = {(r.question, r.place) for r in bench.planner.catalogue.readings}
    questions = [q for q in bench.library.questions.values() if q.opening]
    ran = started(bench, job.findings, job.state.epoch)
    amiss = _told_amiss(job)
    return [
        Reading(q.id, place)
        for q in questions
        for place in (AEROPLANE, *engines)
        if (q.id, place) in possible
        and not (needs_it_running(q) and dead(bench, job.state.findings, job.state.epoch, place))
        and not (q.id == STARTING[0] and place in ran)
        and _of_the_trouble(q, amiss)
        and not any((f.question, f.at) == (q.id, place) for f in job.findings)
        and answered_first(q, place, job.findings)
    ]


def quick(talk: Talk, job: Job, r: Reading) -> None:
    """Ask one question on one line."""
    q = job.bench.library.questions[r.question]
    where = "" if r.place == AEROPLANE else f"  -- {job.bench.places.label(r.place)}"
    talk.say([f"  {q.ask}{where}", *(f"  {line}" for line in numbered(q.classes))])

    def read(text: str) -> None:
        answer = read_answer(text, q, job.bench.layout, r.place)
        if answer.is_given:
            job.answer(answer.finding(q.id, r.place, r.state, "told"), r, answer.note)
        else:
            job.skip(r)

    with talk.asked_for(q.why):
        talk.ask("   ", read)
