"""What one clause of a report says: the names of things meet the words for how they were.

A phrase of several words stands for itself ('ran rough'); a single word counts only beside its
subject.  What stands under a negation ('did not recover') is asked about, not concluded from.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.denied import (
    denies,
    if_not_denied,
    is_partial,
    to_be_asked,
    without_denied,
)
from diagnose.job.hearing.of_an_engine import (
    IMPLIED,
    is_done_by_somebody,
    is_next,
    is_of_another,
)
from diagnose.job.hearing.phrases import Hit
from diagnose.job.hearing.said import Said, Span, inside
from diagnose.job.hearing.spoken_of import SpokenOf, spoken_of
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.job.hearing.whereabouts import KINDS, WHERE
from diagnose.job.hearing.written_out import as_typed
from diagnose.model import RUNNING, STAGES
from diagnose.units import UnitError, parse

_BEHIND = 3
"""What a subject behind its phrase costs in characters."""
FAR = 60
"""Characters between a subject and what is said of it, at most."""
_TAKEN = frozenset({"the", "off", "to", "his", "her", "their"})
"""Behind a word that may be done to something: 'cut the mixture'."""
_MEASURE = re.compile(r"\b(?:gallons?|litres?|pints?|inch(?:es)?|eighth|quarter|third|half)$")
_THAN = re.compile(r" (?:less|more|fewer|lower|higher|short|over|under|above|below|down|up)\b")
"""Behind an amount that is the difference of two."""
_FIGURE_BEFORE = re.compile(r"\d ?$")
_PART = re.compile(rf" (?:{WHERE}|{KINDS}|hand|wing|side|fuel|gauge|lamp|light|needle|cap|vent)\b")
"""Behind 'right', what is on that side."""
_WHEN = re.compile(r"\b(?:when|once|after|until|as soon as)\b")
"""Behind what happened, before what was done to a thing."""
_DONE = re.compile(r"\b(?:switch(?:ed|ing)|turned|opened|shut|put|changed|selected|went|going)\b")
"""What tells more than a state: that it was brought about."""


def heard_in(
    clause: Clause,
    vocabulary: Vocabulary,
    carried: frozenset[str],
    placed: Mapping[Span, str],
    left_out: Collection[str] = (),
    not_meant: Collection[tuple[str, str]] = (),
) -> tuple[list[Suggestion], frozenset[str]]:
    """Return what a clause says, and the questions it names for those after it to speak of.

    ``carried`` and ``placed`` as for ``spoken_of``.  ``left_out``: questions of which nothing is
    said here.  ``not_meant``: (question, phrase) that cannot be meant, so that what overlaps may.
    """
    hits = [
        hit
        for hit in vocabulary.book.found(clause.text)
        if _is_told(hit, clause) and not _is_a_side(hit, clause)
    ]
    of = spoken_of(hits, clause, vocabulary, carried, placed)
    may = _may_be_said(hits, clause, vocabulary, of)
    may = [
        x
        for x in may
        if x.suggestion.question not in left_out
        and (x.suggestion.question, x.suggestion.phrase) not in not_meant
    ]
    said = _sifted(may, clause, vocabulary, of)
    kept = _kept(said, of)
    out = [
        to_be_asked(x.suggestion) if is_partial(x, said, clause) else if_not_denied(x, clause)
        for x in sorted(kept, key=lambda x: x.start)
    ]
    # spoken of further on is what something was said of; an engine that was named, only so
    told = {x.suggestion.question for x in kept if of.is_ours(x) or _has_its_subject(x, vocabulary)}
    further = frozenset(told or of.subjects.keys() - of.by_place)
    return out or list(_only_named(clause, of)), further


def _may_be_said(
    hits: Sequence[Hit], clause: Clause, vocabulary: Vocabulary, of: SpokenOf
) -> list[Said]:
    """Return all that the phrases found may say: alone, or of a thing that is spoken of."""
    may_mean: dict[Span, list[tuple[Suggestion, bool]]] = {}
    for hit in hits:
        may_mean.setdefault((hit.start, hit.end), []).extend(vocabulary.said.get(hit.phrase, ()))
    out = []
    for hit in hits:
        if _is_unit(hit, clause):
            continue
        span = hit.start, hit.end
        meanings = may_mean[span]
        if is_done_by_somebody(hit, clause):
            continue
        for s, alone in vocabulary.said.get(hit.phrase, ()):
            if s.question == IMPLIED and any(is_next(clause, at, span) for at in of.machines):
                continue  # 'the pump has gone dead' is said of no engine
            typed = replace(s, phrase=as_typed(clause.text[hit.start : hit.end]))
            if (
                not (of.any and is_of_another(s, meanings, of.subjects))
                if alone
                else _is_said_of_it(s, span, meanings, clause, of)
            ):
                out.append(Said(hit, typed, alone))
    return out


def _is_said_of_it(
    s: Suggestion,
    span: Span,
    meanings: Iterable[tuple[Suggestion, bool]],
    clause: Clause,
    of: SpokenOf,
) -> bool:
    """Return whether a word that needs its subject is said of one that is spoken of."""
    if s.question not in of.subjects:
        return False
    a, _ = of.subjects[s.question]
    if span[1] <= a and _WHEN.search(clause.text[span[1] : a]):
        return False  # 'came good when the bowl was tapped' is said of no sample from the bowl
    if s.question in of.by_place and not any(is_next(clause, e, span) for e in of.engines):
        return False
    return not (_is_open(s, meanings) and _is_done_to(clause, of.subjects[s.question], span))


def _sifted(said: list[Said], clause: Clause, vocabulary: Vocabulary, of: SpokenOf) -> list[Said]:
    """Return ``said`` without what the other words of the clause show not to be meant."""
    # of two classes, the one that lists the very form of the word
    sure = {(x.span, x.suggestion.question) for x in said if x.hit.exact}
    said = [x for x in said if x.hit.exact or (x.span, x.suggestion.question) not in sure]
    said = [x for x in said if not of.is_theirs(x.span, clause)]
    said = _seen_standing(said, clause, vocabulary)
    said = _of_what_is_read(said, of.named, vocabulary)
    # 'pressure reads high' is said of the pressure that is named: no contents gauge 'reads high';
    # but 'would not restart' is no 'restarted', and 'engine fuel pressure normal' no normal engine
    own = [x.span for x in said if of.is_ours(x) and of.named]
    said = [
        x
        for x in said
        if of.is_ours(x)
        or denies(x)
        or _has_its_subject(x, vocabulary)
        or not any(inside(o, x.span) for o in own)
    ]
    said = without_denied(said, clause, vocabulary)
    # 'breaker keeps popping' is no 'popping'
    whole = [x.span for x in said if x.alone]
    return [x for x in said if not any(inside(x.span, span) for span in whole)]


def _only_named(clause: Clause, of: SpokenOf) -> Iterator[Suggestion]:
    """Yield the names of which nothing is said that is known here, where they are no bare word."""
    for (a, b), questions in of.named.items():
        bare = clause.text[a:b]
        if " " in bare:
            yield Suggestion(bare, bare, questions[0], "", questions)


def _of_what_is_read(
    said: list[Said], named: Mapping[Span, tuple[str, ...]], vocabulary: Vocabulary
) -> list[Said]:
    """Return ``said`` without what is told of another instrument than the one that is named.

    'Flow meter stuck at 12' is told of no contents gauge, nor is 'lamp flickers when the wires are
    wiggled', though the lamp is named in a phrase.
    """
    ours = {q for questions in named.values() for q in questions}
    ours |= {x.suggestion.question for x in said if x.alone and _has_its_subject(x, vocabulary)}
    kinds: set[str] = set().union(*(vocabulary.read.get(q, ()) for q in ours))

    def may_be(x: Said) -> bool:
        theirs = vocabulary.read.get(x.suggestion.question)
        return not theirs or not theirs.isdisjoint(kinds) or _has_its_subject(x, vocabulary)

    return [x for x in said if may_be(x)] if kinds else said


def _seen_standing(said: list[Said], clause: Clause, vocabulary: Vocabulary) -> list[Said]:
    """Return ``said`` without what cannot be seen of an engine that runs, or stands, as it is told.

    'Lamp not lit before start' is no lamp that stayed out with the engine running, and 'gauge fell
    to zero at the run-up' no gauge that falls to zero at rest.
    """

    def seen(x: Said) -> bool:
        return clause.stage in vocabulary.stages.get(x.suggestion.question, (clause.stage,))

    def read_at_rest(x: Said) -> bool:
        stages = vocabulary.stages.get(x.suggestion.question, ())
        of_engine = vocabulary.read.get(x.suggestion.question, frozenset()) == frozenset({"engine"})
        return of_engine and bool(stages) and all(STAGES[s] not in RUNNING for s in stages)

    if not clause.own or not clause.stage:
        return said
    if STAGES[clause.stage] in RUNNING:
        return [x for x in said if not read_at_rest(x)]
    better = [x for x in said if x.suggestion.value and seen(x)]
    return [x for x in said
            if seen(x) or not any(x.start < b.end and b.start < x.end for b in better)]  # fmt: skip


def _kept(said: list[Said], of: SpokenOf) -> list[Said]:
    """Return one of what overlaps or answers the same: with a class, the longest, the nearest."""
    kept: list[Said] = []
    for x in sorted(
        said,
        key=lambda x: (
            not x.suggestion.value,
            -x.words,
            not x.hit.exact,
            _distance(x, of.subjects),
            x.start,
            x.suggestion.question,
        ),
    ):
        clash = any(x.start < k.end and k.start < x.end for k in kept)
        # a lone word inside the name of something else says nothing of its own
        swallowed = any(inside(x.span, s) for s in of.named)
        again = x.suggestion.question and x.suggestion.question in {
            k.suggestion.question for k in kept
        }
        near = x.alone or _distance(x, of.subjects) <= FAR
        if not clash and not swallowed and not again and near:
            kept.append(x)
    return kept


def _has_its_subject(x: Said, vocabulary: Vocabulary) -> bool:
    """Return whether a phrase names what it speaks of itself: 'pressure fell'."""
    phrase = f" {x.suggestion.phrase} "
    return any(
        x.suggestion.question in questions and f" {name} " in phrase
        for name, questions in vocabulary.subjects.items()
    )


def _is_open(s: Suggestion, meanings: Iterable[tuple[Suggestion, bool]]) -> bool:
    """Return whether the lone word of ``s`` may be told of another class of its question."""
    return any(alone and m.question == s.question and not m.value for m, alone in meanings)


def _is_done_to(clause: Clause, subject: Span, span: Span) -> bool:
    """Return whether a word may be said of something else: 'cut the mixture', 'the engine cut'."""
    after = clause.text[span[1] :].split()
    return not is_next(clause, subject, span) or bool(after and after[0] in _TAKEN)


def _distance(x: Said, subjects: Mapping[str, Span]) -> int:
    """Return how far a phrase stands from its subject; after it is nearer than before it."""
    if x.suggestion.question not in subjects:
        return FAR
    a, b = subjects[x.suggestion.question]
    return x.start - b if x.start >= b else (a - x.end) + _BEHIND


def _is_told(hit: Hit, clause: Clause) -> bool:
    """Return whether a phrase says more than the state of its clause."""
    said = clause.text[hit.start : hit.end]
    if clause.text[: hit.start].endswith("than "):
        return False  # 'more than usual' is not as usual
    if _MEASURE.search(said) and _THAN.match(clause.text[hit.end :]):
        return False  # 'dipped a gallon less than the gauge' is no gallon dipped
    return bool(clause.rest[hit.start : hit.end].strip() or _DONE.search(said))


def _is_a_side(hit: Hit, clause: Clause) -> bool:
    """Return whether a phrase says which side: 'right tank gauge' is no gauge that is right."""
    return clause.text[hit.start : hit.end] == "right" and bool(_PART.match(clause.text, hit.end))


def _is_unit(hit: Hit, clause: Clause) -> bool:
    """Return whether a phrase is the unit of a figure: '5 US gallons' mixes up no gallons."""
    if not _FIGURE_BEFORE.search(clause.text[: hit.start]):
        return False
    try:
        parse(f"1 {clause.text[hit.start : hit.end]}")
    except UnitError:
        return False
    return True
