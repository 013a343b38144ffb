"""Several readings at once at the terminal: announced as one, answered in one go or one by one."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from diagnose.by_key import by_key
from diagnose.cli.job import screens
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.grammar import number_of
from diagnose.job.answers import Answer, is_not_checked, read_answer, split_known_by, usually_known
from diagnose.job.bundle import all_well, by_number, each_read, read_together
from diagnose.job.choices import choose_some
from diagnose.job.day.before_run import STOP_AT_ONCE, set_up_words
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.knowledge_files import limit_of
from diagnose.model import Check, Finding, Question, RunState
from diagnose.planner import Action, Reading

_NUMBERED = re.compile(r"\d+\s*[:=]")
"""'1: dry' or '1 = dry': an answer that names its line."""


def card_lines(bench: Bench, action: Action) -> list[str]:
    """Return the readings of an action as a simple card: each setting, a numbered box a reading."""
    readings = number_of(len(action.readings), "reading")
    about = f"about {action.minutes:.0f} min"
    if action.is_run:
        lines = [f"ENGINE RUN: one start, {readings}, {about}"]
        lines += [x for stop in STOP_AT_ONCE for x in wrap(stop, "    ", "  Stop: ")]
    else:
        lines = [f"TOGETHER: {readings}, {about}"]
    for question in dict.fromkeys(r.question for r in action.readings):
        q = bench.library.questions[question]
        if q.how and not action.is_run:  # the card of a run is read beside the fuller one on paper
            lines += wrap(q.how, "    ", f"  How, {q.title}: ")
        lines += _how_to_write(bench, q)
    number = 0
    for state, group in _by_state(bench, action):
        title, settings = set_up_words(bench, state)
        lines += wrap(f"{title}{f' ({settings})' if settings else ''}:", "    ", "  ")
        for r in group:
            number += 1
            title = bench.library.questions[r.question].title
            box = f"{title}, {bench.places.label(r.place)}"
            lines += wrap(box, " " * 19, f"  {number:>3}  [          ]  ")
    return lines


def in_order(bench: Bench, action: Action) -> tuple[Reading, ...]:
    """Return the readings as the card numbers them: a run state after another."""
    return tuple(r for _, group in _by_state(bench, action) for r in group)


def answered_in_one_go(talk: Talk, job: Job, action: Action) -> bool:
    """Ask for all readings on one line; return False where they are to be asked one by one.

    What is left out of the line is kept as not checked.  All of it is kept, or none.
    """
    readings = in_order(job.bench, action)
    talk.say("All on one line, as '1: 9 psi, 2: normal, 3: -' ('-' or left out: not checked;")
    talk.say("'not checked' alone: none of them was);")
    if usual := all_well(readings, job.bench):
        talk.say(f"'{usual}' alone says it of all {len(readings)};")

    def read(text: str) -> Mapping[int, Answer] | None:
        return read_together(text, readings, job.bench) if text else None

    answers = talk.ask("readings (Enter: asked one by one):", read)
    if answers is None:
        return False
    keep(job, readings, answers)
    for k, r in enumerate(readings):
        q = job.bench.library.questions[r.question]
        said = "not checked"
        if k in answers:
            said = answers[k].note or q.classes[answers[k].value]
        where = job.bench.places.label(r.place)
        talk.say(wrap(f"{q.title}, {where}: {said}", " " * 6, f"  {k + 1:>2}  "))
    return True


def answered_alike(talk: Talk, job: Job, readings: Sequence[Reading]) -> bool:
    """Ask one question of several like parts; return False where they are to be asked one by one.

    A word alone holds for each of them; otherwise each is named by its number.
    """
    bench = job.bench
    q = bench.library.questions[readings[0].question]
    talk.say(screens.reading_lines(bench, *readings, findings=job.findings))
    label = next(iter(q.classes.values()))
    talk.say(_for_each(f"Look at each. '{label}'", len(readings), "not checked"))

    usual = next(iter(q.classes))

    def read(text: str) -> Mapping[int, Answer] | None:
        if not text:
            return None
        if _NUMBERED.match(text):
            return read_together(text, readings, bench)
        bare, every = _of_all(text)
        answer = read_answer(bare, q, bench.layout, readings[0].place)
        if answer.value not in ("", usual) and not every:
            raise _at_which(q.classes[answer.value], q.classes[usual], len(readings))
        return dict.fromkeys(range(len(readings)), answer) if answer.is_given else {}

    with talk.asked_for(q.why):
        answers = talk.ask("answer (Enter: asked one by one):", read)
    if answers is None:
        return False
    keep(job, tuple(readings), answers)
    return True


def _for_each(begins: str, count: int, left_out: str) -> list[str]:
    """Return how ``count`` places are answered for on one line."""
    form = "1: ..., 2: -" if count == 2 else "1: ..., 2: ..., 3: -"
    every = "both" if count == 2 else f"all {count}"
    told = f"{begins} alone says it of {every}; else by number, as '{form}'"
    return wrap(f"{told} ('-' or left out: {left_out}).", "  ", "  ")


def results_of(talk: Talk, check: Check, places: Sequence[str]) -> Mapping[str, Finding]:
    """Ask what a check showed, at one place or at several in one go; return the finding at each.

    A place at which nothing could be told is left out.
    """
    several, usual = len(places) > 1, next(iter(check.results))
    if several:
        label = next(iter(check.results.values()))
        talk.say(_for_each(f"'{label}'", len(places), "cannot tell"))

    def read(text: str) -> Mapping[str, Finding]:
        before, said = by_number(text)
        if not several or not said:
            bare, every = _of_all(text) if several else (text, True)
            one = _result(bare, check)
            if one and one.value != usual and not every:
                raise _at_which(check.results[one.value], check.results[usual], len(places))
            return {at: replace(one, at=at) for at in places} if one else {}
        if before:
            raise UsageError(f"'{before}' stands without the number of its line.")
        found = each_read(said, len(places), lambda k, typed: _result(typed, check, places[k]))
        return {f.at: f for f in found.values() if f}

    with talk.asked_for(check.aim):
        return talk.ask("results:" if several else "result:", read)


def _of_all(text: str) -> tuple[str, bool]:
    """Return an answer without the 'all' before it, and whether that was said."""
    word, _, rest = text.partition(" ")
    every = word.lower() in ("all", "both", "each") and bool(rest)
    return (rest, True) if every else (text, False)


def _at_which(found: str, usual: str, count: int) -> UsageError:
    """Return what is said of something amiss told without its place: it is seldom so at all."""
    return UsageError(
        f"'{found}' at which of the {count}? By number, as '1: {found}, 2: {usual}'; or with 'all' "
        f"before it where it is so at each."
    )


def _result(text: str, check: Check, at: str = "") -> Finding | None:
    """Return the finding that a typed result is, None where the check was not made."""
    bare, known = split_known_by(text)
    if not bare:
        raise UsageError("type the result, or 0 where the check was not made.")
    if is_not_checked(bare):
        return None
    results = choose_some(bare, check.results)
    left_open = results if len(results) > 1 else ()
    return Finding(check.id, at, results[0], known_by=known or "seen", check=True, one_of=left_open)


def keep(job: Job, readings: tuple[Reading, ...], answers: Mapping[int, Answer]) -> None:
    """Keep what was answered, and what was left out as not checked, as one group."""
    entries: list[tuple[str, Mapping[str, object]]] = []
    for k, r in enumerate(readings):
        if k not in answers:
            entries.append(("not-checked", {"reading": list(r.key)}))
            continue
        q = job.bench.library.questions[r.question]
        found = answers[k].finding(q.id, r.place, r.state, usually_known(q))
        kept = job.as_answered(found, r.key, note=answers[k].note)
        entries.append(("answered", kept))
    job.record_group(entries)


def _by_state(bench: Bench, action: Action) -> list[tuple[RunState | None, list[Reading]]]:
    """Return the readings by run state, as an engine is run: in the order the layout lists them."""
    groups = by_key((r.state_id, r) for r in action.readings)
    listed = ["", *(s.id for s in bench.layout.run_states)]
    return [(groups[s][0].run_state, groups[s]) for s in sorted(groups, key=listed.index)]


def _how_to_write(bench: Bench, question: Question) -> list[str]:
    """Return what can be written for a question, once for all its boxes."""
    limit = limit_of(question, bench.layout) if question.unit else None
    held = f", limit {limit.shown} ({limit.reference})" if limit else ""
    figure = f"a figure with its unit{held}, or " if question.unit else ""
    text = f"{figure}{' / '.join(question.classes)}"
    return wrap(text, "    ", f"  Write for {question.title}: ")
