"""The rows of a fault-finding table: what is looked at under one heading, its answers below it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.by_key import by_key
from diagnose.chart.check_sheet import CUT, SMALL
from diagnose.chart.labels import kind_words, printable
from diagnose.chart.table import Entry, FaultTable, Likely
from diagnose.grammar import capital
from diagnose.job.diagnosis import Bench
from diagnose.model import AEROPLANE
from diagnose.paper.blocks import Block, Para

UNMARKED = "possible"
"""What most causes of a line are, so that only the others are marked."""


@dataclass(frozen=True)
class Subject:
    """What is looked at, or what several findings make, with its entries.

    anchor: the number by which the index finds it.  limits, stops, warns: what all entries share.
    """

    title: str
    entries: tuple[Entry, ...]
    anchor: int
    limits: tuple[str, ...]
    stops: tuple[str, ...]
    warns: tuple[str, ...]


@dataclass(frozen=True)
class Place:
    """What is found at one kind of part: by one look or reading, and by several together."""

    title: str
    single: tuple[Subject, ...]
    several: tuple[Subject, ...]


def places_of(bench: Bench, table: FaultTable, after: int) -> tuple[Place, ...]:
    """Return the table by where a thing is found, then by title; anchors begin behind ``after``."""
    number = iter(range(after + 1, after + 1 + len(table.findings) + len(table.symptoms)))
    single = by_key((_family(bench, e), e) for e in table.findings)
    several = by_key((_family(bench, e), e) for e in table.symptoms)
    titles = {kinds: _heading(bench, kinds) for kinds in (*single, *several)}
    return tuple(
        Place(
            titles[kinds],
            _subjects(bench, single.get(kinds, ()), number),
            _subjects(bench, several.get(kinds, ()), number),
        )
        for kinds in sorted(titles, key=lambda k: (AEROPLANE not in k, titles[k]))
    )


def _family(bench: Bench, entry: Entry) -> tuple[str, ...]:
    """Return the kinds of parts that are looked at together where the entry was found."""
    parts = bench.layout.parts
    place = entry.name.partition("@")[2]
    kind = parts[place].kind if place in parts else AEROPLANE
    asked = [q.at for q in bench.library.questions.values() if kind in q.at]
    return max(asked, key=len, default=(kind,))


def _heading(bench: Bench, kinds: Sequence[str]) -> str:
    if AEROPLANE in kinds:
        return "The aeroplane as a whole"
    fitted = {p.kind for p in bench.layout.parts.values()}
    return capital(", ".join(kind_words(k) for k in kinds if k in fitted))


def _subjects(bench: Bench, entries: Sequence[Entry], number: Iterator[int]) -> tuple[Subject, ...]:
    by = by_key((_title(bench, e), e) for e in entries)
    return tuple(
        Subject(
            title,
            tuple(by[title]),
            next(number),
            _shared([e.limits for e in by[title]]),
            _shared([e.stops for e in by[title]]),
            _shared([e.warns for e in by[title]]),
        )
        for title in sorted(by)
    )


def _title(bench: Bench, entry: Entry) -> str:
    asked = entry.name.partition("@")[0].partition("=")[0]
    known = bench.library.questions if "=" in entry.name else bench.library.symptoms
    return capital(known[asked].title)


def _shared(each: Sequence[tuple[str, ...]]) -> tuple[str, ...]:
    """Return the texts that stand in all of ``each``."""
    return tuple(text for text in each[0] if all(text in texts for texts in each))


def rows(
    bench: Bench, subject: Subject, number: Mapping[str, int], card: Mapping[str, int]
) -> Block:
    """Return what stands under one subject: what is read first, then its entries.

    ``number``: of the checks that are told in full.  ``card``: of the cards.
    """
    below = [
        Para(before + one, kind)
        for texts, kind, before in (
            (subject.limits, "small", ""),
            (subject.stops, "warn", "STOP: "),
            (subject.warns, "warn", "CAUTION: "),
        )
        for one in texts
    ]
    everywhere = _all_places(bench, subject.entries[0])
    paras = []
    for entry in subject.entries:
        paras.append(Para(" ".join(_found(bench, subject, entry, everywhere)), "sub"))
        paras += [_line(bench, k, c, number) for k, c in enumerate(entry.causes, 1)]
        if entry.seldom:
            named = "; ".join(f"{c.title} (card {card[c.cause]})" for c in entry.seldom)
            paras.append(Para(f"Seldom: {named}.", "item"))
    return Block(
        printable((Para(subject.title, "head"), *below, *paras)),
        subject.anchor,
        again=printable((Para(f"{subject.title}, continued", "head"), *below)),
        whole=CUT,
        scale=SMALL,
    )


def _all_places(bench: Bench, entry: Entry) -> set[str]:
    kinds = _family(bench, entry)
    if AEROPLANE in kinds:
        return {bench.places.label(AEROPLANE)}
    return {bench.places.label(p) for p in bench.places.parts_of_kind(kinds)}


def _found(bench: Bench, subject: Subject, entry: Entry, everywhere: set[str]) -> Iterator[str]:
    """Yield what was found: the answer, or the findings together; where; what is read first."""
    if entry.says:
        yield f"{capital('; '.join(entry.says))}."
    else:
        question, _, value = entry.name.partition("@")[0].partition("=")
        yield f"{capital(bench.library.questions[question].classes[value])}."
    if set(entry.places) != everywhere:
        yield f"At {'; '.join(entry.places)}."
    yield from (f"{said}." for said in entry.limits if said not in subject.limits)
    yield from (f"STOP: {said}" for said in entry.stops if said not in subject.stops)
    yield from (f"CAUTION: {said}" for said in entry.warns if said not in subject.warns)


def _line(bench: Bench, k: int, c: Likely, number: Mapping[str, int]) -> Para:
    check = "no check here: hand over, last sheet"
    if c.check:
        check = f"{number[c.check]} {bench.library.checks[c.check].title} ({c.minutes:.0f} min)"
    where = f", {'; '.join(c.where)}" if c.where else ""
    only = f", only at {'; '.join(c.only)}" if c.only else ""
    word = "" if c.word == UNMARKED else f" ({c.word})"
    return Para(f"{c.title}{where}{only}{word} \u2192 {check}", "item", f"{k}.")
