"""What a clause speaks of: the things it names, the engine it implies, what was named before it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.of_an_engine import (
    IMPLIED,
    PRESSURE,
    begins,
    is_next,
    is_of_a_run,
    is_told_behind,
)
from diagnose.job.hearing.phrases import Hit
from diagnose.job.hearing.said import Said, Span, inside
from diagnose.job.hearing.vocabulary import Vocabulary
from diagnose.job.hearing.whereabouts import EITHER

NEXT, THEIRS = 1, 4
"""Words between a name of another system and what is its own: a name, and what is said of it."""
_MACHINE = re.compile(r"\b(?:gauges?|needles?|pointers?|dials?|indicators?|meters?)\b")
"""What is read off, whatever it shows."""
_NOWHERE: Span = (0, 0)
"""Where a subject stands that this clause does not name."""


@dataclass(frozen=True)
class SpokenOf:
    """The things a clause speaks of.

    named: where it names ours, with the questions about them.  elsewhere: where it names things of
    other systems.  engines: where it names an engine.  by_place: the questions of which something
    is said only next to that name.  machines: where it names a pump or what is read off an
    instrument.  subjects: each question spoken of, and where.  any: whether a
    thing is named, or was in the clause before.
    """

    named: Mapping[Span, tuple[str, ...]]
    elsewhere: tuple[Span, ...]
    engines: tuple[Span, ...]
    by_place: frozenset[str]
    machines: tuple[Span, ...]
    subjects: Mapping[str, Span]
    any: bool

    def is_theirs(self, span: Span, clause: Clause) -> bool:
        """Return whether ``span`` is said of another system: 'flap lever loose' is of no cock."""
        theirs = [s for s in self.elsewhere if not any(s[1] <= own[0] for own in self.named)]
        return _of(theirs, span, clause, THEIRS)

    def is_ours(self, x: Said) -> bool:
        """Return whether something is said of what the clause speaks of."""
        return x.suggestion.question in self.subjects


def spoken_of(
    hits: Sequence[Hit],
    clause: Clause,
    vocabulary: Vocabulary,
    carried: frozenset[str],
    placed: Mapping[Span, str],
) -> SpokenOf:
    """Return what ``clause`` speaks of.

    ``hits``: the phrases found in it.  ``carried``: the questions the clause before it spoke of.
    ``placed``: what a place in it names: where it stands, and what it names (``Where.names``).
    """
    placed = {(a, b): q for (a, b), q in placed.items() if clause.rest[a:b].strip()}
    does = [(hit.start, hit.end) for hit in hits if _is_of_an_engine(hit, vocabulary)]
    # 'no. 4 surged' is said of no tank
    engines = tuple(
        at
        for at, q in placed.items()
        if not q or (q == EITHER and any(is_next(clause, at, span) for span in does))
    )
    placed = {at: q for at, q in placed.items() if q != EITHER}
    elsewhere, named = _named(hits, clause, vocabulary, placed)
    subjects = {q: span for span, questions in named.items() for q in questions}
    by_place: frozenset[str] = frozenset()
    if engines and not subjects and not carried:
        by_place = frozenset({IMPLIED, PRESSURE})
    elif engines and IMPLIED not in {*subjects, *carried}:
        by_place = frozenset({IMPLIED})
    begun = begins(clause, vocabulary)
    if begun is not None and not (engines or IMPLIED in {*subjects, *carried}):
        if not (subjects or carried) or is_told_behind(
            begun, clause, hits, vocabulary, after=bool(carried)
        ):
            subjects[IMPLIED] = (begun[0], begun[0])
    elif not (subjects or carried or engines) and is_of_a_run(clause):
        subjects = {IMPLIED: _NOWHERE}
    subjects = dict.fromkeys(by_place, engines[-1] if engines else _NOWHERE) | (
        subjects or dict.fromkeys(carried, _NOWHERE)
    )
    machines = tuple(at for at, questions in named.items() if vocabulary.machines & {*questions})
    machines += tuple(hit.span() for hit in _MACHINE.finditer(clause.text))
    return SpokenOf(
        named, tuple(elsewhere), engines, by_place, machines, subjects, bool(named or carried)
    )


def _named(
    hits: Iterable[Hit], clause: Clause, vocabulary: Vocabulary, placed: Mapping[Span, str]
) -> tuple[list[Span], dict[Span, tuple[str, ...]]]:
    """Return where a clause names things of other systems, and ours with their questions."""
    names = [hit for hit in hits if hit.exact or _is_several(hit, clause)]
    named = {
        (hit.start, hit.end): vocabulary.subjects[hit.phrase]
        for hit in names
        if hit.phrase in vocabulary.subjects
    }
    elsewhere = [
        (hit.start, hit.end)
        for hit in names
        if hit.phrase in vocabulary.elsewhere
        and not any(inside((hit.start, hit.end), ours) for ours in named)
    ]
    named = {s: q for s, q in named.items() if not _of(elsewhere, s, clause, NEXT)}
    named = {**{span: (q,) for span, q in placed.items() if q}, **named}
    phrases = [(hit.start, hit.end) for hit in hits
               if any(alone for _, alone in vocabulary.said.get(hit.phrase, ()))]  # fmt: skip
    # 'oil pressure' and 'pressure gauge' do not speak of 'pressure'
    kept = {s: q for s, q in named.items() if not any(inside(s, o) for o in (*named, *phrases))}
    return elsewhere, kept


def _is_of_an_engine(hit: Hit, vocabulary: Vocabulary) -> bool:
    """Return whether a phrase may tell what an engine does."""
    return any(s.question == IMPLIED for s, _ in vocabulary.said.get(hit.phrase, ()))


def _of(elsewhere: Iterable[Span], span: Span, clause: Clause, most: int) -> bool:
    """Return whether ``span`` stands in a name of another system or ``most`` words after one.

    'Light flickers' of 'landing light flickers' begins in one.
    """
    return any(
        inside(span, other)
        or other[0] < span[0] < other[1]
        or (other[1] <= span[0] and len(clause.text[other[1] : span[0]].split()) <= most)
        for other in elsewhere
    )


def _is_several(hit: Hit, clause: Clause) -> bool:
    """Return whether a name stands for several of its kind: 'the lamps'."""
    return clause.text[hit.start : hit.end].replace("-", " ") == f"{hit.phrase}s"
