"""The fault-finding table on sheets: an index, the rows by where a thing is found, the checks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.chart.card import card_numbers
from diagnose.chart.check_sheet import CUT, SMALL, check_sheets
from diagnose.chart.labels import APPROVED, NO_RATES, labels, printable
from diagnose.chart.table import FaultTable
from diagnose.chart.table_rows import Place, Subject, places_of, rows
from diagnose.job.diagnosis import Bench
from diagnose.paper.blocks import Block, Paper, Para, Part, page_of
from diagnose.paper.sheets import Group, Set
from diagnose.paper.words import shown

SINGLE = "What one look or reading shows"
SEVERAL = "What several findings make together"

PER_LINE = 5
"""Causes that stand together in the list of those that no line names."""


def on_paper(bench: Bench, table: FaultTable, paper: Paper) -> Set:
    """Return the sheets of the table: index, entries, and every check they name."""
    card = card_numbers(bench)
    sheets = check_sheets(bench, table, card)
    places = places_of(bench, table, sheets.cautions_at)
    index = tuple(map(_index, places))
    parts: list[Part] = []
    for place in places:
        for heading, told in ((SINGLE, place.single), (SEVERAL, place.several)):
            parts += [_heading(f"{place.title}: {heading.lower()}")] if told else []
            parts += [rows(bench, subject, sheets.number, card) for subject in told]
    opening = _opening(bench)

    def over(here: Sequence[Part]) -> tuple[Part, ...]:
        return (opening,) if index[0] in here else sheets.over(here)

    return Set(
        shown(f"Fault-finding table: {bench.layout.id}"),
        labels(bench.library, bench.layout),
        (
            Group(index, paper.columns + 1),
            Group((*parts, *_never_named(bench, table))),
            Group((sheets.cautions(bench),), 1),
            Group(sheets.blocks(bench)),
        ),
        paper,
        over,
    )


def _opening(bench: Bench) -> Block:
    return Block((
        Para(shown(bench.layout.title), "head"),
        Para("Find what was seen or read in the index. Do what stands after STOP or CAUTION "
             "before anything else, then work the causes of its line from the top; what is not "
             "marked likely or unlikely is possible. The number behind the arrow is the check "
             "that settles a cause, with its minutes and those for access: the checks stand in "
             "order on the last sheets, each with the remedy of what it finds; the cautions "
             "stand on a sheet before them. Card 12 is the twelfth of this aeroplane's cards. "
             "After a part is changed begin again: a new part can bring a new fault. A quick "
             "check may be worth making before the likeliest cause's; the decision chart weighs "
             "that."),
        Para("A cause stands where the finding speaks for it; a finding that is not in the table "
             "speaks for none. Nothing in the line found: hand over with what was done. Prove "
             "every remedy in the state of the report, once what its check asks for before that is "
             "known."),
        Para(f"{APPROVED} {NO_RATES}", "small"),
    ), framed=False)  # fmt: skip


def _index(place: Place) -> Block:
    """Return where each thing of one place stands: looks and readings, then the sets of them."""
    paras = [Para(place.title, "head"), *map(_entry, place.single)]
    if place.several:
        paras += [Para(SEVERAL, "sub"), *map(_entry, place.several)]
    again = (Para(f"{place.title}, continued", "head"),)
    return Block(printable(paras), framed=False, again=again, whole=CUT, scale=SMALL)


def _entry(subject: Subject) -> Para:
    return Para(f"{subject.title}: {page_of(subject.anchor)}", "listed")


def _heading(text: str) -> Block:
    return Block((Para(shown(text), "head"),), framed=False, leads=True)


def _never_named(bench: Bench, table: FaultTable) -> Iterator[Block]:
    """Yield the causes that no line names, so that none is lost."""
    named = {c.cause for e in (*table.findings, *table.symptoms) for c in (*e.causes, *e.seldom)}
    causes = bench.library.causes
    left = [
        f"{causes[c].title} (card {k})" for c, k in card_numbers(bench).items() if c not in named
    ]
    head = Para("In no line above, and possible all the same", "head")
    lines = (Para("; ".join(some), "listed") for some in _by(left, PER_LINE))
    if table.whole and left:
        yield Block(printable((head, *lines)), again=(head,), whole=CUT, scale=SMALL)


def _by(names: Sequence[str], size: int) -> Iterator[Sequence[str]]:
    """Yield ``names`` by so many."""
    yield from (names[k : k + size] for k in range(0, len(names), size))
