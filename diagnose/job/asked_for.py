"""What somebody asks to see, in the words of the trade: which readings and checks that may be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.job.as_meant import as_meant
from diagnose.job.clauses import clauses
from diagnose.job.diagnosis import Bench
from diagnose.job.vocabulary import Vocabulary, in_our_form
from diagnose.job.whereabouts import Where
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


def asked_for(bench: Bench, text: str) -> tuple[Reading, ...]:
    """Return the readings that ``text`` may ask for, as far as it names question, place and state.

    'Fuel pressure no. 2 engine run-up, booster off' is one; 'fuel pressure' is all there are.
    """
    vocabulary, where = Vocabulary.of(bench), Where(bench)
    meant = as_meant(text, bench).text.lower()
    said = clauses(meant, vocabulary.said)
    named = where.named(meant)
    stage = next((c.stage for c in said if c.stage), "")
    settings: dict[str, str] = {}
    for clause in said:
        settings |= {**clause.settings, **where.feeding(clause.text, named)}
    rest = " ".join(clause.rest for clause in said)
    for place in named:
        rest = rest.replace(place.words, " ")
    questions = _questions(bench, vocabulary, meant, rest)
    out = [r for r in bench.planner.catalogue.readings if r.question in questions]
    out = _kept(out, [r for r in out if r.place in where.of(r.question, named)] if named else [])
    if stage:
        of_power = [r for r in out if r.state.known().get("power") == STAGES[stage]]
        of_stage = [r for r in out if r.run_state and r.run_state.stage == stage]
        out = _kept(out, of_stage or of_power)
        # who names a stage and no tank means the usual one, and the cross-feed shut
        usual = {d: v for d, v in UNSAID.items() if d not in settings}
        out = _kept(out, [r for r in out if _is_usual(r, usual)])
    return tuple(_kept(out, [r for r in out if _fits(r, settings)]))


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


def _questions(bench: Bench, vocabulary: Vocabulary, meant: str, rest: str) -> frozenset[str]:
    """Return the questions named by the longest names in ``meant``, else by most of ``rest``.

    ``rest``: what is left of it without places and run states.
    """
    text = f" {in_our_form(meant, bench.library.words.forms)} "
    text = text.replace(",", " ").replace("?", " ")
    names = [name for name in vocabulary.subjects if f" {name} " in text]
    longest = [n for n in names if not any(n != m and f" {n} " in f" {m} " for m in names)]
    if longest:
        most = max(len(n.split()) for n in longest)
        return frozenset(
            q for n in longest if len(n.split()) == most for q in vocabulary.subjects[n]
        )
    words = set(_words(rest))
    held = {
        q.id: _in_common(words, _words(f"{q.id} {q.title} {' '.join(q.also_called)}"))
        for q in bench.library.questions.values()
    }
    best = max(held.values(), default=0)
    return frozenset(q for q, n in held.items() if n == best and 2 * n >= len(words) > 0)


def _in_common(words: Iterable[str], names: Iterable[str]) -> int:
    """Return how many ``words`` begin as one of ``names`` does, or the other way about."""
    listed = [n for n in names if len(n) > LEAST]
    return sum(
        len(w) > LEAST and any(n.startswith(w) or w.startswith(n) for n in listed) for w in words
    )


def _words(text: str) -> tuple[str, ...]:
    bare = text.lower().replace(",", " ").replace("?", " ").replace(".", " ").split()
    return tuple(w for w in bare if w not in _IDLE_WORDS)


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
