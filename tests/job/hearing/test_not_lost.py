"""A clause of which nothing is taken is shown, and a side named is not lost."""

from __future__ import annotations

from diagnosis.shipped import bench

from diagnose.job.hearing.not_heard import not_heard
from diagnose.job.hearing.report_words import listened

TWIN = bench("low-wing-twin")


def test_a_clause_that_told_only_when_is_shown_where_no_trouble_was_heard_in_it() -> None:
    """'After 20 minutes' counts beside a trouble alone; else its clause is lost."""
    heard = listened("Number one is not herself after about twenty minutes.", TWIN)
    assert heard.said == ()
    assert [c.text for c in heard.silent] == ["number one is not herself after about 20 minutes"]
    plain = listened("Number one faded after about twenty minutes.", TWIN)
    assert plain.silent == ()


def test_a_side_that_two_tanks_share_is_kept_with_what_was_said_of_it() -> None:
    """'The right one' is one of the two tanks on the right, and never one on the left."""
    (said,) = listened("The right one is not going down.", TWIN).said
    assert (said.places, said.among) == ((), ("starboard-main-tank", "starboard-aux-tank"))


def test_a_place_is_named_by_what_it_owns() -> None:
    """'Left main's drinking for two' is said of the left main tank."""
    heard = listened("Left main's drinking for two, right main not going down.", TWIN)
    (clause,) = not_heard(heard, TWIN)
    assert {s.places for s in clause.may if s.question == "contents-trend-running"} == {
        ("port-main-tank",)
    }
