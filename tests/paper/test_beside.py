"""Words beside the lines of a drawing: clear of boxes, of other words and of other lines."""

from __future__ import annotations

from diagnose.paper.beside import Space, beside, wide

SIZE = 11.0
FLOW = ("2.49 | 1.5 imp gal/h",)


def test_words_of_two_lines_that_meet_do_not_stand_on_each_other() -> None:
    """Two tanks that feed one cock: each flow stands on its own side."""
    left = beside(FLOW, (100.0, 0.0), (200.0, 70.0), [], SIZE)
    right = beside(FLOW, (300.0, 0.0), (200.0, 70.0), [left.space], SIZE)
    assert left.space.shared(right.space) == 0.0


def test_words_leave_a_box_and_keep_as_wide_as_they_are() -> None:
    """A box on the side they would take sends them to the other."""
    free = beside(FLOW, (0.0, 0.0), (20.0, 70.0), [], SIZE)
    assert free.anchor == "start"
    moved = beside(FLOW, (0.0, 0.0), (20.0, 70.0), [Space(15.0, 0.0, 200.0, 70.0)], SIZE)
    assert moved.anchor == "end"
    assert moved.space.right - moved.space.left == wide(FLOW, SIZE)


def test_where_nothing_is_clear_as_little_as_can_be_is_covered() -> None:
    """Words are never left out."""
    all_taken = Space(-500.0, -500.0, 500.0, 500.0)
    extra = Space(0.0, -500.0, 500.0, 500.0)
    assert beside(FLOW, (0.0, 0.0), (0.0, 70.0), [all_taken, extra], SIZE).anchor == "end"
