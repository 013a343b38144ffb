"""What one clause of a report says: the names of things meet the words for how they were.

A phrase of several words stands for itself ('ran rough'); a single word counts only beside its
subject.  What stands under a negation ('did not recover') is asked about, not concluded from.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from diagnose.job.hearing.clauses import Clause
from diagnose.job.hearing.denied import denies, if_not_denied, is_partial, to_be_asked
from diagnose.job.hearing.of_an_engine import (
    IMPLIED,
    PRESSURE,
    begins,
    is_next,
    is_of_a_run,
    is_of_another,
    is_told_behind,
)
from diagnose.job.hearing.phrases import Hit
from diagnose.job.hearing.said import Said, Span, inside
from diagnose.job.hearing.vocabulary import Suggestion, Vocabulary
from diagnose.job.hearing.written_out import as_typed
from diagnose.model import RUNNING, STAGES
from diagnose.units import UnitError, parse

NEXT, THEIRS = 1, 4
"""Words between a name of another system and what is its own: a name, and what is said of it."""
_BEHIND = 3
"""What a subject behind its phrase costs in characters."""
FAR = 60
"""Characters between a subject and what is said of it, at most."""
_TAKEN = frozenset({"the", "off", "to", "his", "her", "their"})
"""Behind a word that may be done to something: 'cut the mixture'."""
_FIGURE_BEFORE = re.compile(r"\d ?$")
_DONE = re.compile(r"\b(?:switch(?:ed|ing)|turned|opened|shut|put|changed|selected)\b")
"""What tells more than a state: that it was brought about."""


def heard_in(
    clause: Clause,
    vocabulary: Vocabulary,
    carried: frozenset[str],
    placed: Mapping[Span, str],
) -> tuple[list[Suggestion], frozenset[str]]:
    """Return what a clause says, and the questions it names for those after it to speak of.

    ``placed``: what a place in it names: where it stands, and the question (``Where.names``).
    """
    placed = {(a, b): q for (a, b), q in placed.items() if clause.rest[a:b].strip()}
    hits = [hit for hit in vocabulary.book.found(clause.text) if _is_told(hit, clause)]
    elsewhere, named = _named(hits, clause, vocabulary, placed)
    subjects = {q: span for span, questions in named.items() for q in questions}
    engines = [span for span, q in placed.items() if not q]
    by_place: set[str] = set()  # said of an engine only next to its name
    if engines and not subjects and not carried:
        by_place = {IMPLIED, PRESSURE}
    elif engines and IMPLIED not in {*subjects, *carried}:
        by_place = {IMPLIED}
    begun = begins(clause, vocabulary)
    if begun is not None and not (engines or IMPLIED in {*subjects, *carried}):
        if not (subjects or carried) or is_told_behind(
            begun, clause, hits, vocabulary, after=bool(carried)
        ):
            subjects[IMPLIED] = (begun[0], begun[0])
    elif not (subjects or carried or engines) and is_of_a_run(clause):
        subjects = {IMPLIED: (0, 0)}
    subjects = dict.fromkeys(by_place, engines[-1] if engines else (0, 0)) | (
        subjects or dict.fromkeys(carried, (0, 0))
    )
    spoken_of = bool(named or carried)
    units = {hit for hit in hits if _is_unit(hit, clause)}
    may_mean: dict[Span, list[tuple[Suggestion, bool]]] = {}
    for hit in hits:
        may_mean.setdefault((hit.start, hit.end), []).extend(vocabulary.said.get(hit.phrase, ()))
    said = [
        Said(hit, replace(s, phrase=as_typed(clause.text[hit.start : hit.end])), alone)
        for hit in hits
        if hit not in units
        for s, alone in vocabulary.said.get(hit.phrase, ())
        for meanings in (may_mean[hit.start, hit.end],)
        if (
            not (spoken_of and is_of_another(s, meanings, subjects))
            if alone
            else s.question in subjects
            and (
                s.question not in by_place
                or any(is_next(clause, engine, (hit.start, hit.end)) for engine in engines)
            )
            and not (
                _is_open(s, meanings)
                and _is_done_to(clause, subjects[s.question], (hit.start, hit.end))
            )
        )
    ]
    # of two classes, the one that lists the very form of the word
    sure = {(x.span, x.suggestion.question) for x in said if x.hit.exact}
    said = [x for x in said if x.hit.exact or (x.span, x.suggestion.question) not in sure]
    # 'flap lever loose' is said of no cock
    theirs = [s for s in elsewhere if not any(s[1] <= own[0] for own in named)]
    said = [x for x in said if not _of(theirs, x.span, clause, THEIRS)]
    said = _seen_standing(said, clause, vocabulary)
    said = _of_what_is_read(said, named, vocabulary)
    # 'pressure reads high' is said of the pressure that is named: no contents gauge 'reads high'
    own = [x.span for x in said if x.suggestion.question in subjects and named]
    # but 'would not restart' is no 'restarted'
    said = [x for x in said if x.suggestion.question in subjects or denies(x)
            or not any(inside(span, x.span) for span in own)]  # fmt: skip
    # 'breaker keeps popping' is no 'popping'
    whole = [x.span for x in said if x.alone]
    said = [x for x in said if not any(inside(x.span, span) for span in whole)]
    kept = _kept(said, subjects, named)
    out = [
        to_be_asked(x.suggestion) if is_partial(x, said, clause) else if_not_denied(x, clause)
        for x in sorted(kept, key=lambda x: x.start)
    ]
    if not out:  # named, and nothing said of it that is known here
        for (a, b), questions in named.items():
            bare = clause.text[a:b]
            if " " in bare:
                out.append(Suggestion(bare, bare, questions[0], "", questions))
    # spoken of further on is what something was said of; an engine that was named, only so
    told = {
        k.suggestion.question
        for k in kept
        if k.suggestion.question in subjects or _has_its_subject(k, vocabulary)
    }
    return out, frozenset(told or subjects.keys() - by_place)


def _of_what_is_read(
    said: list[Said], named: Mapping[Span, tuple[str, ...]], vocabulary: Vocabulary
) -> list[Said]:
    """Return ``said`` without what is told of another instrument than the one that is named.

    'Flow meter stuck at 12' is told of no contents gauge.
    """
    ours = {q for questions in named.values() for q in questions}
    kinds: set[str] = set().union(*(vocabulary.read.get(q, ()) for q in ours))

    def may_be(x: Said) -> bool:
        theirs = vocabulary.read.get(x.suggestion.question)
        return not theirs or not theirs.isdisjoint(kinds) or _has_its_subject(x, vocabulary)

    return [x for x in said if may_be(x)] if kinds else said


def _seen_standing(said: list[Said], clause: Clause, vocabulary: Vocabulary) -> list[Said]:
    """Return ``said`` without what is seen of a running engine only, where it is told standing.

    'Lamp not lit before start' is no lamp that stayed out with the engine running.
    """

    def seen(x: Said) -> bool:
        return clause.stage in vocabulary.stages.get(x.suggestion.question, (clause.stage,))

    if not clause.own or not clause.stage or STAGES[clause.stage] in RUNNING:
        return said
    better = [x for x in said if x.suggestion.value and seen(x)]
    return [x for x in said
            if seen(x) or not any(x.start < b.end and b.start < x.end for b in better)]  # fmt: skip


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


def _kept(
    said: list[Said], subjects: Mapping[str, Span], named: Mapping[Span, tuple[str, ...]]
) -> list[Said]:
    """Return one of what overlaps or answers the same: with a class, the longest, the nearest."""
    kept: list[Said] = []
    for x in sorted(
        said,
        key=lambda x: (
            not x.suggestion.value,
            -x.words,
            not x.hit.exact,
            _distance(x, subjects),
            x.start,
            x.suggestion.question,
        ),
    ):
        clash = any(x.start < k.end and k.start < x.end for k in kept)
        # a lone word inside the name of something else says nothing of its own
        swallowed = any(inside(x.span, s) for s in named)
        again = x.suggestion.question and x.suggestion.question in {
            k.suggestion.question for k in kept
        }
        near = x.alone or _distance(x, subjects) <= FAR
        if not clash and not swallowed and not again and near:
            kept.append(x)
    return kept


def _of(elsewhere: Iterable[Span], span: Span, clause: Clause, most: int) -> bool:
    """Return whether ``span`` stands in a name of another system or ``most`` words after one."""
    return any(
        inside(span, other)
        or (other[1] <= span[0] and len(clause.text[other[1] : span[0]].split()) <= most)
        for other in elsewhere
    )


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
    return bool(clause.rest[hit.start : hit.end].strip() or _DONE.search(said))


def _is_unit(hit: Hit, clause: Clause) -> bool:
    """Return whether a phrase is the unit of a figure: '5 US gallons' mixes up no gallons."""
    if not _FIGURE_BEFORE.search(clause.text[: hit.start]):
        return False
    try:
        parse(f"1 {clause.text[hit.start : hit.end]}")
    except UnitError:
        return False
    return True


def _is_several(hit: Hit, clause: Clause) -> bool:
    """Return whether a name stands for several of its kind: 'the lamps'."""
    return clause.text[hit.start : hit.end].replace("-", " ") == f"{hit.phrase}s"
