"""The drawing of a layout: every part on the way of the fuel, no box on another, black on white."""

from __future__ import annotations

import re

import pytest
from diagnosis.shipped import LAYOUTS, bench

from diagnose.chart import drawing_page
from diagnose.paper import ways
from diagnose.paper.blocks import A3, A4
from diagnose.paper.drawing import BOX, TALL, draw
from diagnose.paper.letters import word_width

BOXED = re.compile(
    r"<g id=\"part-([^\"]+)\"><title>([^<]*)</title><rect x='([\d.-]+)' y='([\d.-]+)'"
)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_tank_cock_and_engine_has_a_box_with_its_whole_name(layout: str) -> None:
    """Names stand with number and position, cocks with their normal position."""
    places = bench(layout).places
    boxes = {part: title for part, title, *_ in BOXED.findall(draw(places).document())}
    wanted = {*places.tanks, *places.engines, *(c.id for c in places.cocks())}
    assert wanted | {p for way in ways.ways(places) for p in way} <= set(boxes)
    for part in wanted:
        assert boxes[part].startswith(places.label(part))
    for cock in places.cocks():
        assert boxes[cock.id].endswith(f"[{cock.normal}]")


@pytest.mark.parametrize("layout", LAYOUTS)
def test_no_box_stands_on_another_and_none_off_the_paper(layout: str) -> None:
    """A drawing that hides a part is worse than none."""
    drawn = draw(bench(layout).places)
    boxes = [(float(x), float(y)) for *_, x, y in BOXED.findall(drawn.document())]
    for k, (x, y) in enumerate(boxes):
        assert 0.0 <= x <= drawn.width - BOX
        assert 0.0 <= y <= drawn.height - TALL
        for u, v in boxes[k + 1 :]:
            assert abs(x - u) >= BOX or abs(y - v) >= TALL


@pytest.mark.parametrize("layout", LAYOUTS)
def test_fuel_runs_down_the_page(layout: str) -> None:
    """What is fed stands below what feeds it."""
    places = bench(layout).places
    top = {part: float(y) for part, _, _, y in BOXED.findall(draw(places).document())}
    for way in ways.ways(places):
        heights = [top[p] for p in way]
        assert heights == sorted(heights)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_drawing_is_one_labelled_page_and_the_list_says_the_same(layout: str) -> None:
    """A4 and A3 take it; the ways of the fuel stand in words after it."""
    b = bench(layout)
    for paper in (A4, A3):
        made = drawing_page.on_paper(b.library, b.places, paper)
        first, *rest = made.sheets()
        assert rest
        assert sum(p.height(made.paper.room[0]) for p in first.columns[0]) <= made.paper.room[1]
    html = made.html()
    for line in (*ways.feed_lines(b.places), *ways.other_lines(b.places)):
        assert line.strip().replace("->", "-&gt;") in html


def test_nothing_is_said_by_colour() -> None:
    """Black and white only, in the drawing of its own as on the page."""
    b = bench("four-engine-injection")
    svg = drawing_page.svg(b.library, b.places)
    assert set(re.findall(r"(?:fill|stroke)='([^']+)'", svg)) <= {"black", "white", "none"}
    for said in ("UNREVIEWED", b.library.edition, "page 1 of 1", "(invented)"):
        assert said in svg


def test_transfer_return_and_cross_feed_are_told_apart_by_their_lines() -> None:
    """Each kind of line has its own dashes, and the key names them."""
    svg = draw(bench("four-engine-injection").places).document()
    assert svg.count("stroke-dasharray='6 4'") == 4  # a vapour return for each engine
    assert svg.count("stroke-dasharray='9 3 2 3'") == 4  # two to the cross-feed cock, two transfers
    assert "Dashed: vapour return" in " ".join(re.sub(r"<[^>]+>", " ", svg).split())


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_name_in_a_box_stays_inside_it(layout: str) -> None:
    """Letters that can be read at arm's length, and none over the edge."""
    drawn = draw(bench(layout).places).document()
    boxes = re.findall(r"<g id=\"part-[^>]*>.*?</g>", drawn, re.S)
    assert boxes
    for box in boxes:
        lines = re.findall(r"font-size='([\d.]+)'>([^<]*)</text>", box)
        assert all(float(size) >= 12 for size, _ in lines)
        assert all(float(size) * word_width(words) <= BOX for size, words in lines)
        assert len(lines) * 13.5 <= TALL


@pytest.mark.parametrize(
    ("layout", "crossed", "returned"),
    [
        ("header-biplane", False, False),
        ("low-wing-twin", True, False),
        ("radial-single-hand-pump", False, True),
        ("four-engine-injection", True, True),
    ],
)
def test_the_paper_speaks_of_no_line_that_the_layout_has_not(
    layout: str, crossed: bool, returned: bool
) -> None:
    """A biplane without a cross-feed is not told to have it shut."""
    b = bench(layout)
    html = drawing_page.on_paper(b.library, b.places, A4).html()
    assert ("cross-feed shut" in html) == crossed
    key = " ".join(re.sub(r"<[^>]+>", " ", html).split())
    assert ("Dash and dot" in key) == crossed
    assert ("Dashed: vapour" in key) == returned
