"""The report in free words: what it may speak of, for a person to confirm, never taken silently.

In each clause the words that name what was looked at ('fuel pressure') meet the words for how it
was ('sagged').  A phrase of several words stands for itself ('ran rough'); a single word counts
only beside its subject.  What stands under a negation ('did not recover') is asked about, not
concluded from.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from weakref import WeakKeyDictionary

from diagnose.job.clauses import Clause, clauses
from diagnose.job.diagnosis import Bench
from diagnose.job.figures_told import figures_told
from diagnose.job.the_others import TheOthers, says_well, told_of_others
from diagnose.job.whereabouts import Named, Where
from diagnose.model import AEROPLANE, Question, State
from diagnose.signs import normal_class

NEGATIONS = frozenset({"no", "not", "never", "without", "none", "nor", "cannot"})
REACH = 3
"""Words before a phrase in which a negation counts."""
FAR = 60
"""Characters between a subject and what is said of it, at most."""
ONSET = "what-just-before"
"""What tells of no onset where all is said to be well: 'fine when opened up'."""
STANDING = frozenset({"parked", "refuelling", "static", "after-shut-down"})
"""Stages with no engine running: a neighbour's words lend them to nothing read on a run."""
IMPLIED = "engine-behaviour"
"""What a clause speaks of that names a stage and nothing else: 'idle was fine'."""


@dataclass(frozen=True)
class Suggestion:
    """What a phrase of the report may mean.

    question and value may be '' (then only ``asks`` helps); asks: the questions that tell its
    meanings apart; trap: what it is often mistaken for.  state: in which it was seen.
    places: where, as far as the report names it.  one_of: the classes of which it is one, where it
    may be several; value is the first.  others_normal: the others of its kind were told normal.
    one_of_places: at one of which it was, not known which; ``places`` is empty then.
    number: the figure told, SI, where it was one.
    """

    phrase: str
    means: str
    question: str = ""
    value: str = ""
    asks: tuple[str, ...] = ()
    trap: str = ""
    negated: bool = False
    state: State = field(default_factory=State)
    places: tuple[str, ...] = ()
    one_of: tuple[str, ...] = ()
    others_normal: bool = False
    one_of_places: tuple[str, ...] = ()
    number: float | None = None


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


def hear(report: str, bench: Bench) -> tuple[Suggestion, ...]:
    """Return what ``report`` may speak of: findings with their state and place, in its order."""
    vocabulary = _VOCABULARIES.get(bench) or _VOCABULARIES.setdefault(bench, _Vocabulary.of(bench))
    where = Where(bench)
    every = clauses(report, vocabulary.said)
    out: list[Suggestion] = []
    unclear: set[str] = set()  # what stands in a sentence that names a place, if not for sure
    subjects: frozenset[str] = frozenset()
    sentence, named = -1, tuple[Named, ...]()
    listed: tuple[Named, ...] = ()  # 'no. 1' of 'no. 1 and no. 2 low'
    last: list[int] = []  # what was found in the last clause that told of something amiss
    for whole in every:
        clause, others = told_of_others(whole)
        if clause.sentence != sentence:
            sentence, named, subjects = clause.sentence, (), frozenset()
            listed = ()
        here = where.named(clause.text)
        named = tuple(dict.fromkeys((*listed, *here))) if here and clause.joined else here or named
        listed = named if here and where.is_all(clause.text, here) else ()
        said, subjects = _heard_in(clause, vocabulary, subjects)
        settings = {**clause.settings, **where.feeding(clause.text, named)}
        unclear |= {s.phrase for s in said if named}
        if any(_is_amiss(bench, s) for s in said):  # 'idle was fine' takes no others with it
            last = list(range(len(out), len(out) + len(said)))
        said += _figures(bench, clause, subjects, {s.question for s in said if s.value})
        said = [s for s in said if s.question != ONSET or not says_well(clause.text)]
        for s in said:
            one_of = where.one_of(s.question, clause.text)
            places = () if one_of else where.of(s.question, named)
            state = _state(bench, s.question, _stage_of(bench, s.question, clause), settings)
            out.append(replace(s, state=state, places=places, one_of_places=one_of))
        if others is not None:
            out += _of_others(bench, out, last, others)
            last = []
    told = {s.question for s in out if s.value}
    once: dict[object, Suggestion] = {}
    for s in out:
        # 'warning lamp ... flickering': the bare name adds nothing to what was said of it
        if s.value or s.negated or s.question not in told:
            at = (s.places, s.one_of_places, str(s.state)) if s.value else ()
            once.setdefault((s.question, s.value, s.negated, s.asks, at), s)
    anywhere = where.named(" | ".join(c.text for c in every))
    return tuple(
        s
        if s.places or s.one_of_places or s.phrase in unclear
        else replace(s, places=where.of(s.question, anywhere, only=True))
        for s in once.values()
    )


def _figures(
    bench: Bench, clause: Clause, subjects: Iterable[str], heard: Collection[str]
) -> list[Suggestion]:
    """Return the figures a clause tells of what its words do not class already."""
    found = figures_told(bench, clause.text, frozenset(subjects) - frozenset(heard))
    return [
        Suggestion(f.words, f.question.classes[f.value], f.question.id, f.value,
                   number=f.quantity.value_si)
        if f.value
        else Suggestion(f.words, f.question.title, f.question.id, asks=(f.question.id,))
        for f in found
    ]  # fmt: skip


def _of_others(
    bench: Bench, out: list[Suggestion], last: Sequence[int], others: TheOthers
) -> Iterator[Suggestion]:
    """Mark what was told amiss ``last`` in ``out`` where all others were normal; else yield it."""
    for k in last:
        s = out[k]
        if not _is_amiss(bench, s):
            continue
        phrases = bench.library.questions[s.question].heard.get(_usual(bench, s), ())
        if others.well(phrases) and _are_all(bench, s, others.count):
            out[k] = replace(s, others_normal=True)
        else:
            yield Suggestion(others.words, "said of the others", asks=(s.question,))


def _is_amiss(bench: Bench, s: Suggestion) -> bool:
    return bool(s.value) and s.value != _usual(bench, s)


def _usual(bench: Bench, s: Suggestion) -> str:
    asked = bench.library.questions[s.question]
    return normal_class(asked, bench.library.effects[asked.reads])


def _are_all(bench: Bench, s: Suggestion, count: int) -> bool:
    """Return whether so many others are all there are of the kind of part ``s`` speaks of."""
    parts = bench.layout.parts
    if s.places or s.one_of_places:
        kinds: set[str] = {parts[p].kind for p in s.places or s.one_of_places}
    else:
        kinds = set(bench.library.questions[s.question].at)
    left = {
        len(bench.places.parts_of_kind(kind)) - max(1, len(s.places))
        for kind in kinds - {AEROPLANE}
    }
    return count in left if count else any(n > 0 for n in left)


def _stage_of(bench: Bench, question: str, clause: Clause) -> str:
    """Return the clause's stage, unless a neighbour lent one in which this cannot be seen."""
    asked = bench.library.questions.get(question)
    unseen = asked is not None and asked.stages and clause.stage not in asked.stages
    return "" if clause.lent and clause.stage in STANDING and unseen else clause.stage


def _state(bench: Bench, question: str, stage: str, settings: Mapping[str, str]) -> State:
    """Return of a clause's state what matters to the question it answers."""
    if not question:
        return State(stage, settings)
    matters = bench.library.effects[bench.library.questions[question].reads].depends_on
    kept = {d: v for d, v in settings.items() if d in matters}
    return State(stage if "power" in matters else "", kept)


# ------------------------------------------------------------------ words of the knowledge


@dataclass(frozen=True)
class _Vocabulary:
    """subjects: phrase -> questions.  said: phrase -> what it says."""

    subjects: Mapping[str, tuple[str, ...]]
    said: Mapping[str, tuple[tuple[Suggestion, bool], ...]]

    @staticmethod
    def of(bench: Bench) -> _Vocabulary:
        subjects: dict[str, list[str]] = {}
        said: dict[str, list[tuple[Suggestion, bool]]] = {}
        for q in _asked_here(bench):
            for name in (q.title, *q.also_called):
                subjects.setdefault(name.lower(), []).append(q.id)
            for value, phrases in q.heard.items():
                for phrase in phrases:
                    s = Suggestion(phrase, q.classes[value], q.id, value)
                    said.setdefault(phrase.lower(), []).append((s, " " in phrase))
        here = {q for ids in subjects.values() for q in ids}
        for w in bench.library.words.trade:
            asks = tuple(q for q in (w.asks or (w.finding,)) if q in here)
            if asks and (not w.finding or w.finding in here):
                s = Suggestion(w.word, w.means, w.finding, w.value, asks, w.trap, one_of=w.one_of)
                said.setdefault(w.word.lower(), []).append((s, True))
        return _Vocabulary({k: tuple(v) for k, v in subjects.items()},
                           {k: tuple(v) for k, v in said.items()})  # fmt: skip


_VOCABULARIES: WeakKeyDictionary[Bench, _Vocabulary] = WeakKeyDictionary()
"""The words of each bench, kept as long as it lives."""


def _asked_here(bench: Bench) -> Iterable[Question]:
    """Return the questions that have a place on this layout."""
    kinds = {p.kind for p in bench.layout.parts.values()}
    return (q for q in bench.library.questions.values() if AEROPLANE in q.at or kinds & set(q.at))


# ------------------------------------------------------------------ one clause


def _heard_in(
    clause: Clause, vocabulary: _Vocabulary, carried: frozenset[str]
) -> tuple[list[Suggestion], frozenset[str]]:
    """Return what a clause says, and the questions it names for those after it to speak of."""
    named = {
        span: questions
        for phrase, questions in vocabulary.subjects.items()
        for name in (phrase, f"{phrase}s")[: 2 if "one of" in clause.text else 1]  # 'the lamps'
        for span in _spans(name, clause)
    }
    phrases = [s for phrase, meant in vocabulary.said.items() if any(alone for _, alone in meant)
               for s in _spans(phrase, clause)]  # fmt: skip
    # 'oil pressure' and 'pressure gauge' do not speak of 'pressure'
    named = {s: q for s, q in named.items() if not any(_inside(s, o) for o in (*named, *phrases))}
    subjects = {q: span for span, questions in named.items() for q in questions}
    if not subjects:
        subjects = dict.fromkeys(carried or ({IMPLIED} if clause.stage and clause.own else ()),
                                 (0, 0))  # fmt: skip
    said = [
        _Said(*span, s, alone)
        for phrase, meanings in vocabulary.said.items()
        for span in _spans(phrase, clause)
        for s, alone in meanings
        if alone or s.question in subjects
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
    out = [_negated(x, clause.text) for x in sorted(kept, key=lambda x: x.start)]
    if not out:  # named, and nothing said of it that is known here
        for (a, b), questions in named.items():
            bare = clause.text[a:b]
            if " " in bare:
                out.append(Suggestion(bare, bare, questions[0], "", questions))
    return out, frozenset(subjects)


def _distance(x: _Said, subjects: Mapping[str, tuple[int, int]]) -> int:
    """Return how far a phrase stands from its subject; after it is nearer than before it."""
    if x.suggestion.question not in subjects:
        return FAR
    a, b = subjects[x.suggestion.question]
    return x.start - b if x.start >= b else (a - x.end) + REACH


def _negated(x: _Said, text: str) -> Suggestion:
    """Return the suggestion, without its value where a 'no' stands in the words before it."""
    before = re.sub(r"\bno (?=\d)", "", text[: x.start]).split()[-REACH:]
    s = x.suggestion
    if not NEGATIONS & set(before) or not s.value:
        return s
    return replace(s, value="", one_of=(), asks=s.asks or (s.question,), negated=True)


def _spans(phrase: str, clause: Clause) -> list[tuple[int, int]]:
    """Return where ``phrase`` stands in a clause; what only tells its state does not count."""
    if phrase not in clause.text:
        return []
    pattern = rf"(?<![\w-]){re.escape(phrase)}(?![\w-])"
    found = (hit.span() for hit in re.finditer(pattern, clause.text))
    return [(a, b) for a, b in found if clause.rest[a:b].strip()]


def _inside(one: tuple[int, int], other: tuple[int, int]) -> bool:
    return one != other and other[0] <= one[0] and one[1] <= other[1]
