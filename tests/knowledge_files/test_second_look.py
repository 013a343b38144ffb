"""A layout in order can still hold a slip of the pen: what looks odd is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.fuel.sound import unsound
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.knowledge_files.second_look import second_look
from diagnose.model import Layout

FILES = list_layouts(Path(__file__).parents[2] / "knowledge")
SHIPPED = [load_layout(path) for path in FILES.values()]


def slipped(folder: Path, old: str, new: str) -> Layout:
    """Return a shipped layout, read from a file of its own, with one text changed."""
    text = FILES["low-wing-single"].read_text(encoding="utf-8")
    assert old in text
    path = folder / "low-wing-single.yaml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return load_layout(path)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("bore: 8 mm, length: 0.05 m", "bore: 8 cm, length: 0.05 m", "bore of line"),
        ("burn-cruise: 7.5 imp gal/h", "burn-cruise: 75 imp gal/h", "more than its burn-take-off"),
        ("height: 0.42 m", "height: 42 m", "above the lowest part"),
        ("engines: one", "engines: 1", "'engines: 1': in the shipped layouts it is four or one"),
        ("engines: one", "egines: one", "'egines: one': no shipped layout has it"),
        (
            "  - {part: ledger, kind: ledger, name: uplift and burn record, of: aeroplane, "
            "division: 1 l}\n",
            "",
            "no part of kind ledger",
        ),
    ],
)
def test_a_slip_in_a_good_file_is_told_where_it_stands(
    tmp_path: Path, old: str, new: str, told: str
) -> None:
    """Good figures with good units, and still nobody would build it."""
    found = second_look(slipped(tmp_path, old, new), SHIPPED)
    assert [p for p in found if told in p.text and p.origin.file], [str(p) for p in found]


def test_a_part_that_no_line_leads_to_is_told(tmp_path: Path) -> None:
    """A pump that was listed and never joined pumps nothing, and nothing else would say so."""
    alone = (
        "  - {part: wobble, kind: hand-pump, name: wobble pump, of: engine, shutoff: 6 psi, "
        "rated-flow: 60 imp gal/h}\n  # the aeroplane at large\n"
    )
    found = second_look(slipped(tmp_path, "  # the aeroplane at large\n", alone), SHIPPED)
    assert [p for p in found if "no line leads to or from 'wobble'" in p.text and p.origin.line > 1]


def test_a_layout_on_which_no_engine_runs_is_told(tmp_path: Path) -> None:
    """Whatever shows only on a running engine would never be asked."""
    text = FILES["low-wing-single"].read_text(encoding="utf-8").partition("run-states:")[0]
    path = tmp_path / "low-wing-single.yaml"
    path.write_text(text, encoding="utf-8")

    told = [p.text for p in second_look(load_layout(path), SHIPPED)]
    assert any("no run state with a running engine" in one for one in told), told


@pytest.mark.parametrize("layout", SHIPPED, ids=lambda x: x.id)
def test_shipped_layouts_are_not_odd_among_themselves(layout: Layout) -> None:
    """Nothing to look at again, and sound in the model wherever an engine runs."""
    assert second_look(layout, SHIPPED) == ()
    assert list(unsound(layout)) == []


def test_an_engine_that_starves_with_nothing_wrong_is_told_by_run_state(tmp_path: Path) -> None:
    """A carburettor far above its pump gets nothing, and the run state says so."""
    told = list(
        unsound(slipped(tmp_path, "displacement: 26 imp gal/h", "displacement: 1 imp gal/h"))
    )
    assert any("of what it wants" in x for x in told)
