"""A run card read back: understood as typed, questioned where it looks odd, whole or nothing."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis.shipped import bench
from job.slip_tables import KINDS, Drawn, drawn

from diagnose.errors import UsageError
from diagnose.job.day.card import CardLine, code_of, kept_lines
from diagnose.job.day.reading_back import keep, lines_out
from diagnose.job.day.slips import doubts
from diagnose.job.day.table import Table, read_table
from diagnose.job.job import Job
from diagnose.job.keeping.registry import Registry
from diagnose.model import Finding, State

BENCH = bench("four-engine-injection")
ENGINES = BENCH.places.engines
LINES = [
    ["1", "idle-booster-off", "fuel-pressure", *ENGINES],
    ["2", "idle-booster-off", "engine-behaviour", *ENGINES],
    ["3", "run-up-booster-off", "fuel-pressure", *ENGINES],
    ["4", "run-up-booster-off", "pressure-lamp", *ENGINES],
    ["5", "run-up-booster-on", "fuel-pressure", *ENGINES],
]
CARD: tuple[CardLine, ...] = kept_lines(BENCH, LINES)
RUN_UP = State("run-up", {"booster": "off"})
TABLE = "start: AB\nby: CD\n1: 16, 15, 16, 16 psi\n4: a, b, a, a\n"


def opened(home: Path, *, card: bool = True) -> Job:
    """Return a job with a run card out."""
    job = Job.open(Registry(home), BENCH, "2026-11-25", "lamp no. 2 at the run-up")
    if card:
        job.record("card", lines=LINES)
    return job


def read(text: str) -> Table:
    """Return what ``text`` reads back."""
    return read_table(text, CARD, BENCH)


# ---------------------------------------------------------------------- as it is typed


@pytest.mark.parametrize(
    "row",
    [
        "3: 16, 11, 16, 15.5 psi",
        "3: 16 11 16 15.5 psi",
        "3; 16 psi; 11 psi; 16 psi; 15.5 psi",
        "3\t16 psi\t11 psi\t16 psi\t15.5 psi",
        "3 | 16 | 11 | 16 | 15.5 psi",
        "3: 4 SO = 15.5 psi, 2 PI = 11 psi, no. 3 = 16 psi, no1-engine = 16 psi",
        "3: 110.3 kPa, 75.8 kPa, 110.3 kPa, 106.9 kPa",
        "line; 4; 3; 2; 1\n3; 15.5 psi; 16 psi; 11 psi; 16 psi",
    ],
)
def test_a_row_means_the_same_however_it_is_written(row: str) -> None:
    """Commas, spaces, pasted columns, names in any order, another unit: four figures in SI."""
    cells = read(row).cells
    figures = {p: round(c.answer.number / 6894.757, 1) for (_, p), c in cells.items() if c.answer}  # type: ignore[operator] # a figure each
    assert figures == dict(zip(ENGINES, (16.0, 11.0, 16.0, 15.5), strict=True))
    assert cells[(3, "no2-engine")].answer.value == "low"  # type: ignore[union-attr] # read


def test_a_box_not_read_is_kept_as_that_and_an_empty_one_as_nothing() -> None:
    """'-' is an answer of its own; a blank says nothing at all."""
    cells = read("4: a, -, , b").cells
    assert cells[(4, "no2-engine")].answer is None
    assert (4, "no3-engine") not in cells
    assert cells[(4, "no4-engine")].answer.value == "lit"  # type: ignore[union-attr] # read


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("3: 16, 11, 16", "4 boxes"),
        ("3: 16, 11, 16, 16", "no unit"),
        ("9: 16 psi", "no line 9"),
        ("hello", "number of a card line"),
        ("4: a, b, a, q", "not one of the answers"),
        ("3: 2 PI = 11 gal, 1 PO = 16 psi", "gal"),
        ("3: 5 XX = 11 psi", "no box of card line 3"),
        ("3: 2 PI = 11 psi, no. 2 = 12 psi", "twice"),
        ("3: 16,2, 11, 16, 16 psi", "decimal"),
        ("start: 12345678", "no initials"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line_and_nothing_is_guessed(
    row: str, says: str
) -> None:
    """One line a problem, with file, line and column."""
    with pytest.raises(UsageError, match=says) as told:
        read(f"by: CD\n{row}\n")
    assert str(told.value).startswith("table:2:1:")


# ---------------------------------------------------------------------- whole or nothing


def test_a_table_counts_whole_with_its_run_and_what_was_ticked(tmp_path: Path) -> None:
    """Answers, the run, the gates signed for and what was not read come in one group."""
    job = opened(tmp_path)
    before = len(job.log.events)
    assert keep(job, read(TABLE + "5: 2 PI = -\n")) == 8
    group = job.log.events[before:]
    assert [e["part"][0] for e in group] == list(range(1, len(group) + 1))
    assert job.state.engine_runs == 1
    assert not job.situation().open_gates, "the gates ticked on the card are known safe"
    assert ("fuel-pressure", "no2-engine", "run-up-booster-on") in job.state.asked
    with pytest.raises(UsageError, match="no run card is out"):
        lines_out(job)
    job.step_back()
    assert job.state.engine_runs == 0
    assert not job.findings, "a table is taken back as it came: whole"
    assert lines_out(job)


def test_how_often_it_was_seen_is_kept_with_a_class(tmp_path: Path) -> None:
    """'Lit 2 of 5' typed in a box is five tries, two of them lit, in the record too."""
    job = opened(tmp_path)
    keep(job, read("start: AB\nby: CD\n4: out, lit 2 of 5, out, out"))
    lit = next(f for f in job.findings if f.question == "pressure-lamp" and f.at == "no2-engine")
    assert (lit.value, lit.seen, lit.tries) == ("lit", 2, 5)


@pytest.mark.parametrize("missing", ["start", "by"])
def test_nobody_signed_nothing_kept(tmp_path: Path, missing: str) -> None:
    """A run whose start nobody ticked, or that nobody read, does not count."""
    job = opened(tmp_path)
    table = replace(read(TABLE), start="") if missing == "start" else replace(read(TABLE), by="")
    with pytest.raises(UsageError, match=missing):
        keep(job, table)
    assert len(job.log.events) == 2


def test_a_doubtful_table_is_not_kept_until_the_person_is_sure(tmp_path: Path) -> None:
    """Nothing is put right: the same figure stands once it is said to be sure."""
    job = opened(tmp_path)
    slipped = TABLE.replace("15,", "150,")
    with pytest.raises(UsageError, match="150 psi"):
        keep(job, read(slipped))
    assert len(job.log.events) == 2
    keep(job, read(slipped.replace("150,", "150 psi sure,")))
    kept = [f for f in job.findings if f.at == "no2-engine" and f.question == "fuel-pressure"]
    assert kept[0].typed == "150 psi"


# ---------------------------------------------------------------------- slips


def test_engines_exchanged_against_the_report_are_asked_about() -> None:
    """No. 2 was low and no. 3 well; the table says it the other way round."""
    known = [
        Finding("fuel-pressure", "no2-engine", "low", RUN_UP, "read", number=75_800.0),
        Finding("fuel-pressure", "no3-engine", "normal", RUN_UP, "read", number=110_000.0),
    ]
    told = doubts(read("3: 16, 16, 11, 16 psi"), known, BENCH)
    assert [(d.kind, d.cells) for d in told] == [
        ("exchanged", ((3, "no2-engine"), (3, "no3-engine")))
    ]
    assert not doubts(read("3: 16, 11, 16, 16 psi"), known, BENCH)


def test_an_exchange_against_what_was_told_of_one_engine_is_asked_about_first() -> None:
    """No. 2 alone was told low: the row that accuses no. 3 is at fault, not the one that fits."""
    known = [Finding("fuel-pressure", "no2-engine", "low", RUN_UP, "told")]
    told = doubts(read("1: 16, 11, 16, 16 psi\n3: 16, 16, 11, 16 psi"), known, BENCH)
    assert told[0].cells == ((3, "no2-engine"), (3, "no3-engine"))
    assert "what was told or read before" in told[0].text
    assert not doubts(read("3: 16, 11, 16, 16 psi"), known, BENCH)


def test_an_exchange_is_asked_about_with_the_line_it_is_held_against() -> None:
    """Who looks at the card must know which of two lines is at odds with which."""
    told = doubts(read("1: 16, 11, 16, 16 psi\n3: 16, 16, 11, 16 psi"), (), BENCH)
    assert "card line 1" in told[0].text
    assert "would fit line 3 the other way round" in " ".join(told[0].text.split())


@pytest.mark.parametrize("row", ["start: AB by: CD", "start: AB (who ticked)   by: CD (who read)"])
def test_who_ticked_and_who_read_may_stand_on_one_line(row: str) -> None:
    """As the sheet shows them."""
    table = read(f"{row}\n3: 16, 11, 16, 16 psi")
    assert (table.start, table.by) == ("AB", "CD")


def test_a_row_in_which_two_engines_are_alike_says_nothing_of_an_exchange_in_another() -> None:
    """Low both with the booster on, they still are asked about where they stand the other way."""
    table = read("1: 16, 13, 16, 16 psi\n3: 13, 16, 16, 16 psi\n5: 10, 10, 16, 16 psi")
    told = [d.cells for d in doubts(table, (), BENCH) if d.kind == "exchanged"]
    assert ((3, "no1-engine"), (3, "no2-engine")) in told


def test_lamp_and_gauge_that_accuse_different_engines_are_asked_about() -> None:
    """One run, one pressure, two engines accused: more likely a slip of the row."""
    told = doubts(read("3: 16, 16, 11, 16 psi\n4: a, b, a, a"), (), BENCH)
    assert [d.kind for d in told] == ["exchanged"]


@pytest.mark.parametrize(
    ("figure", "kind"),
    [("-3 psi", "impossible"), ("26 psi", "impossible"), ("11 kPa", "unit"), ("2.4 psi", "typing")],
)
def test_a_value_that_cannot_be_or_is_far_off_is_asked_about(figure: str, kind: str) -> None:
    """Below nothing, beyond the dial, a unit that fits better, a point in the wrong place."""
    told = doubts(read(f"3: 16 psi, {figure}, 16 psi, 16 psi"), (), BENCH)
    assert [(d.kind, d.cells) for d in told] == [(kind, ((3, "no2-engine"),))]


def caught(table: Drawn) -> bool:
    """Return whether a table with a slip is refused, or questioned there before it counts.

    Questions about anything else are answered 'as typed', one after another.
    """
    try:
        got = read(table.text())
    except UsageError:
        return True
    line, ks = table.where
    planted = {(line, ENGINES[k]) for k in ks}
    while told := doubts(got, (), BENCH):
        if planted & set(told[0].cells):
            return True
        for key in told[0].cells:
            got = got.with_cell(replace(got.cells[key], sure=True))
    return False


def test_of_100_tables_with_a_slip_at_least_90_are_questioned_and_none_put_right() -> None:
    """Planted by a seeded generator: unit, exchanged engines and typing in equal parts."""
    chance = random.Random(20261125)
    tables = [drawn(chance, KINDS[k % 3]) for k in range(100)]
    missed = [t for t in tables if not caught(t)]
    print(f"{100 - len(missed)} of 100 slips questioned; missed {[t.kind for t in missed]}")
    assert len(missed) <= 10, [(t.kind, t.where, t.typed) for t in missed]
    for t in tables:
        try:
            got = read(t.text())
        except UsageError:
            continue
        for (n, place), cell in got.cells.items():
            typed = t.typed[n][ENGINES.index(place)]
            assert cell.typed == typed, "what counts is what was typed, never what was meant"


def test_an_honest_table_is_seldom_questioned() -> None:
    """The price of asking: few tables without a slip are asked about, or people stop reading."""
    chance = random.Random(7)
    asked = sum(bool(doubts(read(drawn(chance, "").text()), (), BENCH)) for _ in range(100))
    print(f"{asked} of 100 honest tables questioned")
    assert asked <= 15


def test_what_is_said_of_all_boxes_needs_no_four_answers() -> None:
    """'all out' fills the line; one answer without the word is still one too few."""
    for said in ("all out", "all = out", "all: out"):
        table = read(f"start: AB\nby: CD\n4: {said}\n")
        assert [c.value for c in table.of_line(4)] == ["out"] * 4
    with pytest.raises(UsageError, match="4 boxes"):
        read("start: AB\nby: CD\n4: out\n")


def test_the_only_unit_of_a_row_is_that_of_its_bare_figures() -> None:
    """Written once behind the first figure it is meant of the rest; two units are not guessed."""
    table = read("start: AB\nby: CD\n1: 16 psi, 15, 16, 16\n")
    assert {c.unit for c in table.of_line(1)} == {"psi"}
    with pytest.raises(UsageError, match="has no unit"):
        read("start: AB\nby: CD\n1: 16 psi, 110 kPa, 16, 16\n")


def test_a_table_typed_in_any_order_is_kept_in_the_order_of_the_card() -> None:
    """A line typed again at the end does not end up last in the record."""
    table = read("start: AB\nby: CD\n4: a, b, a, a\n1: 4 SO = 16 psi, 1 PO = 16 psi\n")
    kept = [k for k, _ in zip(table.in_card_order().cells, range(6), strict=True)]
    assert kept == [(1, ENGINES[0]), (1, ENGINES[3]), *((4, e) for e in ENGINES)]


def test_a_table_of_an_earlier_card_is_not_read_by_the_numbers_of_a_later_one() -> None:
    """Two cards printed one after the other may number other lines alike."""
    code = code_of(CARD)
    assert read(f"card: {code.lower()}\n{TABLE}").cells
    earlier = code_of(CARD[:3])
    assert earlier != code
    with pytest.raises(UsageError, match=f"this is card {earlier}, and card {code} was printed"):
        read(f"card: {earlier}\n{TABLE}")
