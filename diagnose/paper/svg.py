"""Plots as SVG text: black on white, lines told apart by dash, mark and a name at their end.

Nothing is said by colour; every drawing has a title and a description for those who cannot see it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

DASHES = ("", "9 4", "2 3", "9 3 2 3", "14 5", "5 2 1 2 1 2")
MARKS = ("circle", "square", "triangle", "diamond", "cross", "plus")
FONT = "font-family='sans-serif' font-size='12'"
HALO = "stroke='white' stroke-width='3' paint-order='stroke' fill='black'"
"""Letters that stay readable where a line runs behind them."""
WIDTH, HEIGHT = 760, 420
_LEFT, _RIGHT, _TOP, _BOTTOM = 70, 190, 70, 50


@dataclass(frozen=True)
class Series:
    """One line of a plot; NaN values leave a gap."""

    name: str
    x: Sequence[float]
    y: Sequence[float]


@dataclass(frozen=True)
class Level:
    """A named horizontal line: a limit or a full tank."""

    name: str
    y: float


def text(x: float, y: float, words: str, more: str = "") -> str:
    """Return a text element."""
    return f"<text x='{x:.1f}' y='{y:.1f}' {more}>{escape(words)}</text>"


def line(x1: float, y1: float, x2: float, y2: float, more: str = "") -> str:
    """Return a black line."""
    ends = f"x1='{x1:.1f}' y1='{y1:.1f}' x2='{x2:.1f}' y2='{y2:.1f}'"
    return f"<line {ends} stroke='black' {more}/>"


_SHEETS = (("A4", 190.0, 277.0), ("A3", 277.0, 400.0))
"""Sizes of paper, and the room within an edge of 10 mm on each [mm]."""

_NATURAL, _LEAST = 0.3528, 0.2
"""Millimetres of a unit: drawn no larger than 12 points for 12 units, nor smaller than can be read
while a larger sheet would take it."""


def sheet(width: float, height: float) -> tuple[str, float]:
    """Return the sheet a drawing of so many units is printed on, and the millimetres of a unit."""
    fits: tuple[str, float] = ("", 0.0)
    for name, short, long in _SHEETS:
        upright = min(short / width, long / height)
        turned = min(long / width, short / height)
        held = "portrait" if upright >= min(turned, _NATURAL) else "landscape"
        fits = (f"{name} {held}", min(max(upright, turned), _NATURAL))
        if fits[1] >= _LEAST:
            break
    return fits


def document(
    width: float,
    height: float,
    title: str,
    description: str,
    inside: Sequence[str],
    *,
    alone: bool = True,
) -> str:
    """Return a whole SVG document with its text alternatives, to fit one printed sheet.

    ``alone``: a file of its own, which says what sheet it takes; not so inside a page.
    """
    paper_size, unit = sheet(width, height)
    start = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{unit * width:.1f}mm' "
        f"height='{unit * height:.1f}mm' viewBox='0 0 {width:.0f} {height:.0f}' role='img' "
        f"aria-label={quoteattr(title)} {FONT}>"
    )
    paper = f"<rect width='{width:.0f}' height='{height:.0f}' fill='white'/>"
    told = [f"<title>{escape(title)}</title>", f"<desc>{escape(description)}</desc>"]
    told += [f"<style>@page {{ size: {paper_size}; margin: 10mm }}</style>"] if alone else []
    return "\n".join([start, *told, paper, *inside, "</svg>", ""])


def mark(kind: str, x: float, y: float, r: float = 4.0) -> str:
    """Return a small mark in outline."""
    style = "fill='white' stroke='black'"
    at = {
        "triangle": [(x, y - r), (x + r, y + r), (x - r, y + r)],
        "diamond": [(x, y - r - 1), (x + r + 1, y), (x, y + r + 1), (x - r - 1, y)],
        "square": [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)],
    }
    if kind in at:
        points = " ".join(f"{a:.1f},{b:.1f}" for a, b in at[kind])
        return f"<polygon points='{points}' {style}/>"
    if kind == "cross":
        return line(x - r, y - r, x + r, y + r) + line(x - r, y + r, x + r, y - r)
    if kind == "plus":
        return line(x - r, y, x + r, y) + line(x, y - r, x, y + r)
    return f"<circle cx='{x:.1f}' cy='{y:.1f}' r='{r:.1f}' {style}/>"


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Return round figures across a span."""
    span = max(high - low, 1e-9)
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= rough)
    first = math.ceil(low / step - 1e-9)
    return [k * step for k in range(first, math.floor(high / step + 1e-9) + 1)]


@dataclass(frozen=True)
class Frame:
    """Where figures of a plot fall on the paper."""

    x: tuple[float, float]
    y: tuple[float, float]
    top: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return the point on the paper."""
        right, bottom = WIDTH - _RIGHT, self.top + HEIGHT - _BOTTOM
        across = (x - self.x[0]) / (self.x[1] - self.x[0])
        up = (y - self.y[0]) / (self.y[1] - self.y[0])
        return _LEFT + across * (right - _LEFT), bottom - up * (bottom - self.top - _TOP)


def frame(series: Sequence[Series], levels: Sequence[Level], top: float, zero: bool) -> Frame:
    """Return a frame that holds all lines; ``zero`` keeps nothing in view."""
    xs = [v for s in series for v in s.x if math.isfinite(v)] or [0.0]
    ys = [v for s in series for v in s.y if math.isfinite(v)]
    ys += [v.y for v in levels] + ([0.0] if zero else [])
    ys = ys or [0.0]
    low, high = min(ys), max(ys)
    room = 0.06 * (high - low) or 1.0
    x_low, x_high = min(xs), max(xs)
    return Frame(
        (x_low, x_high if x_high > x_low else x_low + 1.0),
        (low - (0.0 if zero and low == 0.0 else room), high + room),
        top,
    )


def plot(
    heading: str,
    axes: tuple[str, str],
    series: Sequence[Series],
    levels: Sequence[Level] = (),
    top: float = 0.0,
    zero: bool = True,
) -> list[str]:
    """Return the elements of one plot, its upper edge at ``top``."""
    f = frame(series, levels, top, zero)
    out = [text(_LEFT, top + 52, heading, "font-weight='bold'")]
    left, bottom = f.at(f.x[0], f.y[0])
    right, upper = f.at(f.x[1], f.y[1])
    out += [line(left, bottom, right, bottom), line(left, bottom, left, upper)]
    for value in ticks(*f.x):
        x, _ = f.at(value, 0.0)
        out += [line(x, bottom, x, bottom + 5),
                text(x, bottom + 18, f"{value:g}", "text-anchor='middle'")]  # fmt: skip
    for value in ticks(*f.y):
        _, y = f.at(0.0, value)
        out += [line(left - 5, y, left, y),
                text(left - 8, y + 4, f"{value:g}", "text-anchor='end'")]  # fmt: skip
    out.append(text((left + right) / 2, bottom + 36, axes[0], "text-anchor='middle'"))
    middle = (bottom + upper) / 2
    turned = f"text-anchor='middle' transform='rotate(-90 18 {middle:.1f})'"
    out.append(text(18, middle, axes[1], turned))
    for level in levels:
        _, y = f.at(0.0, level.y)
        out.append(line(left, y, right, y, "stroke-width='0.6' stroke-dasharray='1 3'"))
    for number, one in enumerate(series):
        out += _drawn(f, one, number)
    for level in levels:  # over the lines, clear of the marks at their beginning
        _, y = f.at(0.0, level.y)
        out.append(text(left + 10, y - 4, level.name, f"font-size='10' {HALO}"))
    if not series:
        x, y = (left + right) / 2, (bottom + upper) / 2
        out.append(text(x, y, "nothing to draw: no figure changes", "text-anchor='middle'"))
    return out + _names(f, series)


def _drawn(f: Frame, s: Series, number: int) -> list[str]:
    """Return one line with its marks; the line breaks where there is no figure."""
    points = [f.at(x, y) if math.isfinite(y) else None for x, y in zip(s.x, s.y, strict=True)]
    dash = DASHES[number % len(DASHES)]
    style = "fill='none' stroke='black' stroke-width='1.5'"
    style += f" stroke-dasharray='{dash}'" if dash else ""
    out, piece = [f"<g><title>{escape(s.name)}</title>"], []
    for point in [*points, None]:
        if point is not None:
            piece.append(f"{point[0]:.1f},{point[1]:.1f}")
        elif piece:
            out.append(f"<polyline points='{' '.join(piece)}' {style}/>")
            piece = []
    there = [p for p in points if p is not None]
    every = max(1, len(there) // 8)  # enough marks to tell the lines apart, not more
    out += [mark(MARKS[number % len(MARKS)], *p) for p in there[::every]]
    return [*out, "</g>"]


def _names(f: Frame, series: Sequence[Series]) -> list[str]:
    """Return the names at the lines' ends, pushed apart, each with the line's own mark."""
    ends = []
    for number, s in enumerate(series):
        last = [(x, y) for x, y in zip(s.x, s.y, strict=True) if math.isfinite(y)]
        if last:
            ends.append((f.at(*last[-1])[1], number, s.name))
    ends.sort()
    out, lowest = [], -math.inf
    x = WIDTH - _RIGHT + 14
    for y, number, name in ends:
        lowest = max(y, lowest + 15)
        out += [mark(MARKS[number % len(MARKS)], x, lowest),
                text(x + 10, lowest + 4, name, "font-size='11'")]  # fmt: skip
    return out


def page(title: str, notes: Sequence[str], description: str, plots: Sequence[Sequence[str]]) -> str:
    """Return plots under each other with a heading and the notes every page carries."""
    inside = [text(16, 20, title, "font-size='14' font-weight='bold'")]
    inside += [text(16, 36, " ".join(notes), "font-size='10'")]
    for each in plots:
        inside += each
    return document(WIDTH, HEIGHT * max(len(plots), 1) + 10, title, description, inside)
