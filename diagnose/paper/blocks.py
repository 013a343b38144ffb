"""What stands on a sheet: paragraphs in blocks, rows of a table, drawings; each knows its height.

Heights are reckoned from the words by the widths of their letters [mm].  The budget is held
against what browsers and PDF makers really give (``tests/chart``).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from html import escape

from diagnose.paper.letters import lines_of

POINT = 0.3528
"""Millimetres of a typographic point."""

LEADING = 1.25
"""Distance of lines over the size of the letters."""

MARGIN = 10.0
"""White edge of a sheet [mm]."""

GAP = 3.0
"""Space between columns [mm]."""

TIGHT = 1.2
"""Space between blocks, and inside their frame [mm]."""


@dataclass(frozen=True)
class Paper:
    """A size of paper and how it is held; width and height in mm."""

    name: str
    width: float
    height: float
    columns: int

    @property
    def room(self) -> tuple[float, float]:
        """Return the printed width and height [mm]; a little is left for rounding."""
        return self.width - 2 * MARGIN - 1.0, self.height - 2 * MARGIN - 4.0

    def column(self, count: int) -> float:
        """Return the width of one of ``count`` columns [mm]."""
        return (self.room[0] - GAP * (count - 1)) / count


A4 = Paper("A4", 210.0, 297.0, 2)
A3 = Paper("A3", 420.0, 297.0, 4)
PAPERS: Mapping[str, Paper] = {"a4": A4, "a3": A3}


@dataclass(frozen=True)
class Style:
    """How a paragraph is set: size [pt], indent and space above [mm]."""

    points: float = 8.0
    indent: float = 0.0
    above: float = 0.0
    bold: bool = False


STYLES: Mapping[str, Style] = {
    "": Style(),
    "head": Style(9.0, bold=True),
    "sub": Style(8.0, above=0.8, bold=True),
    "item": Style(indent=3.5),
    "listed": Style(indent=5.5),  # marks of two figures
    "answer": Style(indent=3.5, above=0.5),
    "warn": Style(bold=True),
    "small": Style(7.0),
    "title": Style(13.0, bold=True),
    "labels": Style(7.0, bold=True),
}


CUT_BEFORE = ("answer", "listed", "sub")
"""Kinds of paragraphs before which a long block may be cut."""

LEADS_ON = ("warn", "sub", "head")
"""Kinds of paragraphs that are of what follows: a cut goes before them."""

WHOLE, PIECE = 45.0, 18.0
"""A block lower than the first is not cut, unless it says another height; no piece is lower than
the second, or than that other height where it is less [mm]."""


@dataclass(frozen=True)
class Para:
    """One paragraph; ``mark`` stands before it; ``reference(n)`` in it refers to block n."""

    text: str
    kind: str = ""
    mark: str = ""


@dataclass(frozen=True)
class Block:
    """Paragraphs kept together in a frame; ``anchor`` is the number others refer to.

    about: the number it belongs to: its anchor, or that of the block it goes on from.
    scale: all sizes times this, to fit more on a card.
    leads: a heading, which never stands last on a sheet or in a column.
    again: what each further piece begins with where it is cut; nothing: it is never cut.
    whole: a block lower than this is not cut [mm].
    """

    paras: tuple[Para, ...]
    anchor: int = 0
    about: int = 0
    framed: bool = True
    heavy: bool = False
    scale: float = 1.0
    leads: bool = False
    again: tuple[Para, ...] = ()
    whole: float = WHOLE

    def height(self, width: float) -> float:
        """Return the height [mm] when set ``width`` mm wide."""
        inner = width - (2 * TIGHT + 0.6 if self.framed else 0.0)
        told = sum(_para_height(p, inner, self.scale) for p in self.paras)
        return told + (2 * TIGHT + 0.6 if self.framed else 0.0) + TIGHT

    def cut(self, width: float) -> Iterator[tuple[Block, Block]]:
        """Yield every way of cutting the block in two, the longest first piece first.

        It is cut before a line of a list or an answer, never between a warning and what it is of;
        the second piece begins with ``again``.  A short block is left whole.
        """
        if not self.again or self.height(width) < self.whole:
            return
        seen = set()
        for k in range(len(self.paras) - 1, 0, -1):
            if self.paras[k].kind not in CUT_BEFORE:
                continue
            at = k
            while at and self.paras[at - 1].kind in LEADS_ON:
                at -= 1
            if at in seen or at <= len(self.again):
                continue
            seen.add(at)
            first = replace(self, paras=self.paras[:at])
            tail = tuple(p for p in self.paras[at:] if p not in self.again)
            rest = replace(self, paras=(*self.again, *tail), anchor=0)
            # what is told again is no reason to turn the page
            least = min(PIECE, self.whole)
            if min(first.height(width), replace(rest, paras=tail).height(width)) >= least:
                yield first, rest

    def html(self, refer: Callable[[str], str]) -> str:
        """Return the block as HTML; ``refer`` puts page numbers in."""
        kind = "block" + (" framed" if self.framed else "") + (" heavy" if self.heavy else "")
        name = f' id="step-{self.anchor}"' if self.anchor else ""
        size = f' style="font-size: {8.0 * self.scale:.2f}pt"' if self.scale != 1.0 else ""
        return (
            f'<div class="{kind}"{name}{size}>{"".join(_html(p, refer) for p in self.paras)}</div>'
        )


@dataclass(frozen=True)
class Row:
    """One row of a table: cells as tuples of paragraphs, the columns' widths as shares.

    The first cell may span the further rows in ``more``.
    """

    lines: tuple[tuple[str, ...], ...]  # lines of the table: cells; the first has one cell more
    shares: tuple[float, ...]
    head: bool = False
    anchor: int = 0
    about: int = 0

    def height(self, width: float) -> float:
        """Return the height [mm] when the table is ``width`` mm wide."""
        cells = [self._cell(t, s * width) for t, s in zip(self.lines[0], self.shares, strict=True)]
        first, rest = cells[0], max(cells[1:], default=0.0)
        for line in self.lines[1:]:
            rest += max(
                self._cell(t, s * width) for t, s in zip(line, self.shares[1:], strict=True)
            )
        return max(first, rest)

    @staticmethod
    def _cell(text: str, width: float) -> float:
        return text_height(text, width - 2.4, 8.0) + 1.5

    def html(self, refer: Callable[[str], str]) -> str:
        """Return the row as a table of its own, columns in line with its neighbours'."""
        cols = "".join(f'<col style="width: {100 * s:.2f}%">' for s in self.shares)
        tag = "th" if self.head else "td"
        out = []
        for k, line in enumerate(self.lines):
            cells = []
            for c, text in enumerate(line):
                span = (
                    f' rowspan="{len(self.lines)}"' if k == c == 0 and len(self.lines) > 1 else ""
                )
                cells.append(f"<{tag}{span}>{refer(escape(text))}</{tag}>")
            out.append(f"<tr>{''.join(cells)}</tr>")
        return f'<table class="data rows"><colgroup>{cols}</colgroup>{"".join(out)}</table>'


@dataclass(frozen=True)
class Figure:
    """A drawing that takes the room it is given: SVG text, its own width and height, any unit."""

    svg: str
    ratio: float  # height over width
    room: float  # height it may take [mm]
    anchor: int = 0
    about: int = 0

    def height(self, width: float) -> float:
        """Return the height [mm]."""
        return min(self.room, width * self.ratio) + TIGHT

    def html(self, refer: Callable[[str], str]) -> str:
        """Return the drawing as HTML."""
        return f'<div class="figure" style="height: {self.room:.1f}mm">{self.svg}</div>'


Part = Block | Row | Figure


REFERENCE = re.compile("([\ue000\ue002])(\\d+)\ue001")


def reference(step: int) -> str:
    """Return the text that becomes the number of a step, and its page where that is another."""
    return f"\ue000{step}\ue001"


def page_of(step: int) -> str:
    """Return the text that becomes the number of the page on which a step stands."""
    return f"\ue002{step}\ue001"


def is_page(mark: str) -> bool:
    """Return whether the mark of a reference asks for the page alone."""
    return mark == "\ue002"


def text_height(text: str, width: float, points: float, *, bold: bool = False) -> float:
    """Return the height [mm] of a text set ``width`` mm wide in ``points``."""
    told = REFERENCE.sub(lambda m: "00" if is_page(m[1]) else "00 (page 00)", text)
    return lines_of(told, width / (points * POINT), bold) * points * POINT * LEADING


def _para_height(p: Para, width: float, scale: float) -> float:
    s = STYLES[p.kind]
    indent = s.indent * scale
    # a mark longer than its indent pushes the first line on
    text = f"{p.mark} {p.text}" if p.mark and not indent else p.text
    tall = text_height(text, width - indent, s.points * scale, bold=s.bold)
    return tall + s.above * scale


def _html(p: Para, refer: Callable[[str], str]) -> str:
    mark = f'<span class="mark">{escape(p.mark)}</span>' if p.mark else ""
    kind = f' class="{p.kind}"' if p.kind else ""
    return f"<p{kind}>{mark}{refer(escape(p.text))}</p>"
