"""What was heard in free words: shown, completed where it leaves place or run state open, taken."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from diagnose.cli.job.suggested import said_line, show_not_taken
from diagnose.cli.job.talk import Talk
from diagnose.cli.room import wrap
from diagnose.counted import whole_number
from diagnose.errors import UsageError
from diagnose.job.answers import is_not_checked, nothing
from diagnose.job.choices import choose, choose_places, numbered
from diagnose.job.diagnosis import Bench
from diagnose.job.epochs import needs_it_running
from diagnose.job.hearing.clauses import clauses
from diagnose.job.hearing.not_heard import NotHeard
from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.told_state import state_told
from diagnose.job.hearing.trouble import is_amiss
from diagnose.job.hearing.vocabulary import Suggestion
from diagnose.model import AEROPLANE, RUNNING, STAGES, Finding, Question, State
from diagnose.planner import Reading

_AND = re.compile(r"\s*(?:,|&|\band\b)\s*", re.IGNORECASE)
"""Between places that are each meant."""
MOST_LISTED = 999
"""Nobody means more lines than that by 'from - to'."""
LEAVE_OUT = ("0", "none", "no", "nothing")
"""What takes back what was picked; whoever does not know the place has still been told of it."""


def confirmed(
    talk: Talk,
    bench: Bench,
    ready: Sequence[Suggestion],
    what: str = "The report",
    unheard: Sequence[NotHeard] = (),
) -> list[Suggestion]:
    """Show what was understood as one list and return the lines the person takes.

    ``unheard``: what was not, shown below it with what it may mean.  'all' takes none of that.
    """
    if ready:
        talk.say(f"{what} may speak of the following. Nothing is taken unless you say so.")
    for k, s in enumerate(ready, start=1):
        talk.say(f"  {k}  '{s.phrase}': {said_line(bench, s)}")
    near = show_not_taken(talk, bench, unheard, len(ready) + 1)
    listed = [*ready, *near]
    if not listed:
        return []
    every = f"all of 1 to {len(ready)}, " if near and len(ready) > 1 else "" if near else "all, "

    def read(text: str) -> list[Suggestion]:
        low = text.lower().replace(",", " ")
        if low in ("all", "yes", "y") and ready:
            return list(ready)
        if nothing(text) and text:
            return []
        numbers = [n for w in low.split() if w != "and" for n in _span(w)]
        if not numbers or not all(1 <= n <= len(listed) for n in numbers):
            said = f"'{text}': type" if text else "Type"
            raise UsageError(f"{said} {every}none, or numbers from 1 to {len(listed)}.")
        return [listed[n - 1] for n in dict.fromkeys(numbers)]

    taken = talk.ask(f"Take which? ({every}none, or the numbers that are right):", read)
    return [s for s in taken if s in ready] + completed(
        talk, bench, [s for s in taken if s in near]
    )


def _span(word: str) -> Iterable[int]:
    """Return the numbers a word means: '3', or '1-5' for each of them; 0 for none."""
    first, dash, last = word.partition("-")
    low, high = whole_number(first) or 0, whole_number(last if dash else first) or 0
    return range(low, high + 1) if 0 < low <= high <= MOST_LISTED else (0,)


def completed(talk: Talk, bench: Bench, heard: Sequence[Suggestion]) -> list[Suggestion]:
    """Ask once for the engine and the stage that the report leaves open; return all with both."""
    out = list(heard)
    nowhere = [s for s in out if lacks_engine(bench, s)]
    for side in dict.fromkeys(s.among for s in nowhere):
        # what is said of port is no answer for what is said of starboard
        here = [s for s in nowhere if s.among == side]
        engine = _engine(talk, bench, _phrases(bench, here))
        out = [engine(s) if s in here else s for s in out]
    if any(lacks_stage(bench, s) for s in out):
        open_ = [s for s in out if lacks_stage(bench, s)]
        running = all(needs_it_running(bench.library.questions[s.question]) for s in open_)
        stage = _stage(talk, _phrases(bench, open_), running=running)
        out = [
            replace(s, state=State(stage, s.state.settings)) if lacks_stage(bench, s) else s
            for s in out
        ]
    return out


def lacks_engine(bench: Bench, s: Suggestion) -> bool:
    """Return whether ``s`` is read at an engine and names none."""
    of_engine = s.question != "" and "engine" in bench.library.questions[s.question].at
    return of_engine and not s.places and not s.one_of_places


def lacks_stage(bench: Bench, s: Suggestion) -> bool:
    """Return whether power matters to ``s`` and it names no run state.

    Denied, or told of as trouble that never came ('never missed a beat'), it was in none; 'never
    reached full power' was somewhere.
    """
    if s.negated or not s.question or s.state.stage or "power" in s.state.settings:
        return False
    if "never" in s.phrase.lower().split() and not is_amiss(bench, s):
        return False
    return "power" in bench.library.effect_of(s.question).depends_on


def _phrases(bench: Bench, heard: Iterable[Suggestion]) -> str:
    """Return what was heard in its words; a word alone ('down') with the thing it is said of."""
    questions = bench.library.questions
    alone = {s.phrase: "" if " " in s.phrase else questions[s.question].title for s in heard}
    return ", ".join(f"'{p}' ({of})" if of else f"'{p}'" for p, of in alone.items())


def _engine(talk: Talk, bench: Bench, phrases: str) -> Callable[[Suggestion], Suggestion]:
    """Ask which engine ``phrases`` speak of; return what gives a suggestion its engine, or each.

    '1 or 2' is one of them, not known which, and 'both' or '1, 3' each of them.
    """
    choices = {e: bench.places.label(e) for e in bench.places.engines}
    every = "both" if len(choices) == 2 else "all"
    asked = f"{phrases}: which engine is spoken of? ('{every}': each; '1 or 2': one of them)"
    talk.say([*wrap(asked), *numbered(choices)])

    def one(text: str, named: Mapping[str, str]) -> str:
        return _place_typed(bench, text, named)

    def read(text: str) -> Callable[[Suggestion], Suggestion]:
        if nothing(text):
            return lambda s: s
        low = re.sub(r" (?:of them|engines)$", "", text.lower())
        if low in (every, "all", "each"):
            each = tuple(choices)
        elif " or " not in low:
            each = _each(text, choices, one)
        else:
            some = choose_places(text, choices, one)
            return lambda s: replace(s, one_of_places=some)
        return lambda s: replace(s, places=each)

    return talk.ask("engine:", read)


def _each(
    text: str, choices: Mapping[str, str], one: Callable[[str, Mapping[str, str]], str]
) -> tuple[str, ...]:
    """Return the places of '1, 3' or '1 and 3', where each is meant."""
    return tuple(dict.fromkeys(one(part, choices) for part in _AND.split(text) if part))


def _stage(talk: Talk, phrases: str, *, running: bool) -> str:
    """Ask for a stage; ``running``: nothing of it can be seen but with the engine running."""
    named = [s for s in STAGES if not running or STAGES[s] in RUNNING]

    def read(text: str) -> str:
        told = {c.stage for c in clauses(text)}
        if len(told) == 1 and "" not in told:
            return told.pop()  # 'about 300 ft after take-off'
        return "" if nothing(text) else choose(text, {x: x for x in named})

    numbered_stages = ", ".join(f"{k} {stage}" for k, stage in enumerate(named, start=1))
    asked = f"{phrases}: when was it seen? {numbered_stages}, or 'not known'."
    talk.say(wrap(asked, "  ", ""))
    return talk.ask("stage:", read)


def placed(talk: Talk, bench: Bench, s: Suggestion) -> Suggestion:
    """Return ``s`` with the place meant where the report named none its question is asked at.

    '1 or 2' is one of them, not known which, '1, 2' each of them, and Enter one of all: what smelt
    of paraffin did so, whichever tank it came from.
    """
    q, places = bench.library.questions[s.question], bench.places
    here = places.parts_of_kind(q.at)
    # 'both port pumps' is said of no starboard one
    choices = {p: places.label(p) for p in [x for x in here if x in s.among] or here}
    if len(choices) < 2:
        return replace(s, places=tuple(choices))
    asked = (
        f"'{s.phrase}' ({q.title}): at which? (1, 2: each of them; 1 or 2: one of them; all: each; "
        "Enter: one of all, not known which; 0: leave it out)"
    )
    talk.say([*wrap(asked, "  "), *numbered(choices)])

    def read(text: str) -> Suggestion:
        if nothing(text):
            known = text and text.lower() in LEAVE_OUT
            return s if known else replace(s, one_of_places=tuple(choices))
        if text.lower() in ("all", "each", "both"):
            return replace(s, places=tuple(choices))
        if set(_AND.split(text)) <= {str(k) for k in range(1, len(choices) + 1)}:
            return replace(s, places=_each(text, choices, choose))
        at = choose_places(text, choices)
        return replace(s, places=at) if len(at) == 1 else replace(s, one_of_places=at)

    return talk.ask("at:", read)


def findings_told(talk: Talk, bench: Bench, s: Suggestion) -> Iterator[Finding]:
    """Yield what ``s`` tells, at each of its places; asks for a place left open."""
    if not s.places and not s.one_of_places:
        s = placed(talk, bench, s)
    if s.one_of_places:
        yield s.finding(AEROPLANE)
    for place in s.places:
        # of several parts told alike, the last speaks for the rest
        rest = s.others_normal and place == s.places[-1]
        yield replace(s, others_normal=rest).finding(place)


class NoneOfThem(Exception):  # noqa: N818  (no error: the person says 0)
    """None of what was listed is meant."""


def one_of(text: str, choices: Mapping[str, str]) -> str:
    """Return the choice named.

    Raises:
        NoneOfThem: If none is.
    """
    if is_not_checked(text):
        raise NoneOfThem
    return choose(text, choices)


def which(talk: Talk, choices: Mapping[str, str]) -> str:
    """Return the only choice, or the one that is picked from the list; NoneOfThem where none is."""
    if len(choices) == 1:
        return next(iter(choices))
    talk.say(numbered(choices))
    return talk.ask("which:", lambda text: one_of(text, choices))


def questions_named(bench: Bench, words: str) -> dict[str, str]:
    """Return the questions that ``words`` name by their title, or by what they are called."""
    return {
        q.id: q.title
        for q in bench.library.questions.values()
        if all(
            w in f"{q.id} {q.title} {' '.join(q.also_called)}".lower()
            for w in words.lower().split()
        )
    }


def questions_named_at(bench: Bench, words: str) -> dict[str, str]:
    """Return the questions that ``words`` name, of 'contents gauge at left tank' by the gauge."""
    subject, _, place = words.rpartition(" at ")
    at = subject if subject and bench.places.find_places(place).candidates else ""
    return questions_named(bench, words) or (questions_named(bench, at) if at else {})


def questions_answered(bench: Bench, words: str) -> dict[str, str]:
    """Return the questions with an answer in which ``words``, two or more, stand as on screen."""
    said = " ".join(words.lower().split())
    if " " not in said:
        return {}
    stands = re.compile(rf"\b{re.escape(said)}\b")
    return {
        q.id: q.title
        for q in bench.library.questions.values()
        if any(stands.search(shown.lower()) for shown in q.classes.values())
    }


def picked_reading(
    talk: Talk, bench: Bench, words: str
) -> tuple[Question, tuple[str, ...], Reading | None, State]:
    """Return a question looked up by ``words``, its place or several, the reading and its state.

    Several places are one of them, not known which.  No reading where none is on offer there, or
    where the state is told in words: what was seen in flight is never asked for on the ground.

    Raises:
        NoneOfThem: If the person says that none of what is listed is meant.
    """
    words = words or talk.line("which question (a word of it):")
    hits = questions_named_at(bench, words) or questions_answered(bench, words)
    if not hits:  # 'one cylinder cold' is what is said, not what it is called
        said = dict.fromkeys(s.question for s in hear(words, bench) if s.question)
        hits = {q: bench.library.questions[q].title for q in said}
    if not hits:
        raise UsageError(f"no question speaks of '{words}'; try another word.")
    name = which(talk, hits)
    q = bench.library.questions[name]
    places = {p: bench.places.label(p) for p in bench.places.parts_of_kind(q.at)}
    if not places:
        raise UsageError(f"this layout has no place at which '{q.title}' is asked.")
    named = bench.places.find_places(words.rpartition(" at ")[2]).candidates
    places = {p: places[p] for p in places if [p] == [x for x in named if x in places]} or places
    if len(places) > 1:
        talk.say(numbered(places))

    def where(text: str) -> tuple[str, ...]:
        if is_not_checked(text):
            raise NoneOfThem
        return choose_places(text, places, lambda x, named: _place_typed(bench, x, named))

    at = (
        tuple(places)
        if len(places) == 1
        else talk.ask("where (1 or 2: one of them, not known which):", where)
    )
    readings = [
        r for r in bench.planner.catalogue.readings if r.question == name and r.place == at[0]
    ]
    states = {r.run_state.id: r.run_state.title for r in readings if r.run_state}
    reading = readings[0] if readings else None
    if not states or (
        len(states) == 1 and "power" not in bench.library.effects[q.reads].depends_on
    ):
        return q, at, reading, reading.state if reading else State()
    asked = f"{q.title}, {places.get(at[0], '') if len(at) == 1 else 'not known at which'}:"
    talk.say([*wrap(asked), *numbered(states)])
    talk.say("  or in words, as it was told: 'cruise on the right tank'")

    def when(text: str) -> str | State:
        if is_not_checked(text):
            return State()  # when it was seen nobody knows; that it was seen is kept
        told = state_told(text, bench, q.id)
        return told if told.known() and text not in states else one_of(text, states)

    chosen = talk.ask("in which state:", when)
    if isinstance(chosen, State):
        return q, at, None, chosen
    reading = next(r for r in readings if r.run_state and r.run_state.id == chosen)
    return q, at, reading, reading.state


def _place_typed(bench: Bench, text: str, places: Mapping[str, str]) -> str:
    """Return the place typed by number, by id, or as it is called: 'no. 2 engine'."""
    if text.isdigit():
        return choose(text, places)
    fits = [p for p in bench.places.find_places(text).candidates if p in places]
    return fits[0] if len(fits) == 1 else choose(text, places)
