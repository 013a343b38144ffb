"""Sheets by a line budget: filled, cut, numbered, and never with a reference to nothing."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.paper.blocks import A3, A4, PIECE, Block, Para, Row, reference
from diagnose.paper.letters import lines_of
from diagnose.paper.sheets import Group, Set, whole

LABELS = ("UNREVIEWED", "layout x", "knowledge edition y")
WORDS = st.lists(st.sampled_from(["strainer", "a", "fuel", "selector", "MMWW"]), max_size=60)


def block(number: int, lines: int = 12, to: int = 0) -> Block:
    """Return a framed block of some lines that sends to step ``to``."""
    paras = [Para(f"{number} step", "head"), *(Para("word " * 12, "answer") for _ in range(lines))]
    if to:
        paras.append(Para(f"go on at {reference(to)}."))
    return Block(tuple(paras), number, number)


def made(*blocks: Block | Row, columns: int = 0) -> Set:
    """Return the sheets of some blocks."""
    return Set("Title", LABELS, (Group(tuple(blocks), columns),), A4)


@given(words=WORDS, width=st.floats(8.0, 60.0))
def test_more_words_or_a_narrower_column_never_take_fewer_lines(
    words: list[str], width: float
) -> None:
    """The line budget grows with the words and shrinks with the width."""
    text = " ".join(words)
    assert lines_of(f"{text} more", width) >= lines_of(text, width) >= 1
    assert lines_of(text, width) >= lines_of(text, width + 5.0)
    assert lines_of(text, width, True) >= lines_of(text, width)


def test_no_column_is_filled_beyond_the_sheet() -> None:
    """The heights of a column and of what stands over it never pass the printed height."""
    sheets = made(*(block(k, 3 + k % 9) for k in range(1, 40)))
    for sheet in sheets.sheets():
        assert len(sheet.columns) <= A4.columns
        for column in sheet.columns:
            tall = sum(p.height(A4.column(A4.columns)) for p in column)
            assert tall + sheets.head_height() <= A4.room[1]
    assert sum(len(c) for s in sheets.sheets() for c in s.columns) == 39


def test_every_sheet_says_its_labels_and_page_x_of_y() -> None:
    """No sheet is without labels, and the pages are counted right."""
    html = whole((made(*(block(k) for k in range(1, 20))),))
    pages = re.findall(r'<section class="sheet"><div class="labels">(.*?)</div>', html)
    assert len(pages) > 2
    for k, labels in enumerate(pages, 1):
        assert labels == " | ".join([*LABELS, f"page {k} of {len(pages)}"])


def test_a_step_on_another_page_is_named_with_its_page() -> None:
    """Who is sent on is told where to turn to."""
    html = made(block(1, to=14), *(block(k) for k in range(2, 14)), block(14, to=14)).html()
    assert re.search(r"go on at 14 \(page \d\)\.", html)
    assert "go on at 14." in html


def test_a_reference_to_a_step_that_is_not_there_is_an_error() -> None:
    """A dangling step is never printed."""
    with pytest.raises(KeyError):
        made(block(1, to=99)).html()


def long_block(answers: int = 24) -> Block:
    """Return a step with many answers, of which some lead to what is mended."""
    careful = Para("Before anything is mended: Hot exhaust.", "warn")
    paras = [Para("7  Look", "head"), *(Para(f"answer {k}", "answer") for k in range(answers))]
    paras[4:4] = [careful]
    again = (Para("7, continued", "head"), careful)
    return Block(tuple(paras), 7, 7, again=again)


def test_a_long_block_is_cut_at_an_answer_and_says_that_it_goes_on() -> None:
    """All is kept, only the first piece can be referred to, the cautions are told again."""
    whole = long_block()
    ways = list(whole.cut(90.0))
    assert len(ways) > 2
    assert [a.height(90.0) for a, _ in ways] == sorted((a.height(90.0) for a, _ in ways))[::-1]
    for first, rest in ways:
        assert (first.anchor, rest.anchor, rest.about) == (7, 0, 7)
        assert rest.paras[:2] == whole.again
        kept = [*first.paras, *(p for p in rest.paras if p not in whole.again)]
        assert [p for p in kept if p != whole.again[1]] == [
            p for p in whole.paras if p != whole.again[1]
        ]
        # a warning never ends a piece: what it is of stands on the next
        assert first.paras[-1].kind != "warn"
        told = replace(rest, paras=tuple(p for p in rest.paras if p not in whole.again))
        assert told.height(90.0) >= PIECE
    assert not list(replace(whole, again=()).cut(90.0))
    assert not list(long_block(4).cut(90.0))


def test_a_long_block_fills_the_column_and_goes_on_in_the_next() -> None:
    """No column is left half empty because the next step is long."""
    made_of = made(block(1, 50), long_block(), block(2, 4))
    (sheet, *_) = made_of.sheets()
    assert sheet.columns[0][-1].about == sheet.columns[1][0].about == 7


def test_a_block_higher_than_a_sheet_is_still_printed() -> None:
    """Nothing is dropped: it gets a sheet of its own and runs on."""
    tall = Block(tuple(Para("line " * 30) for _ in range(300)), 1, 1)
    assert "line" in made(tall, block(2)).html()
    assert len(made(tall, block(2)).sheets()) == 2


def test_a_wide_sheet_holds_more_than_an_upright_one() -> None:
    """A3 takes in fewer sheets what A4 takes in more."""
    upright = made(*(block(k) for k in range(1, 60)))
    assert len(replace(upright, paper=A3).sheets()) < len(upright.sheets())


def test_the_head_of_a_table_stands_over_every_column() -> None:
    """A row is never read under the wrong heading."""
    head = Row((("Found", "Check"),), (0.5, 0.5), head=True)
    rows = tuple(Row(((f"finding {k}", "check " * 30),), (0.5, 0.5)) for k in range(60))
    sheets = Set("T", LABELS, (Group(rows, 1, head),), A4)
    html = sheets.html()
    assert html.count(">Found<") == len(sheets.sheets()) > 1


def test_typed_markup_is_made_literal() -> None:
    """A name with a bracket in it cannot change the page."""
    html = made(Block((Para("<script>alert(1)</script>"),))).html()
    assert "<script>" not in html
    assert "&lt;script&gt;" in html


@given(before=st.integers(1, 40), columns=st.sampled_from([1, 2]))
def test_a_heading_never_stands_last_on_a_sheet_or_in_a_column(before: int, columns: int) -> None:
    """It goes with what it is the heading of, however full the sheet was."""
    heading = Block((Para("What follows", "head"),), framed=False, leads=True)
    parts = [*(block(k, 4) for k in range(1, before + 1)), heading, block(99, 30)]
    sheets = made(*parts, columns=columns).sheets()

    laid = [c for s in sheets for c in s.columns]
    assert [p for c in laid for p in c] == parts
    assert all(c[-1] is not heading for c in laid)
