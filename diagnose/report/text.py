"""The record as plain text in pages, its labels at the head of each."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from diagnose.paper.words import NOT_A_RELEASE, shown, shown_lines
from diagnose.report.plain import Report, Section

WIDTH, PAGE = 84, 62
"""Characters a line and lines a page that a printer at 12 to the inch puts on A4."""

SIGNATURE = (
    "+" + "-" * 60 + "+",
    "|" + f" {NOT_A_RELEASE}".ljust(60) + "|",
    *("|" + " " * 60 + "|",) * 3,
    "+" + "-" * 60 + "+",
)


def as_text(report: Report) -> str:
    """Return the record as text; a form feed stands before each page but the first."""
    return paged(report.labels, _blocks(report))


def paged(labels: Sequence[str], blocks: Sequence[list[str]]) -> str:
    """Return blocks of lines in pages, ``labels`` and 'page x of y' at the head of each."""
    head = wrapped(" | ".join(labels))
    pages = _pages(blocks, PAGE - len(head) - 2)
    out = []
    for number, lines in enumerate(pages, start=1):
        count = f"page {number} of {len(pages)}"
        out.append("\n".join([*head, count, "=" * WIDTH, *lines]))
    return "\n\f".join(out) + "\n"


def in_fewer_pages(labels: Sequence[str], blocks: Sequence[list[str]]) -> str:
    """Return ``blocks`` in pages, without their empty lines where those call for one page more."""
    close = [[line for line in block if line] for block in blocks]
    as_they_are, packed = paged(labels, blocks), paged(labels, close)
    return packed if packed.count("\f") < as_they_are.count("\f") else as_they_are


def _blocks(report: Report) -> list[list[str]]:
    """Return the record in blocks of lines that are kept on one page where they fit."""
    blocks = [[f"RECORD OF JOB {shown(report.job)}", ""]]
    blocks += [wrapped(shown(w), "  ", "* ") for w in report.warnings]
    blocks.append(["", "REPORTED, verbatim"])
    blocks += [wrapped(line, "  > ", "  > ") for line in shown_lines(report.reported)]
    for section in report.sections:
        blocks += _section(section)
    blocks.append(["", "Signature", *SIGNATURE])
    return blocks


def _section(section: Section) -> list[list[str]]:
    head = ["", section.title.upper()]
    if section.note:
        head += wrapped(section.note, "  ")
    rows = [_row(section, section.cells(row)) for row in section.rows]
    if not rows:
        return [[*head[:-1], f"{head[-1]}: {section.none}"]] if not section.note else [head]
    # a heading never stands alone at the foot of a page
    return [head + rows[0], *rows[1:]]


_PLAIN = (
    "n",
    "time",
    "kind",
    "step",
    "what",
    "label",
    "place",
    "place_label",
    "figure",
    "conditions",
    "known_by",
    "case",
)
"""Columns whose cells say by themselves what they are; the others stand behind their heading."""


def _row(section: Section, cells: Sequence[str]) -> list[str]:
    if len(cells) == 2:
        return wrapped(f"{cells[0]}: {cells[1]}", "      ", "  ")
    said = [
        text if key in _PLAIN else f"{heading}: {text}"
        for (key, heading), text in zip(section.columns, cells, strict=True)
        if text
    ]
    return wrapped("; ".join(said), "      ", "  - ")


def _pages(blocks: Sequence[list[str]], room: int) -> list[list[str]]:
    pages: list[list[str]] = [[]]
    for block in blocks:
        if len(pages[-1]) + len(block) > room and pages[-1]:
            pages.append([])
        for line in block:
            if len(pages[-1]) == room:
                pages.append([])
            if line or pages[-1]:  # no page begins with an empty line
                pages[-1].append(line)
    return pages


def wrapped(text: str, indent: str = "", first: str | None = None) -> list[str]:
    """Return ``text`` in lines of ``WIDTH``, ``first`` before the first, ``indent`` the rest."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_on_hyphens=False,
    ) or [(indent if first is None else first).rstrip()]
