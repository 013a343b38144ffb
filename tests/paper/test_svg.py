"""A drawing of its own: on one printed sheet, as large as it can be read."""

from __future__ import annotations

import re

import pytest

from diagnose.paper import svg


@pytest.mark.parametrize(
    ("width", "height", "named"),
    [
        (760.0, 430.0, "A4 landscape"),
        (760.0, 850.0, "A4 portrait"),
        (760.0, 1690.0, "A3 portrait"),
        (1880.0, 720.0, "A3 landscape"),
        (200.0, 200.0, "A4 portrait"),
    ],
)
def test_a_drawing_fits_one_sheet_and_takes_a_larger_one_before_it_is_too_small(
    width: float, height: float, named: str
) -> None:
    """Four plots under each other are no two sheets with a plot cut in two."""
    page = svg.document(width, height, "t", "d", [])
    short, long = {"A4": (190.0, 277.0), "A3": (277.0, 400.0)}[named[:2]]
    room = (short, long) if named.endswith("portrait") else (long, short)
    size = [float(x) for x in re.findall(r"(?:width|height)='([\d.]+)mm'", page)]
    assert f"@page {{ size: {named}; margin: 10mm }}" in page
    assert all(s <= r + 0.1 for s, r in zip(size, room, strict=True))
    assert size[0] / width <= 0.354


def test_a_drawing_inside_a_page_leaves_the_page_its_own_size() -> None:
    """A rule for the sheet in it would turn every sheet of the document."""
    assert "@page" not in svg.document(760.0, 430.0, "t", "d", [], alone=False)


def test_a_plot_without_lines_says_that_there_is_nothing_to_draw() -> None:
    """Empty axes would be read as a figure of nothing."""
    assert "nothing to draw" in "".join(svg.plot("h", ("x", "y"), []))
    some = svg.Series("s", [0.0, 1.0], [0.0, 1.0])
    assert "nothing to draw" not in "".join(svg.plot("h", ("x", "y"), [some]))


def test_the_name_of_a_level_stands_over_the_lines() -> None:
    """A mark drawn after it would hide its letters."""
    some = svg.Series("s", [0.0, 1.0], [0.0, 15.0])
    drawn = svg.plot("h", ("x", "y"), [some], [svg.Level("full, 15 imp gal", 15.0)])
    name = next(k for k, x in enumerate(drawn) if "full, 15 imp gal" in x)
    assert name > max(k for k, x in enumerate(drawn) if "polyline" in x)
    assert svg.HALO in drawn[name]
