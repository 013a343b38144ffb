"""The run card as plain text on one page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from diagnose.job.day.card import Card, CardLine
from diagnose.paper.words import shown
from diagnose.report import card_words as said
from diagnose.report.text import WIDTH, paged, wrapped

BLANK = "[_____]"
"""A box to write in."""

FIRST = 31
"""Characters of number and title that still leave room for boxes behind them."""


def fits(card: Card) -> bool:
    """Return whether the card is one page."""
    return "\f" not in printed(card)


def printed(card: Card) -> str:
    """Return the card as text; more than one page only when it has too many lines."""
    blank = "  ".join(f"{what}: ".ljust(20, "_") for what in said.FILLED_IN)
    blocks = [[said.heading(card).upper(), blank[:WIDTH]]]
    box = textwrap.wrap(" ! ".join(map(shown, said.stops(card))), WIDTH - 6)
    edge = "+" + "-" * (WIDTH - 2) + "+"
    head = f"|{' STOP AT ONCE '.center(WIDTH - 2, '*')}|"
    blocks.append([edge, head, *(f"| {x}".ljust(WIDTH - 1) + "|" for x in box), edge])
    cautions = said.cautions(card)
    if cautions:
        blocks.append([f"CAUTIONS ({said.STOPPED})", *_listed(cautions, "  ! ")])
    blocks.append(["BEFORE START (anything not known blocks the run)", *_packed(said.before(card))])
    blocks.append([f"READINGS, {said.how_to_read(card)}"])
    for title, lines in said.groups(card):
        blocks.append(
            [shown(title).upper()[:WIDTH], *(x for line in lines for x in _line(card, line))]
        )
    blocks.append(["WRITE", *_listed(said.answers(card), "  ")])
    blocks.append(["AFTER SHUT-DOWN", *_packed(said.after(card))])
    if said.legend(card):
        blocks.append(wrapped(f"Boxes: {said.legend(card)}.", "  ", ""))
    more = said.left_out(card)
    if more:
        blocks.append(wrapped(f"Did not fit, ask for another card: {shown(more)}.", "  ", ""))
    return paged(said.labels(card), [[line for block in blocks for line in block]])


def _listed(texts: Iterable[str], mark: str) -> list[str]:
    return [line for t in texts for line in wrapped(shown(t), " " * len(mark), mark)]


def _packed(texts: Iterable[str]) -> list[str]:
    """Return short texts side by side on a row, each behind a box to tick."""
    mark = " [ ] "
    rows = [""]
    for text in (mark + shown(t) for t in texts):
        if len(text) <= WIDTH - len(rows[-1]):
            rows[-1] += text
        else:
            rows += wrapped(text, " " * len(mark), "")
    return rows[0 if rows[0] else 1 :]


def _line(card: Card, line: CardLine) -> list[str]:
    """Return a line of the card: its number and question, the boxes, and under them what was good.

    Short titles stand before their boxes on one row.
    """
    title = f"{line.number:>3} {card.bench.library.questions[line.question].title}"
    labels = said.box_labels(card, line)
    wide = max(map(len, labels)) + len(BLANK) + 1
    in_a_row = max(1, (WIDTH - FIRST) // wide) if len(title) < FIRST else WIDTH // wide
    rows = [title] if len(title) >= FIRST else []
    for k in range(0, len(labels), in_a_row):
        start = (title if k == 0 and not rows else "").ljust(WIDTH - in_a_row * wide)
        here = list(zip(labels, line.places, strict=True))[k : k + in_a_row]
        rows.append((start + "".join(f"{x}{BLANK}".ljust(wide) for x, _ in here)).rstrip())
        good = [said.good_beside(card, line, p)[0] for _, p in here]
        if any(good):
            near = (x if len(x) < wide - 1 else "in order" for x in good)
            cells = "".join((x and f" {x}").ljust(wide) for x in near)
            rows.append(f"{'last good:'.rjust(len(start))}{cells}".rstrip())
    return rows
