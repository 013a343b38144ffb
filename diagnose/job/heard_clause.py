"""What one clause of a report says: the names of things meet the words for how they were.

A phrase of several words stands for itself ('ran rough'); a single word counts only beside its
subject.  What stands under a negation ('did not recover') is asked about, not concluded from.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from diagnose.job.clauses import Clause
from diagnose.job.vocabulary import Suggestion, Vocabulary

NEGATIONS = frozenset({"no", "not", "never", "without", "none", "nor", "cannot", "neither",
                       "nothing", "nobody", "hardly"})  # fmt: skip
_NO_DENIAL = re.compile(r"\bno (?=\d)|\b(?:not only|not just|no doubt|nothing but)\b")
REACH = 5
"""Words before a phrase in which a negation counts."""
_BEHIND = 3
"""What a subject behind its phrase costs in characters."""
FAR = 60
"""Characters between a subject and what is said of it, at most."""
IMPLIED, PRESSURE = "engine-behaviour", "fuel-pressure"
"""What a clause speaks of that names a stage and nothing else: 'idle was fine'; and one that tells
something of an engine: 'no. 2 fades', 'no. 2 low'."""
_BETWEEN = frozenset({
    "engine", "alone", "both", "also", "just", "then", "always", "still", "is", "was", "a", "bit",
    "little", "again", "only", "well", "sits",
})  # fmt: skip


@dataclass(frozen=True)
class _Said:
    """A phrase that says how something is: ``value`` of ``question``, or only its ``asks``."""

    start: int
    end: int
    suggestion: Suggestion
    alone: bool  # needs no subject beside it

    @property
    def words(self) -> int:
        return self.suggestion.phrase.count(" ") + 1


def heard_in(
    clause: Clause,
    vocabulary: Vocabulary,
    carried: frozenset[str],
    placed: Mapping[tuple[int, int], str],
) -> tuple[list[Suggestion], frozenset[str]]:
    """Return what a clause says, and the questions it names for those after it to speak of.

    ``placed``: what a place in it names: where it stands, and the question (``Where.names``).
    """
    named = {
        span: questions
        for phrase, questions in vocabulary.subjects.items()
        for name in (phrase, f"{phrase}s")[: 2 if "one of" in clause.text else 1]  # 'the lamps'
        for span in _spans(name, clause)
    }
    phrases = [s for phrase, meant in vocabulary.said.items() if any(alone for _, alone in meant)
               for s in _spans(phrase, clause)]  # fmt: skip
    # 'oil pressure' and 'pressure gauge' do not speak of 'pressure'
    gauges = {span: (q,) for span, q in placed.items() if q}
    named = {
        s: q
        for s, q in {**gauges, **named}.items()
        if not any(_inside(s, o) for o in (*named, *phrases))
    }
    subjects = {q: span for span, questions in named.items() for q in questions}
    engine = next((span for span, q in placed.items() if not q), None)
    beside = not subjects and not carried and engine is not None
    if engine is not None and beside:
        subjects = dict.fromkeys((IMPLIED, PRESSURE), engine)
    elif not subjects:
        subjects = dict.fromkeys(carried or ({IMPLIED} if _is_of_a_run(clause) else ()),
                                 (0, 0))  # fmt: skip
    said = [
        _Said(*span, s, alone)
        for phrase, meanings in vocabulary.said.items()
        for span in _spans(phrase, clause)
        for s, alone in meanings
        if alone or (s.question in subjects and (not beside or _next(clause, engine, span)))
    ]
    # 'breaker keeps popping' is no 'popping'
    whole = [(x.start, x.end) for x in said if x.alone]
    said = [x for x in said if not any(_inside((x.start, x.end), span) for span in whole)]
    said.sort(
        key=lambda x: (
            not x.suggestion.value,
            -x.words,
            _distance(x, subjects),
            x.start,
            x.suggestion.question,
        )
    )
    kept: list[_Said] = []
    for x in said:
        apart = _distance(x, subjects)
        clash = any(x.start < k.end and k.start < x.end for k in kept)
        # a lone word inside the name of something else says nothing of its own
        swallowed = any(_inside((x.start, x.end), s) for s in named)
        again = x.suggestion.question and x.suggestion.question in {
            k.suggestion.question for k in kept
        }
        if not clash and not swallowed and not again and (x.alone or apart <= FAR):
            kept.append(x)
    out = [_negated(x, clause) for x in sorted(kept, key=lambda x: x.start)]
    if not out:  # named, and nothing said of it that is known here
        for (a, b), questions in named.items():
            bare = clause.text[a:b]
            if " " in bare:
                out.append(Suggestion(bare, bare, questions[0], "", questions))
    # an engine that was named is spoken of further on only where something was said of it
    return out, frozenset(subjects if out or not beside else ())


def _next(clause: Clause, engine: tuple[int, int] | None, span: tuple[int, int]) -> bool:
    """Return whether what is said stands next to the engine that was named: 'no. 3 also fades'."""
    return (
        engine is not None
        and engine[1] <= span[0]
        and (set(clause.text[engine[1] : span[0]].split()) <= _BETWEEN)
    )


def _is_of_a_run(clause: Clause) -> bool:
    """Return whether a clause itself tells the stage or the power of a run."""
    return clause.own and bool(clause.stage or "power" in clause.settings)


def _distance(x: _Said, subjects: Mapping[str, tuple[int, int]]) -> int:
    """Return how far a phrase stands from its subject; after it is nearer than before it."""
    if x.suggestion.question not in subjects:
        return FAR
    a, b = subjects[x.suggestion.question]
    return x.start - b if x.start >= b else (a - x.end) + _BEHIND


def _negated(x: _Said, clause: Clause) -> Suggestion:
    """Return the suggestion, without its value where a 'no' stands in the words before it.

    'Without the booster' only tells the state: it denies nothing.
    """
    before = _NO_DENIAL.sub("", clause.rest[: x.start]).split()[-REACH:]
    s = x.suggestion
    if not NEGATIONS & set(before) or not s.value:
        return s
    return replace(s, value="", one_of=(), asks=s.asks or (s.question,), negated=True)


def _spans(phrase: str, clause: Clause) -> list[tuple[int, int]]:
    """Return where ``phrase`` stands in a clause; what only tells its state does not count."""
    if phrase not in clause.spaced:
        return []
    found = (hit.span() for hit in _pattern(phrase).finditer(clause.text))
    return [(a, b) for a, b in found if clause.rest[a:b].strip()]


@lru_cache(maxsize=4096)
def _pattern(phrase: str) -> re.Pattern[str]:
    """Return what finds ``phrase``, a hyphen being as good as a space."""
    words = map(re.escape, phrase.split())
    return re.compile(rf"(?<![\w-]){'[ -]'.join(words)}(?![\w-])")


def _inside(one: tuple[int, int], other: tuple[int, int]) -> bool:
    return one != other and other[0] <= one[0] and one[1] <= other[1]
