"""Reports that were told and coded, clause by clause by the answer that each tells.

Whoever codes a report says what it tells, never in which words.  Each clause is laid to the answer
of its report under which its words are likeliest, or to none, by the phrases of the answers first,
then by what was laid to them ('hard' expectation maximisation; from memory).  The reports kept
apart measure what was learned, and are never learned from.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import exp, log

import yaml

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.nearest import Nearest
from diagnose.job.hearing.not_heard import not_heard, told_words
from diagnose.job.hearing.report_words import listened
from diagnose.job.hearing.whereabouts import Where
from diagnose.job.hearing.word_chances import Answer, WordChances, words_of
from diagnose.knowledge_files.schema.accounts import JOIN
from diagnose.model import Case, Library, ToldAs

ROUNDS = 3
NO_ANSWER = 0.1
"""Chance that a clause tells none of what was coded."""
SURE = 0.5
"""A clause is laid to an answer if this is likelier."""
_WIDTH = 100
_NUMBER = re.compile(r"(\d+)$")


@dataclass(frozen=True)
class Told:
    """A coded report: its clauses (``told_words``), and the answers that were coded."""

    clauses: tuple[str, ...]
    answers: tuple[Answer, ...]


@dataclass(frozen=True)
class Shown:
    """What is shown of clauses not heard, counted over reports kept apart.

    clauses: of which nothing was heard.  shown: that have answers to pick from.  right: with one
    that was coded and not heard among them.  first: with that one first.
    """

    clauses: int = 0
    shown: int = 0
    right: int = 0
    first: int = 0


def is_kept_apart(case: Case) -> bool:
    """Return whether a report only measures hearing: a judged one of an odd number."""
    number = _NUMBER.search(case.id)
    return bool(case.judged) and number is not None and int(number[1]) % 2 == 1


def told_of(case: Case, bench: Bench) -> Told:
    """Return the report of ``case`` in clauses, with what was coded of it."""
    where = Where(bench)
    clauses = (told_words(where, c) for c in listened(case.reported, bench).clauses)
    return Told(tuple(c for c in clauses if words_of(c)), tuple(sorted(_coded(case))))


def laid(reports: Sequence[Told], library: Library) -> list[tuple[ToldAs, ...]]:
    """Return what each report told, with the clauses laid to each answer."""
    out: list[tuple[ToldAs, ...]] = []
    for _ in range(ROUNDS):
        chances = WordChances(library, out)
        out = [tuple(_laid(report, chances)) for report in reports]
    return out


def _laid(report: Told, chances: WordChances) -> Iterator[ToldAs]:
    clauses: dict[Answer, list[str]] = {answer: [] for answer in report.answers}
    for clause in report.clauses if clauses else ():
        words = words_of(clause)
        each = log((1.0 - NO_ANSWER) / len(clauses))
        odds = {answer: exp(each + chances.speak(words, answer)) for answer in clauses}
        best = max(odds, key=lambda answer: odds[answer])
        if odds[best] > SURE * (sum(odds.values()) + NO_ANSWER):
            clauses[best].append(clause)
    yield from (ToldAs(*answer, tuple(each)) for answer, each in clauses.items())


def shown(cases: Iterable[Case], nearest_on: Callable[[str], tuple[Bench, Nearest]]) -> Shown:
    """Return how often what is shown of clauses not heard in ``cases`` is right.

    ``nearest_on``: the bench of a layout, and what finds the answers there.
    """
    counted = Counter[str]()
    for case in cases:
        bench, nearest = nearest_on(case.layout)
        heard = listened(case.reported, bench)
        missed = _coded(case) - {(s.question, v) for s in heard.said for v in (s.value, *s.one_of)}
        for clause in not_heard(heard, bench, nearest=nearest):
            may = [(s.question, s.value) for s in clause.may]
            counted["clauses"] += 1
            counted["shown"] += bool(may)
            counted["right"] += not missed.isdisjoint(may)
            counted["first"] += bool(may) and may[0] in missed
    return Shown(**counted)


def accounts_text(reports: Sequence[Sequence[ToldAs]]) -> str:
    """Return the text of accounts.yaml."""
    head = [f"# {line}" for line in _HEAD.format(reports=len(reports)).splitlines()]
    body = [{f"{t.question}{JOIN}{t.value}": list(t.clauses) for t in r} for r in reports]
    text = yaml.safe_dump({"reports": body}, sort_keys=False, width=_WIDTH, default_flow_style=None)
    return "\n".join([*head, text])


def _coded(case: Case) -> set[Answer]:
    return {(f.question, v) for f in case.findings for v in ((f.value,) if f.value else f.one_of)}


_HEAD = """\
What {reports} reports told, and in which clauses, as far as they could be laid to it.  Shown to
pick from where a clause is not understood, never taken.  Written by `diagnose cases told --write`,
not by hand.  The reports are invented; judged ones of odd numbers are kept apart to measure it."""
