"""Sheets filled by a line budget: what stands on which sheet is known before anything is printed.

A chart says 'go on at step 7 (page 2)', so its pages are not left to the browser.  Sheets are
filled column by column, and each says page x of y.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape

from diagnose.paper.blocks import (
    GAP,
    LEADING,
    MARGIN,
    POINT,
    REFERENCE,
    STYLES,
    TIGHT,
    Block,
    Paper,
    Part,
    is_page,
    text_height,
)
from diagnose.paper.page import document


@dataclass(frozen=True)
class Group:
    """Parts that begin a new sheet together.

    columns: how many; 0: as the paper has.  repeated: the head of every column.
    """

    parts: tuple[Part, ...]
    columns: int = 0
    repeated: Part | None = None


@dataclass(frozen=True)
class Sheet:
    """One page: its group, what stands over all columns, and the columns."""

    group: Group
    over: tuple[Part, ...]
    columns: tuple[tuple[Part, ...], ...]


@dataclass(frozen=True)
class Set:
    """Sheets of one paper with what stands on each of them.

    over: what stands at the head of a sheet, worked out from the parts on it (the cautions of its
    steps).
    """

    title: str
    labels: tuple[str, ...]
    groups: tuple[Group, ...]
    paper: Paper
    over: Callable[[Sequence[Part]], tuple[Part, ...]] = field(default=lambda parts: ())

    def sheets(self) -> tuple[Sheet, ...]:
        """Return the parts laid out: each sheet filled as far as the line budget goes."""
        return tuple(sheet for group in self.groups for sheet in self.laid(group))

    def laid(self, group: Group) -> tuple[Sheet, ...]:
        """Return the sheets that one group fills."""
        out: list[Sheet] = []
        here: list[Part] = []
        laid: Sheet | None = None
        todo = list(reversed(group.parts))
        while todo:
            part = todo.pop()
            more = self._lay(group, [*here, part])
            if more is None and (cut := self._cut(group, here, part)):
                first, rest = cut
                todo.append(rest)
                part, more = first, self._lay(group, [*here, first])
            elif more is None and here:
                assert laid is not None
                here, over = _parted(here)
                out.append((self._lay(group, here) if over else None) or laid)
                here, laid = [], None
                todo += [part, *reversed(over)]
                continue
            here.append(part)
            # a part higher than a sheet gets one for itself and runs on where it must
            laid = more or Sheet(group, self.over(here), (tuple(here),))
        return (*out, laid) if laid else tuple(out)

    def _cut(self, group: Group, here: Sequence[Part], part: Part) -> tuple[Block, Block] | None:
        """Return ``part`` in two, as much of it in the first piece as the sheet has room for."""
        if not isinstance(part, Block):
            return None
        pieces = part.cut(self._column(group))
        return next((x for x in pieces if self._lay(group, [*here, x[0]])), None)

    def _column(self, group: Group) -> float:
        """Return the width of a column of ``group`` [mm]."""
        return self.paper.column(group.columns or self.paper.columns)

    def _lay(self, group: Group, parts: Sequence[Part]) -> Sheet | None:
        """Return the parts on one sheet, or None where they do not fit.

        What is too high for what is left of a column is cut where it can be, and goes on in the
        next.
        """
        count = group.columns or self.paper.columns
        width, height = self.paper.room
        over = self.over(parts)
        left = height - self.head_height() - sum(p.height(width) for p in over)
        column = self._column(group)
        top = group.repeated.height(column) if group.repeated else 0.0
        columns: list[list[Part]] = [[]]
        used = top
        todo = list(reversed(parts))
        while todo:
            p = todo.pop()
            tall = p.height(column)
            if used + tall > left:
                if len(columns) == count:
                    return None
                pieces = p.cut(column) if isinstance(p, Block) else ()
                room = left - used
                cut = next((x for x in pieces if x[0].height(column) <= room), None)
                ahead: list[Part] = []
                if cut:
                    columns[-1].append(cut[0])
                    p = cut[1]
                elif top + tall > left:
                    return None
                else:
                    columns[-1], ahead = _parted(columns[-1])
                columns.append(list(ahead))
                used = top + sum(one.height(column) for one in ahead)
                todo.append(p)
                continue
            columns[-1].append(p)
            used += tall
        return Sheet(group, over, tuple(tuple(c) for c in columns))

    def head_height(self) -> float:
        """Return the height of labels and title on every sheet [mm]."""
        width, _ = self.paper.room
        labels = f"{' | '.join(self.labels)} | page 00 of 00"
        return (
            text_height(labels, width, 7.0, bold=True)
            + text_height(self.title, width, 13.0, bold=True)
            + 4.0
        )

    def html(self) -> str:
        """Return the sheets as HTML, in the frame of a printed page."""
        sheets = self.sheets()
        pages = {
            p.anchor: k
            for k, sheet in enumerate(sheets, 1)
            for column in sheet.columns
            for p in column
            if p.anchor
        }
        return "\n".join(
            self._sheet(sheet, k, len(sheets), pages) for k, sheet in enumerate(sheets, 1)
        )

    def _sheet(self, sheet: Sheet, number: int, count: int, pages: Mapping[int, int]) -> str:
        def refer(text: str) -> str:
            return REFERENCE.sub(lambda m: _to(int(m[2]), m[1], number, pages), text)

        many = sheet.group.columns or self.paper.columns
        width = self.paper.column(many) - 0.05  # rounding: none is pushed down
        labels = " | ".join([*self.labels, f"page {number} of {count}"])
        over = "".join(p.html(refer) for p in sheet.over)
        repeated = sheet.group.repeated
        head = repeated.html(refer) if repeated else ""
        columns = "".join(
            f'<div class="column" style="width: {width:.2f}mm">'
            f"{head}{''.join(p.html(refer) for p in column)}</div>"
            for column in sheet.columns
        )
        return (
            f'<section class="sheet"><div class="labels">{escape(labels)}</div>'
            f"<h1>{escape(self.title)}</h1>{over}<div>{columns}</div></section>"
        )


def _parted(parts: Sequence[Part]) -> tuple[list[Part], list[Part]]:
    """Return ``parts`` without the headings they end in, and those: they go with what follows.

    Nothing but headings is left as it is.
    """
    leads = [isinstance(p, Block) and p.leads for p in parts]
    end = len(parts) if all(leads) else len(parts) - leads[::-1].index(False)
    return list(parts[:end]), list(parts[end:])


def _to(step: int, mark: str, here: int, pages: Mapping[int, int]) -> str:
    page = pages[step]  # a step that does not exist is an error, never a dangling reference
    if is_page(mark):
        return str(page)
    return str(step) if page == here else f"{step} (page {page})"


def style(paper: Paper) -> str:
    """Return the style sheet of sheets on ``paper``: the same figures the budget reckons with."""
    held = "portrait" if paper.height > paper.width else "landscape"
    rules = [
        f"@page {{ size: {paper.name} {held}; margin: {MARGIN:g}mm; "
        "@bottom-left { content: none } @bottom-right { content: none } }",
        f"body {{ max-width: {paper.room[0]:g}mm; font: 8pt/{LEADING:g} "
        "Arial, Helvetica, 'Liberation Sans', Arimo, sans-serif; font-size-adjust: .519; }",
        ".sheet { break-after: page; } .sheet:last-child { break-after: auto; }",
        ".sheet::after { content: ''; display: block; clear: both; }",
        f"div.labels {{ font-size: 7pt; line-height: {LEADING:g}; font-weight: bold; "
        "border-bottom: 1pt solid #000; padding-bottom: .5mm; }",
        f".sheet h1 {{ font-size: 13pt; line-height: {LEADING:g}; margin: 1mm 0 1.5mm; }}",
        f".column {{ float: left; margin-right: {GAP:g}mm; }}",
        ".column:last-child { margin-right: 0; }",
        ".sheet p { margin: 0; overflow-wrap: anywhere; }",
        f".block {{ margin-bottom: {TIGHT:g}mm; break-inside: avoid; }}",
        f".framed {{ border: .3mm solid #000; padding: {TIGHT:g}mm; }}",
        ".heavy { border-width: .7mm; padding: .8mm; }",
        ".mark { display: inline-block; white-space: nowrap; }",
        ".figure { text-align: center; } .figure svg { width: 100%; height: 100%; }",
        "table.rows { margin: -.5pt 0 0 .2mm; width: calc(100% - .4mm); }",
        "table.rows td, table.rows th { padding: .6mm 1mm; overflow-wrap: normal; }",
    ]
    for kind, s in STYLES.items():
        if not kind or kind in ("title", "labels"):
            continue
        bold = " font-weight: bold;" if s.bold else ""
        mark = f".sheet p.{kind} .mark {{ width: {s.indent / s.points / POINT:.3f}em; }}"
        em = s.points / 8.0
        rules.append(
            f".sheet p.{kind} {{ font-size: {em:.4f}em;{bold} "
            f"margin-top: {s.above / s.points / POINT:.3f}em; "
            f"padding-left: {s.indent / s.points / POINT:.3f}em; "
            f"text-indent: {-s.indent / s.points / POINT:.3f}em; }}"
        )
        if s.indent:
            rules.append(mark)
            rules.append(f".sheet p.{kind} .mark {{ text-indent: 0; }}")
    return "\n".join(rules)


def whole(sets: Sequence[Set]) -> str:
    """Return sets of sheets of the same paper as one HTML document."""
    first = sets[0]
    body = "\n".join(s.html() for s in sets)
    return document(first.title, style(first.paper), body)
