"""What to practise next: a fixed ladder of days, counts, and no rankings of people."""

from __future__ import annotations

from datetime import date, timedelta

from diagnosis.shipped import bench, library
from hypothesis import given
from hypothesis import strategies as st
from training.training_kit import SINGLE

from diagnose.training.practice import (
    LADDER,
    LAST,
    Done,
    due,
    families_by_commonness,
    habits,
    layout_for,
    layouts_by_family,
    suggested,
)

DAY = date(2026, 1, 1)


def done(family: str, *well: bool, start: date = DAY) -> list[Done]:
    """Return exercises of a family on days in a row."""
    return [Done(f"{k}", family, start + timedelta(days=k), w) for k, w in enumerate(well)]


def test_each_exercise_done_well_makes_the_gap_wider() -> None:
    """The ladder is climbed one rung at a time and holds at its top."""
    for n in range(1, len(LADDER) + 3):
        (row,) = due(done("pump", *[True] * n), ["pump"])
        last = DAY + timedelta(days=n - 1)
        assert row.on == last + timedelta(days=LADDER[min(n, len(LADDER)) - 1])


def test_one_done_badly_begins_anew() -> None:
    """The next day, whatever went before; the count of what was done well stays."""
    (row,) = due(done("pump", True, True, False), ["pump"])
    assert (row.done, row.well) == (3, 2)
    assert row.on == DAY + timedelta(days=2 + LADDER[0])


def test_what_is_due_longest_comes_first_then_what_never_was() -> None:
    """An overdue family before a new one, a new one before one not yet due."""
    rows = due([*done("pump", True), *done("leak", True, start=DAY + timedelta(days=9))],
               ["leak", "pump", "priming"])  # fmt: skip
    pick = suggested(rows, DAY + timedelta(days=9))
    assert pick is not None
    assert pick.family == "pump"
    pick = suggested(due(done("leak", True), ["leak", "priming"]), DAY)
    assert pick is not None
    assert pick.family == "priming"
    assert suggested((), DAY) is None


def test_families_and_layouts_are_practised_from_the_common_and_simple_on() -> None:
    """The commonest family first, on the smallest layout that can have it; a rung is a step."""
    layouts = [bench(name).layout for name in ("four-engine-injection", SINGLE, "low-wing-twin")]
    by_family = layouts_by_family(library(), layouts)
    assert by_family["jettison"] == ("four-engine-injection",)
    assert by_family["pump"] == (SINGLE, "low-wing-twin", "four-engine-injection")
    assert [layout_for(by_family["pump"], rung) for rung in (0, 1, 2, 9)] == [
        SINGLE, "low-wing-twin", "four-engine-injection", "four-engine-injection",
    ]  # fmt: skip
    assert layout_for((), 3) == ""
    families = families_by_commonness(library())
    causes = library().causes.values()
    mass = [sum(c.how_common for c in causes if c.family == f) for f in families]
    assert mass == sorted(mass, reverse=True)
    assert not {c.family for c in causes if c.outside} & set(families)


def test_the_rung_is_how_many_were_done_well_in_a_row() -> None:
    """One done badly leads back to the simplest aeroplane."""
    (row,) = due(done("pump", False, True, True), ["pump"])
    assert row.rung == 2
    (row,) = due(done("pump", True, True, False), ["pump"])
    assert row.rung == 0


@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(0, 400), st.booleans())))
def test_every_family_stands_once_and_nothing_is_due_before_it_was_done(
    log: list[tuple[str, int, bool]],
) -> None:
    """Counts add up; a family is due after its last exercise."""
    found = [Done(str(k), f, DAY + timedelta(days=d), w) for k, (f, d, w) in enumerate(log)]
    rows = due(found, list("abc"))
    assert sorted(r.family for r in rows) == list("abc")
    assert sum(r.done for r in rows) == len(log)
    for r in rows:
        mine = [d.on for d in found if d.family == r.family]
        assert (r.on is None) == (not mine)
        assert r.on is None or r.on > max(mine)


def test_what_keeps_going_wrong_is_counted_oftenest_first() -> None:
    """Of the last exercises that are over; one still open counts for nothing, nor do older ones."""
    bad = {"truth": "x", "skipped": 2, "premature": False, "state": "not solved", "hints": 0}
    good = {"truth": "x", "skipped": 1, "premature": False, "state": "solved", "hints": 0}
    old = {**bad, "hints": 1}
    many, found = habits([old, *[good] * (LAST - 1), bad, {**bad, "truth": ""}])
    assert many == LAST
    assert [(h.what, h.times) for h in found] == [
        ("a safety step skipped", LAST),
        ("the part not found", 1),
    ]
    assert habits([]) == (0, ())
