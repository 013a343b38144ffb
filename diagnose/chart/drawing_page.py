"""The drawing of a layout on a sheet, and beside it the same as a list."""

from __future__ import annotations

from dataclasses import replace

from diagnose.by_key import by_key
from diagnose.chart.labels import APPROVED, labels
from diagnose.model import Library
from diagnose.paper import ways
from diagnose.paper.blocks import Block, Figure, Paper, Para
from diagnose.paper.drawing import draw
from diagnose.paper.sheets import Group, Set
from diagnose.paper.words import shown
from diagnose.places import Places


def on_paper(library: Library, places: Places, paper: Paper) -> Set:
    """Return the drawing, the sheet turned the way it fills best, and the list after it."""
    drawn = draw(places)
    best = max((paper, turned(paper)), key=lambda p: _filled(p, drawn.width, drawn.height))
    made = Set(
        shown(f"Fuel system: {places.layout.title}"), labels(library, places.layout), (), best
    )
    room = best.room[1] - made.head_height() - 2.0
    figure = Figure(drawn.document(alone=False), drawn.height / drawn.width, room)
    return replace(made, groups=(Group((figure,), 1), Group(tuple(_list(places)), 2)))


def svg(library: Library, places: Places) -> str:
    """Return the drawing as an SVG of its own, with the labels of every page."""
    head = [" | ".join([*labels(library, places.layout), "page 1 of 1"]), places.layout.title]
    return draw(places).document(head)


def turned(paper: Paper) -> Paper:
    """Return the paper held the other way."""
    return replace(paper, width=paper.height, height=paper.width)


def _filled(paper: Paper, width: float, height: float) -> float:
    """Return the scale at which a drawing of this size fits the paper."""
    room = paper.room
    return min(room[0] / width, room[1] / height)


def _list(places: Places) -> list[Block]:
    layout = places.layout
    feed = [Para(line.strip(), "item", "\u2022") for line in ways.feed_lines(places)]
    other = [Para(line, "item", "\u2022") for line in ways.other_lines(places)]
    cocks = [
        Para(f"{places.label(c.id)}: {' / '.join(c.positions)}; normally {c.normal}", "item",
             "\u2022")
        for c in places.cocks()
    ]  # fmt: skip
    limits = [
        Para(f"{x.name.replace('-', ' ')}: {x.shown} ({x.reference})", "item", "\u2022")
        for x in layout.limits.values()
    ]
    out = [Block((Para("About this layout", "sub"), Para(shown(layout.notes)),
                  Para(APPROVED, "small")))]  # fmt: skip
    for title, paras in (
        (ways.heading(places), feed),
        ("Besides", other),
        ("Cocks", cocks),
        ("Limits", limits),
    ):
        if paras:
            out.append(
                Block((Para(title, "sub"), *(replace(p, text=shown(p.text)) for p in paras)))
            )
    drawn = {p for way in ways.ways(places) for p in way}
    by = by_key(
        (part.of, places.label(part.id))
        for part in layout.parts.values()
        if part.id not in drawn and part.of in layout.parts
    )
    hung = [Para(shown(f"{places.label(of)}: {'; '.join(names)}"), "item", "\u2022")
            for of, names in by.items()]  # fmt: skip
    out += [Block((Para("Belongs to", "sub"), *hung[k : k + 12])) for k in range(0, len(hung), 12)]
    return out
