"""The first page of a job: the report heard, what was touched, what is at hand."""

from __future__ import annotations

from functools import partial

from diagnose.cli.acts import at_hand, tools_of
from diagnose.cli.talk import Talk
from diagnose.errors import UsageError
from diagnose.job.answers import choose, numbered, read_answer
from diagnose.job.job import Job
from diagnose.job.report_words import Heard, Suggestion, hear
from diagnose.model import AEROPLANE, STAGES, Finding, State
from diagnose.planner import Reading


def hear_report(talk: Talk, job: Job) -> None:
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
    for place in here:
        where = bench.places.label(place)
        state = said if not q.stages or said.stage in q.stages else State()
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


def first_page(talk: Talk, job: Job) -> None:
    """Ask what costs nothing and perishes first; every question can be left with Enter."""
    bench = job.bench
    talk.say("Before anything is touched (Enter leaves a question out):")
    _work(talk, job)
    for r in bench.planner.catalogue.readings:
        q = bench.library.questions[r.question]
        if q.opening and r.place == AEROPLANE and r.key not in job.state.asked:
            quick(talk, job, r)
    _at_hand(talk, job)


def quick(talk: Talk, job: Job, r: Reading) -> None:
    """Ask one question on one line."""
    q = job.bench.library.questions[r.question]
    choices = "  ".join(f"{k} {label}" for k, label in enumerate(q.classes.values(), 1))
    talk.say([f"  {q.ask}", f"    {choices}  0 not checked"])

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
        if not text:
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
    run = talk.ask("  May an engine be run here today? (yes / no, Enter: yes)", _yes_or_enter)
    job.record("at-hand", tools=tools, hands=hands, may_run=run, ground_power=power)


def _yes_or_enter(text: str) -> bool:
    if text.lower() in ("", "y", "yes"):
        return True
    if text.lower() in ("n", "no"):
        return False
    raise UsageError(f"'{text}' is neither yes nor no; type yes or no.")
