"""What somebody asks to see, in the words of the trade: which readings and checks that may be."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.as_meant import as_meant
from diagnose.job.hearing.clauses import clauses
from diagnose.job.hearing.vocabulary import Vocabulary, in_our_form
from diagnose.job.hearing.what_fed import feeding
from diagnose.job.hearing.whereabouts import KINDS, Where
from diagnose.model import STAGES
from diagnose.planner import Reading

_IDLE_WORDS = frozenset({
    "a", "an", "and", "at", "in", "is", "it", "of", "on", "the", "to", "what", "does", "do", "how",
    "with", "check", "read", "look", "ask", "for", "no", "did", "was", "are", "this", "has", "any",
})  # fmt: skip


LEAST = 2
"""Letters of a word too short to tell anything."""

UNSAID = {"tank": "", "crossfeed": "shut"}
"""What a run state is where a stage is named and nothing said of it; '' is that none is stated."""


@dataclass(frozen=True)
class AskedFor:
    """What may be asked for; ``whole``: whether every word that names something was understood."""

    readings: tuple[Reading, ...]
    whole: bool


def asked_for(bench: Bench, text: str) -> AskedFor:
    """Return the readings that ``text`` may ask for, as far as it names question, place and state.

    'Fuel pressure no. 2 engine run-up, booster off' is one; 'fuel pressure' is all there are.
    """
    vocabulary, where = Vocabulary.of(bench), Where(bench)
    meant = as_meant(text, bench).text.lower()
    said = clauses(meant, vocabulary.joined)
    named = where.named(meant)
    stage = next((c.stage for c in said if c.stage), "")
    settings: dict[str, str] = {}
    for clause in said:
        settings |= {**clause.settings, **feeding(where, clause.text)}
    rest = " ".join(clause.rest for clause in said).replace("no. ", "no ")
    for place in named:
        # 'no. 3 tank' is a place, the tank of 'tank stains' is not
        name = re.escape(place.words.replace("no. ", "no "))
        rest = re.sub(rf"{name}( (?:{KINDS})\b)?", " ", rest)
    questions, whole = _questions(bench, vocabulary, in_our_form(rest, bench.library.words.forms))
    out = [r for r in bench.planner.catalogue.readings if r.question in questions]
    out = _kept(out, [r for r in out if r.place in where.of(r.question, named)] if named else [])
    if stage:
        of_power = [r for r in out if r.state.known().get("power") == STAGES[stage]]
        of_stage = [r for r in out if r.run_state and r.run_state.stage == stage]
        out = _kept(out, of_stage or of_power)
        # who names a stage and no tank means the usual one, and the cross-feed shut
        usual = {d: v for d, v in UNSAID.items() if d not in settings}
        out = _kept(out, [r for r in out if _is_usual(r, usual)])
    return AskedFor(tuple(_kept(out, [r for r in out if _fits(r, settings)])), whole)


def checks_asked_for(bench: Bench, text: str) -> tuple[tuple[str, str], ...]:
    """Return the checks, each with its part, whose name and place hold every word of ``text``."""
    library, label = bench.library, bench.places.label
    words = _words(text)
    out = []
    for check, at in bench.planner.catalogue.checks:
        known = library.checks[check]
        if _holds(f"{check} {known.title} {known.access} {at} {label(at)}", words):
            out.append((check, at))
    return tuple(out)


def _questions(bench: Bench, vocabulary: Vocabulary, text: str) -> tuple[frozenset[str], bool]:
    """Return the questions whose names cover most words of ``text``, and whether they cover all.

    Half of them must be.  Of several those count that have the longest of their names
    in it, their title before another.
    """
    words = set(_words(text))
    here = dict.fromkeys(r.question for r in bench.planner.catalogue.readings)
    longest = dict.fromkeys(here, 0)
    for name, questions in vocabulary.subjects.items():
        if f" {name} " in f" {text} ":
            for asked in questions:
                if asked in longest:
                    longest[asked] = max(longest[asked], len(name.split()))
    score: dict[str, tuple[int, int, bool]] = {}
    for name in here:
        q = bench.library.questions[name]
        names = _words(f"{q.id.replace('-', ' ')} {q.title} {' '.join(q.also_called)}")
        titled = f" {in_our_form(q.title, {})} " in f" {text} "
        score[name] = (_in_common(words, names), longest[name], titled)
    best = max(score.values(), default=(0, 0, False))
    if 2 * best[0] < max(len(words), 1):
        return frozenset(), False
    return frozenset(q for q, found in score.items() if found == best), best[0] == len(words)


def _in_common(words: Iterable[str], names: Iterable[str]) -> int:
    """Return how many ``words`` begin as one of ``names`` does, or the other way about."""
    listed = list(names)
    return sum(any(n.startswith(w) or w.startswith(n) for n in listed) for w in words)


def _words(text: str) -> tuple[str, ...]:
    bare = text.lower().replace(",", " ").replace("?", " ").replace(".", " ").split()
    return tuple(w for w in bare if w not in _IDLE_WORDS and (len(w) > LEAST or w.isdigit()))


def _holds(text: str, words: Iterable[str]) -> bool:
    listed = list(words)
    return bool(listed) and all(w in text.lower() for w in listed)


def _fits(reading: Reading, settings: Mapping[str, str]) -> bool:
    known = reading.state.known()
    return all(known.get(d, v) == v for d, v in settings.items())


def _is_usual(reading: Reading, usual: Mapping[str, str]) -> bool:
    settings = reading.state.settings
    return all(settings.get(d, v) == v for d, v in usual.items())


def _kept(all_of_them: list[Reading], fewer: list[Reading]) -> list[Reading]:
    """Return ``fewer`` unless nothing is left: then what was said of it is passed over, not all."""
    return fewer or all_of_them
