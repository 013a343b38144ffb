"""The first page of a job: the report heard, what was touched, what is at hand."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from diagnose.cli.job.acts import at_hand, tools_of
from diagnose.cli.job.talk import Talk
from diagnose.errors import UsageError
from diagnose.job.answers import choose, numbered, read_answer
from diagnose.job.job import Job
from diagnose.job.report_words import Heard, Suggestion, hear
from diagnose.model import AEROPLANE, STAGES, Finding, Question, State
from diagnose.planner import Reading

NOTHING = ("", "0", "no", "none", "nothing", "not checked", "not known")
"""What people type where there is nothing to tell."""

LookOut = Callable[[], object]
"""Called after each answer: whoever tells of danger is stopped there, not a page later."""


def hear_report(talk: Talk, job: Job, look_out: LookOut) -> None:
    """Show what the report may speak of and take only what the person confirms."""
    heard = hear(str(job.state.opened.get("reported", "")), job.bench)
    if not heard.suggestions:
        talk.say("None of the report's words is known here; say what was found as questions come.")
        return
    talk.say("The report may speak of the following. Nothing is taken unless you say so.")
    places = _places(talk, job, heard)
    stage = _stage(talk, heard)
    for s in heard.suggestions:
        if s.trap:
            talk.say(f"  '{s.phrase}': {s.trap}.")
        if s.negated:
            talk.say(f"  '{s.phrase}' stands after a 'no'; it is asked about, not concluded from.")
        if s.question:
            _confirm(talk, job, s, places, State(stage, heard.settings))
            look_out()
        elif s.asks:
            titles = [job.bench.library.questions[q].title for q in s.asks]
            talk.say(f"  '{s.phrase}' ({s.means}): told apart by {', '.join(titles)}.")


def _places(talk: Talk, job: Job, heard: Heard) -> tuple[str, ...]:
    label = job.bench.places.label
    if heard.places:
        talk.say(f"Places named: {'; '.join(map(label, heard.places))}.")
        return heard.places
    engines = job.bench.places.engines
    if len(engines) == 1:
        return engines
    if heard.unclear_place:
        talk.say(heard.unclear_place)
    choices = {e: label(e) for e in engines}
    talk.say(["Which engine is spoken of?", *numbered(choices)])

    def read(text: str) -> tuple[str, ...]:
        if text in ("", "0", "not checked"):
            return ()
        return (choose(text, choices),)

    return talk.ask("engine:", read)


def _stage(talk: Talk, heard: Heard) -> str:
    if heard.stage:
        return heard.stage

    def read(text: str) -> str:
        return "" if text in ("", "0", "not known") else choose(text, {s: s for s in STAGES})

    talk.say("When was it seen? " + ", ".join(STAGES) + ", or 'not known'.")
    return talk.ask("stage:", read)


def _confirm(talk: Talk, job: Job, s: Suggestion, places: tuple[str, ...], said: State) -> None:
    bench = job.bench
    q = bench.library.questions[s.question]
    here = [p for p in places if bench.layout.parts[p].kind in q.at]
    if AEROPLANE in q.at:
        here = [AEROPLANE]
    for place in here or _which(talk, job, s, q):
        where = bench.places.label(place)
        # what power changes is told of the stage it was seen in, wherever it can be read today
        changes = "power" in bench.library.effects[q.reads].depends_on
        state = said if changes or not q.stages or said.stage in q.stages else State()
        if s.value and talk.yes(
            f"  '{s.phrase}': {q.title}, {where}: {q.classes[s.value]}. Take it?"
        ):
            job.answer(Finding(q.id, place, s.value, state, "told", typed=s.phrase))
        elif not s.value:
            talk.say([f"  '{s.phrase}': {q.ask}  -- {where}", *numbered(q.classes)])
            read = partial(read_answer, question=q, layout=bench.layout, place=place)
            answer = talk.ask("answer:", read)
            if answer.is_given:
                job.answer(answer.finding(q.id, place, state, "told"), note=answer.note)


def _which(talk: Talk, job: Job, s: Suggestion, q: Question) -> tuple[str, ...]:
    """Return the place meant where the report named none of the kind the question is asked at."""
    places = job.bench.places
    choices = {p: places.label(p) for kind in q.at for p in places.parts_of_kind(kind)}
    if not choices:
        return ()
    talk.say([f"  '{s.phrase}' ({q.title}): at which?", *numbered(choices)])

    def read(text: str) -> tuple[str, ...]:
        return () if text.lower() in NOTHING else (choose(text, choices),)

    return talk.ask("at:", read)


def first_page(talk: Talk, job: Job, look_out: LookOut) -> None:
    """Ask what costs nothing and perishes first; every question can be left with Enter."""
    talk.say("Before anything is touched (Enter leaves a question out):")
    _work(talk, job)
    for r in _openers(job):
        if r.key not in job.state.asked:
            quick(talk, job, r)
            look_out()
    _at_hand(talk, job)


def _openers(job: Job) -> list[Reading]:
    """Return what is asked before anything is done: of the aeroplane, and of each engine meant.

    These are asked of the people who were there, so they speak of no run state; a reading taken
    on a run may still be asked for later.  Among those of the engine are the few that tell
    whether it is fuel at all.
    """
    bench = job.bench
    told = [f.at for f in job.findings if f.value and bench.layout.parts[f.at].kind == "engine"]
    every = bench.places.engines
    engines = [e for e in every if e in told or len(every) == 1]
    possible = {(r.question, r.place) for r in bench.planner.catalogue.readings}
    questions = [q for q in bench.library.questions.values() if q.opening]
    return [
        Reading(q.id, place)
        # what can hurt somebody comes first
        for q in sorted(questions, key=lambda q: not q.gate)
        for place in (AEROPLANE, *engines)
        if (q.id, place) in possible
        and not any((f.question, f.at) == (q.id, place) for f in job.findings)
    ]


def quick(talk: Talk, job: Job, r: Reading) -> None:
    """Ask one question on one line."""
    q = job.bench.library.questions[r.question]
    where = "" if r.place == AEROPLANE else f"  -- {job.bench.places.label(r.place)}"
    talk.say([f"  {q.ask}{where}", *(f"  {line}" for line in numbered(q.classes))])

    def read(text: str) -> None:
        if not text:
            return
        answer = read_answer(text, q, job.bench.layout, r.place)
        if answer.is_given:
            job.answer(answer.finding(q.id, r.place, r.state, "told"), r, answer.note)
        else:
            job.skip(r)

    talk.ask("   ", read)


def _work(talk: Talk, job: Job) -> None:
    bench = job.bench
    talk.say(
        "  What was worked on since the last good run? (what, at which part; Enter: nothing known)"
    )

    def read(text: str) -> str:
        return text

    while True:
        text = talk.ask("    work:", read, own_words=True)
        if text.lower() in NOTHING:
            return
        what, _, place = text.rpartition(" at ")
        match = bench.places.find_places(place, bench.library.words.trade)
        if what and len(match.candidates) == 1 and not match.ambiguous:
            job.record("work", what=what, place=match.candidates[0])
            talk.say(f"    kept: {what}, {bench.places.label(match.candidates[0])}")
        elif what and place.strip().lower() in ("aeroplane", "airframe"):
            job.record("work", what=what, place=AEROPLANE)
        else:
            talk.say(f"    {match.ask or 'Say it as: strainer cleaned at no. 2 strainer.'}")


def _at_hand(talk: Talk, job: Job) -> None:
    there = tools_of(job.bench)
    hands, tools, power = talk.ask(
        "  How many people, and what is not at hand? (like: 1, mirror, ground power; "
        "Enter: two people, everything)",
        lambda text: at_hand(text, there),
        own_words=True,
    )
    run, indoors, wind = talk.ask(
        "  May an engine be run here today? (yes, no or hangar, then the wind: yes, 240/12 kn; "
        "Enter: yes)",
        _where,
        own_words=True,
    )
    job.record(
        "at-hand",
        tools=tools,
        hands=hands,
        may_run=run,
        ground_power=power,
        indoors=indoors,
        wind=wind,
    )


def _where(text: str) -> tuple[bool, bool, str]:
    """Return (an engine may be run, the aeroplane stands in a hangar, the wind as said)."""
    word, _, wind = (part.strip() for part in text.partition(","))
    if word.lower() not in ("", "y", "yes", "n", "no", "hangar"):
        raise UsageError(f"'{text}': type yes, no or hangar first, then a comma and the wind.")
    indoors = word.lower() == "hangar"
    return word.lower() in ("", "y", "yes"), indoors, wind
