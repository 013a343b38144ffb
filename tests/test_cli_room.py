"""The room that a line of a session has."""

from __future__ import annotations

from diagnose.cli.room import as_wide_as, fitted, rule, whole_lines, wrap

TEXT = "word " * 60


def test_lines_keep_within_a_narrow_terminal_and_within_ours_on_a_wide_one() -> None:
    """A telephone of 40 columns breaks no word in two; a screen of 300 is not filled."""
    for columns, room in ((40, 39), (300, 96), (10, 30)):
        back = as_wide_as(columns)
        assert room - 5 < max(map(len, [*wrap(TEXT), rule()])) <= room
        back()
    answer = "    2  loses power gradually, or will not give full power"
    assert fitted(answer * 3) == answer * 3, "a script reads whole lines"
    back = as_wide_as(120)
    assert fitted(answer) == answer
    assert len(fitted(answer * 3).split("\n")) == 2
    file = "knowledge/causes/pressure-warning/" + "x" * 90 + ".yaml:12:5"
    assert file in fitted(f"because of it: {file}"), "it can be copied whole"
    back()
    back = as_wide_as(40)
    first, *more = fitted(answer).split("\n")
    assert first.startswith("    2  loses")
    assert more
    assert all(x.startswith("      ") and len(x) < 40 for x in more)
    back()
    back = whole_lines()
    assert fitted(answer) == answer
    assert len(wrap(TEXT)) == 1
    assert rule() == ""
    back()
    assert len(rule()) == 96
