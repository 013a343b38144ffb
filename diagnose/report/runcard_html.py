"""The run card as one A4 page of HTML: nothing loaded, nothing by colour."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape

from diagnose.job.day.card import Card, CardLine
from diagnose.paper.page import page
from diagnose.paper.words import shown
from diagnose.report import card_words as said

ROOM = 262.0
"""Millimetres of an A4 page between its margins, head and foot."""

_ACROSS = 178.0  # [mm] width of the page
_LINE, _CHAR = 3.3, 1.42  # [mm] height of a line of 8 pt, mean width of a character
_BOX = 9.6  # [mm] height of a row of boxes

_STYLE = """@page { margin: 10mm 15mm 12mm; } body { font-size: 8pt; line-height: 1.15; }
h1 { font-size: 12pt; margin: .5mm 0; } h2 { font-size: 9pt; margin: 1.2mm 0 .3mm; }
ul { list-style: none; padding-left: 0; margin: 0; } li { padding-left: 4mm; text-indent: -4mm; }
.tick li::before { content: "\\25a1\\00a0"; } .stop { border: 1.5pt solid #000; padding: .8mm 2mm; }
.stop li::before { content: "!\\00a0\\00a0"; font-weight: bold; }
.fill { display: inline-block; width: 44mm; border-bottom: .5pt solid #000; height: 5mm; }
.state { font-weight: bold; border-top: 1pt solid #000; margin-top: .8mm; padding-top: .4mm; }
.row { display: flex; align-items: stretch; margin-top: .5mm; break-inside: avoid; }
.what { width: 38mm; padding-right: 1mm; } .boxes { display: flex; flex-wrap: wrap; width: 140mm; }
.box1 { border: .5pt solid #000; width: 33.5mm; height: 9mm; margin: 0 1mm .5mm 0; padding: 0 1mm;
  display: flex; justify-content: space-between; font-size: 7pt; }
.six .box1 { width: 22mm; } .box1 b { font-size: 8pt; white-space: nowrap; }
.box1 span { align-self: flex-end; font-size: 6.5pt; }"""


def fits(card: Card) -> bool:
    """Return whether the card is one page, by the lines its texts take at their mean width."""
    texts = [
        *((t, _ACROSS - 8) for t in (*said.stops(card), *said.cautions(card))),
        *((t, _ACROSS - 4) for t in (*said.before(card), *said.after(card), *said.answers(card))),
        (said.legend(card), _ACROSS - 10),
        (said.left_out(card), _ACROSS - 30),
    ]
    lines = sum(max(1, math.ceil(len(t) * _CHAR / wide)) for t, wide in texts if t)
    boxes = sum(math.ceil(len(x.places) / (6 if _six(x) else 4)) for x in card.lines)
    states = sum(1 for _ in said.groups(card))
    frame = 44.0  # title, blanks, box and the headings between
    return frame + lines * _LINE + boxes * _BOX + states * 5.0 <= ROOM


def printed(card: Card) -> str:
    """Return the card as a whole HTML document."""
    fill = "".join(f'<span class="fill">{escape(what)}:</span> ' for what in said.FILLED_IN)
    parts = [
        f"<h1>{escape(said.heading(card))}</h1>{fill}",
        f'<div class="stop keep"><strong>STOP AT ONCE</strong>{_list(said.stops(card))}</div>',
    ]
    cautions = said.cautions(card)
    if cautions:
        parts.append(f"<h2>Cautions ({escape(said.STOPPED)})</h2>{_list(cautions)}")
    ticks = _list(said.before(card), "tick")
    parts.append(f"<h2>Before start (anything not known blocks the run)</h2>{ticks}")
    readings = [f"<h2>Readings, {escape(said.how_to_read(card))}</h2>"]
    for title, lines in said.groups(card):
        readings.append(f'<div class="state">{escape(shown(title))}</div>')
        readings += [_row(card, line) for line in lines]
    parts.append("".join(readings))
    parts.append(f"<h2>Write</h2>{_list(said.answers(card))}")
    parts.append(f"<h2>After shut-down</h2>{_list(said.after(card), 'tick')}")
    foot = [f"Boxes: {said.legend(card)}."] if said.legend(card) else []
    if said.left_out(card):
        foot.append(f"Did not fit, ask for another card: {said.left_out(card)}.")
    parts.append("".join(f"<p>{escape(shown(x))}</p>" for x in foot))
    labels = [shown(x) for x in said.labels(card)]
    return page("Run card", labels, parts, _STYLE)


def _row(card: Card, line: CardLine) -> str:
    what = shown(card.bench.library.questions[line.question].title)
    boxes = []
    for label, place in zip(said.box_labels(card, line), line.places, strict=True):
        good, when = said.good_beside(card, line, place)
        near = f"<span>{escape(shown(f'good: {good}, {when}'))}</span>" if good else ""
        boxes.append(f'<div class="box1"><b>{escape(shown(label))}</b>{near}</div>')
    six = " six" if _six(line) else ""
    return (
        f'<div class="row"><div class="what"><b>{line.number}</b>&nbsp; {escape(what)}</div>'
        f'<div class="boxes{six}">{"".join(boxes)}</div></div>'
    )


def _six(line: CardLine) -> bool:
    return len(line.places) > 4


def _list(texts: Iterable[str], kind: str = "") -> str:
    items = "".join(f"<li>{escape(shown(t))}</li>" for t in texts)
    return f'<ul class="{kind}">{items}</ul>' if kind else f"<ul>{items}</ul>"
