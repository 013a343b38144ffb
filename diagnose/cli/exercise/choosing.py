"""Which question, check, part or failure is meant: typed in the trade's words, else from a list."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.cli.job.talk import YES_OR_NO, Talk, yes_or_no
from diagnose.cli.room import wrap
from diagnose.errors import UsageError
from diagnose.job.choices import choose_listed
from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.asked_for import asked_for, checks_asked_for
from diagnose.job.wording import state_words
from diagnose.model import CauseAt, Question
from diagnose.planner import Action, Reading
from diagnose.training.attempt import Attempt


class _Instead(Exception):  # noqa: N818 # no error: he thought of something else
    """Another question, asked where one was to be picked from a list."""

    def __init__(self, text: str) -> None:
        """Keep what was typed."""
        super().__init__(text)
        self.text = text


MOST_LISTED = 40
"""Longer lists are not shown; a word more makes them shorter."""


def choose_reading(talk: Talk, attempt: Attempt, text: str) -> Reading:
    """Return the reading ``text`` asks for; what it leaves open is asked."""
    bench = attempt.bench
    meant = asked_for(bench, text)
    found = meant.readings
    if not found:
        raise UsageError(
            f"no question on this layout speaks of '{text}'. Try another word, or "
            "'list' for all questions; 'help' tells the commands."
        )
    questions = bench.library.questions
    titles = {r.question: questions[r.question].title for r in found}
    # a look costs minutes: one that was half understood is not taken unasked
    if not meant.as_said:
        talk.say("  It is not read in that run state or on that tank; this is where it can be:")
    unsure = not (meant.whole and meant.as_said) and len(titles) == 1
    if unsure:
        asked = f"Do you mean '{titles[found[0].question]}'? ({YES_OR_NO}, or other words):"
        answer = talk.ask(asked, str)
        if not answer or yes_or_no(answer) is False:
            raise UsageError("then say it in other words; 'list' and a word shows the questions.")
        if not yes_or_no(answer):
            return choose_reading(talk, attempt, answer)
    try:
        name = _one(talk, "which question:", titles, bench)
        found = tuple(r for r in found if r.question == name)
        places = {r.place: bench.places.label(r.place) for r in found}
        at = _one(talk, "where:", places, bench)
        found = tuple(r for r in found if r.place == at)
        states = {r.state_id: _state(attempt, r) for r in found}
        state = _one(talk, "in which run state:", states, bench)
    except _Instead as other:
        return choose_reading(talk, attempt, other.text)
    return next(r for r in found if r.state_id == state)


def choose_check(talk: Talk, attempt: Attempt, text: str) -> tuple[str, str]:
    """Return the check, and its part, that ``text`` asks for."""
    bench = attempt.bench
    found = checks_asked_for(bench, text) if text else ()
    if not found:
        wrong = f"no check speaks of '{text}'" if text else "say which check"
        raise UsageError(f"{wrong}; 'checks' and a word lists them, as 'checks strainer'.")
    listed = {f"{c}@{at}": _check(attempt, c, at) for c, at in found}
    if len(listed) > MOST_LISTED:
        raise UsageError(f"{len(listed)} checks speak of '{text}'; say a word more, such as the "
                         "part.")  # fmt: skip
    picked = _one(talk, "which check:", listed)
    return next((c, at) for c, at in found if f"{c}@{at}" == picked)


def choose_part(talk: Talk, bench: Bench, text: str) -> str:
    """Return the part ``text`` names, itself or by a failure, among those that can be at fault."""
    if not text:
        raise UsageError("say which part; 'parts' lists them, 'parts strainer' those with a word.")
    places = {c.at: bench.places.label(c.at) for c in bench.net.instances}
    words = text.lower().split()
    if text.lower() in places:
        return text.lower()
    exact = [p for p, label in places.items() if label.lower() == text.lower()]
    match = bench.places.find_places(text)
    near = [p for p in match.candidates if p in places]
    if not near:
        near = [p for p, label in places.items() if all(w in f"{p} {label}".lower() for w in words)]
    if not near:
        causes = bench.library.causes
        failing = (c for c in bench.net.instances if text.lower() in causes[c.cause].title.lower())
        near = list(dict.fromkeys(c.at for c in failing))
    hits = {p: places[p] for p in exact or near}
    if not hits:
        raise UsageError(f"'{text}' names no part here; 'parts' lists them, 'parts strainer' those "
                         "with a word.")  # fmt: skip
    if len(hits) > MOST_LISTED:
        raise UsageError(f"'{text}' may be {len(hits)} parts; say a word more.")
    return _one(talk, "which part:", hits)


def choose_cause(talk: Talk, bench: Bench, at: str) -> CauseAt:
    """Return the failure of the part ``at`` that is meant."""
    causes = {c.cause: bench.library.causes[c.cause].title for c in bench.net.instances
              if c.at == at}  # fmt: skip
    talk.say(f"What is wrong with it ({bench.places.label(at)})?")
    return CauseAt(_one(talk, "which failure:", causes), at)


def confidence(text: str) -> float:
    """Return a confidence typed in per cent as a chance."""
    bare = text.strip().removesuffix("%").strip()
    try:
        value = float(bare)
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= 100.0:
        raise UsageError(f"'{text}' is no confidence; type how sure you are in per cent, 0 to 100.")
    return value / 100.0


def questions_here(bench: Bench, word: str) -> list[str]:
    """Return the lines that list the questions of the layout, those that hold ``word``."""
    here = {r.question: 0 for r in bench.planner.catalogue.readings}
    out = []
    for q in (bench.library.questions[name] for name in here):
        if word.lower() in f"{q.id} {q.title} {' '.join(q.also_called)}".lower():
            out.append(f"  {q.title}{_said_of(q)}")
    return sorted(out) or [f"  no question speaks of '{word}'"]


def checks_here(attempt: Attempt, word: str) -> list[str]:
    """Return the lines that list the checks of the layout that hold ``word``."""
    every = attempt.bench.planner.catalogue.checks
    found = checks_asked_for(attempt.bench, word) if word else every
    if len(found) > MOST_LISTED:
        titles = sorted({attempt.bench.library.checks[c].title for c, _ in found})
        head = f"  {len(found)} checks; with a word, as 'checks strainer', they come with parts:"
        return [head, *(f"  {t}" for t in titles)]
    return [f"  {_check(attempt, c, at)}" for c, at in found] or [f"  no check speaks of '{word}'"]


def _said_of(q: Question) -> str:
    return f" (tools: {', '.join(q.tools)})" if q.tools else ""


def _state(attempt: Attempt, reading: Reading) -> str:
    minutes, starts = attempt.price(Action((reading,)))
    title = reading.run_state.title if reading.run_state else "at any time"
    words = state_words(attempt.bench, reading.state)
    said = f" ({words})" if words else ""
    return f"{title}{said}: {minutes:.0f} min{', a start' if starts else ''}"


def _check(attempt: Attempt, check: str, at: str) -> str:
    minutes, _ = attempt.price(Action(check=check, at=at))
    title = attempt.bench.library.checks[check].title
    return f"{title}, {attempt.bench.places.label(at)}: {minutes:.0f} min"


def _one(talk: Talk, prompt: str, choices: Mapping[str, str], asking: Bench | None = None) -> str:
    """Return the only choice, or the one that is typed by number or by name.

    ``asking``: another question may be asked here instead.

    Raises:
        _Instead: If it is.
    """

    def read(text: str) -> str:
        try:
            return choose_listed(text, choices, "'back'")
        except UsageError:
            if asking is not None and asked_for(asking, text).whole:
                raise _Instead(text) from None
            raise

    if len(choices) == 1:
        return next(iter(choices))
    for k, label in enumerate(choices.values(), start=1):
        talk.say(wrap(f"  {k}  {label}", "       ", ""))
    return talk.ask(prompt, read)
