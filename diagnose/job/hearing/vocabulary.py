"""The words of the knowledge by which a report is heard, as far as a layout has use for them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from weakref import WeakKeyDictionary

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.clauses import JOINING
from diagnose.job.hearing.durations import in_minutes
from diagnose.job.hearing.phrases import PhraseBook, each_way
from diagnose.job.hearing.written_out import engines_pump, well_for_right
from diagnose.model import AEROPLANE, Finding, Question, State


@dataclass(frozen=True)
class Suggestion:
    """What a phrase of the report may mean.

    question and value may be '' (then only ``asks`` helps); asks: the questions that tell its
    meanings apart; trap: what it is often mistaken for.  state: in which it was seen.
    places: where, as far as the report names it.  one_of: the classes of which it is one, where it
    may be several; value is the first, or '' for a word that gives way to any other of its
    question.  others_normal: the others of its kind were told normal.
    one_of_places: at one of which it was, not known which; ``places`` is empty then.
    number: the figure told, SI, where it was one.
    among: the parts that words such as 'port' may mean, where no one place is named.
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
    among: tuple[str, ...] = ()

    def finding(self, place: str) -> Finding:
        """Return what it says, as the finding at ``place`` that it is once taken."""
        return Finding(
            self.question,
            place,
            self.value,
            self.state,
            "told",
            typed=self.phrase,
            number=self.number,
            others_normal=self.others_normal,
            one_of=self.one_of,
            one_of_places=self.one_of_places,
        )


ITS = "<it> "
"""Begins a phrase of several words that counts only beside its subject."""


@dataclass(frozen=True)
class Vocabulary:
    """subjects: phrase -> questions.  said: phrase -> what it says.

    elsewhere: names of things of other systems, of which nothing is heard.  book: all of these, to
    be found.  joined: what is said in one clause though a joining word stands in it.
    groups: name -> the phrases '<name>' stands for.  stages: question -> the stages in which it is
    read, for those that are not read at any time.  read: each question that is
    read off an instrument -> the kinds of part it is asked of.  machines: the questions of
    which something is read, or heard of a pump.
    """

    subjects: Mapping[str, tuple[str, ...]]
    said: Mapping[str, tuple[tuple[Suggestion, bool], ...]]
    elsewhere: frozenset[str]
    book: PhraseBook
    joined: PhraseBook
    groups: Mapping[str, tuple[str, ...]]
    stages: Mapping[str, tuple[str, ...]]
    read: Mapping[str, frozenset[str]]
    machines: frozenset[str]
    _usual: dict[tuple[str, str], PhraseBook] = field(default_factory=dict)

    def how(self, question: Question, value: str) -> PhraseBook:
        """Return how people say that ``question`` is answered by ``value``, without its subject."""
        key = (question.id, value)
        if key not in self._usual:
            phrases = [p.lower().removeprefix(ITS) for p in question.heard.get(value, ())]
            self._usual[key] = PhraseBook(phrases, self.groups)
        return self._usual[key]

    def names_another(self, text: str) -> bool:
        """Return whether ``text`` names a thing of another system: 'manifold pressure low'."""
        return any(hit.phrase in self.elsewhere for hit in self.book.found(text))

    def spoken(self) -> list[str]:
        """Return every phrase as it may be said, and each phrase of the groups by itself."""
        each = [next(each_way(phrase, self.groups)) for phrase in (*self.subjects, *self.said)]
        return [*each, *(phrase for group in self.groups.values() for phrase in group)]

    @staticmethod
    def of(bench: Bench) -> Vocabulary:
        """Return the words of ``bench``, gathered once."""
        return _KEPT.get(bench) or _KEPT.setdefault(bench, Vocabulary._gathered(bench))

    @staticmethod
    def _gathered(bench: Bench) -> Vocabulary:
        forms = bench.library.words.forms
        subjects: dict[str, list[str]] = {}
        said: dict[str, list[tuple[Suggestion, bool]]] = {}
        for q in asked_here(bench):
            if q.refines is not None:
                continue  # it is heard in the words of the answer that it asks more of
            for name in dict.fromkeys(in_our_form(n, forms) for n in (q.title, *q.also_called)):
                subjects.setdefault(name, []).append(q.id)
            for value, phrases in q.heard.items():
                for phrase in phrases:
                    its = phrase.removeprefix(ITS)
                    s = Suggestion(its, q.classes[value], q.id, value)
                    alone = " " in its and its == phrase
                    said.setdefault(in_our_form(its, forms), []).append((s, alone))
        here = {q for ids in subjects.values() for q in ids}
        for w in bench.library.words.trade:
            asks = tuple(q for q in (w.asks or (w.finding,)) if q in here)
            if asks and (not w.finding or w.finding in here):
                value = "" if w.one_of and w.asks else w.value  # only where nothing else is told
                s = Suggestion(w.word, w.means, w.finding, value, asks, w.trap, one_of=w.one_of)
                said.setdefault(in_our_form(w.word, forms), []).append((s, True))
        elsewhere = frozenset(bench.library.words.elsewhere)
        groups = {
            name: tuple(in_our_form(p, forms) for phrase in each for p in _each_number(phrase))
            for name, each in bench.library.words.amounts.items()
        }
        return Vocabulary(
            {k: tuple(v) for k, v in subjects.items()},
            {k: tuple(v) for k, v in said.items()},
            elsewhere,
            PhraseBook([*subjects, *said, *elsewhere], groups),
            PhraseBook([*filter(JOINING.search, said), *_in_one(groups)], groups),
            groups,
            {q.id: q.stages for q in asked_here(bench) if q.stages},
            {q.id: frozenset(q.at) for q in asked_here(bench) if _is_read(q)},
            frozenset(q.id for q in asked_here(bench) if _is_read(q) or _is_of_a_pump(q)),
        )


def in_our_form(phrase: str, forms: Mapping[str, str]) -> str:
    """Return ``phrase`` in lower case without hyphens, each word of another form in ours."""
    phrase = engines_pump(in_minutes(phrase.lower()))
    words = (forms.get(word, word) for word in phrase.replace("-", " ").split())
    return well_for_right(" ".join(words))


def _each_number(phrase: str) -> Iterator[str]:
    """Yield ``phrase`` with each figure of the range it begins with: '2-14 minutes'."""
    hit = _RANGE.match(phrase)
    if hit is None:
        yield phrase
        return
    yield from (f"{n}{phrase[hit.end() :]}" for n in range(int(hit[1]), int(hit[2]) + 1))


def _in_one(groups: Mapping[str, Iterable[str]]) -> Iterator[str]:
    """Yield the phrases of ``groups`` that stand in one clause: 'up and down'."""
    return (p for group in groups.values() for p in group if _JOINED.search(p))


_RANGE = re.compile(r"(\d+)-(\d+)\b")
_JOINED = re.compile(rf"\w {JOINING.pattern} \w")
_KEPT: WeakKeyDictionary[Bench, Vocabulary] = WeakKeyDictionary()
"""The words of each bench, kept as long as it lives."""


def asked_here(bench: Bench) -> Iterable[Question]:
    """Return the questions that have a place on this layout."""
    kinds = {p.kind for p in bench.layout.parts.values()}
    return (q for q in bench.library.questions.values() if AEROPLANE in q.at or kinds & set(q.at))


def _is_of_a_pump(q: Question) -> bool:
    return all(kind.endswith("pump") for kind in q.at)


def _is_read(q: Question) -> bool:
    """Return whether ``q`` is read off an instrument, or asks how one moves."""
    return bool(q.instruments) or "gauge" in q.id or "lamp" in q.id
