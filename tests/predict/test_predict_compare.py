"""Rows beside the model: what is told of a difference, and that a wrong sign is found."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from predict.predict_kit import few_on, only_few, places, predictions, small_layouts

from diagnose.lint.base import Base
from diagnose.lint.model import against_the_model
from diagnose.model import Difference, Library
from diagnose.predict.compare import (
    compared,
    disagreements,
    gaps,
    grades_apart,
    over_layouts,
)


def turned(library: Library, cause: str) -> Library:
    """Return the library with 'low' and 'high' metering pressure of one cause exchanged."""
    other = {"low": "high", "high": "low"}
    item = library.causes[cause]
    rows = tuple(
        replace(r, value=other.get(r.value, r.value)) if r.effect == "metering-pressure" else r
        for r in item.produces
    )
    return replace(library, causes={**library.causes, cause: replace(item, produces=rows)})


def test_every_comparison_names_file_and_line() -> None:
    """What differs can be looked up and settled where it is written."""
    found = compared(predictions(), only_few(), places())
    assert found
    for c in found:
        assert c.origin.line
        assert f"{c.origin}: {c.cause}: " in c.text()


def test_a_gap_is_more_than_one_word_of_the_scale() -> None:
    """Each gap listed is wider than the step between neighbours; each row left out is not."""
    scale = sorted(only_few().words.how_often.values())
    listed = {(c.origin, grade) for c, grade in gaps(predictions(), only_few(), places())}
    assert listed
    for c in compared(predictions(), only_few(), places()):
        for grade, stated, model in zip(
            ("slight", "half", "severe"), c.stated, c.model, strict=True
        ):
            if stated == stated and model == model:  # neither is absent
                word = min(scale, key=lambda w: abs(w - stated))
                bounded = min(max(model, scale[0]), scale[-1])
                near = min(scale, key=lambda w: abs(w - bounded))
                apart = abs(scale.index(word) - scale.index(near))
                assert ((c.origin, grade) in listed) is (apart > 1)


def test_a_row_with_the_wrong_sign_is_found() -> None:
    """A relief set high that were said to lower the pressure contradicts the model."""
    wrong = turned(only_few(), "pump-relief-set-high")
    before = {c.origin for c, _ in disagreements(predictions(), only_few(), places())}
    after = [
        (c, why) for c, why in disagreements(predictions(), wrong, places())
        if c.cause == "pump-relief-set-high" and c.row.effect == "metering-pressure"
    ]  # fmt: skip
    assert after
    assert not {c.origin for c, _ in after} & before
    assert all(c.instead == "high" and why == "" for c, why in after)


def test_a_row_is_held_against_the_mean_of_the_layouts() -> None:
    """One word stands for every layout: half is right where one shows it always and one never."""
    c = next(
        c for c in compared(predictions(), only_few(), places()) if not math.isnan(c.stated[2])
    )
    half = replace(c, stated=(math.nan, math.nan, 0.5))
    always = replace(half, layout="one", model=(math.nan, math.nan, 1.0))
    never = replace(half, layout="two", model=(math.nan, math.nan, 0.0))
    assert grades_apart(always, only_few()) == grades_apart(never, only_few()) == ("severe",)
    mean = over_layouts([always, never])
    assert math.isnan(mean.model[0])
    assert mean.model[2] == pytest.approx(0.5)
    assert grades_apart(mean, only_few()) == ()
    assert over_layouts([always]) == always


def test_a_listed_difference_gives_its_reason_to_its_own_rows_only() -> None:
    """What is listed for one cause, effect and value excuses those rows and no others."""
    listed = Difference(
        ("pump-relief-set-high",), "metering-pressure", ("low",), "written for the test"
    )
    wrong = replace(turned(only_few(), "pump-relief-set-high"), differences=(listed,))
    reasons = {
        (c.cause, c.row.effect, c.row.value): why
        for c, why in disagreements(predictions(), wrong, places())
    }
    assert len(reasons) > 1
    for (cause, effect, value), why in reasons.items():
        meant = (cause, effect, value) == ("pump-relief-set-high", "metering-pressure", "low")
        assert why == ("written for the test" if meant else "")


def test_no_row_of_the_plainest_causes_is_contradicted_everywhere_and_unlisted() -> None:
    """On the small layouts; ``diagnose lint --model`` does the same for every cause and layout."""
    base = Base(only_few(), small_layouts(), few_on)
    found = [f for f in against_the_model(base) if f.code == "MODEL-01"]
    # rows that show on the larger layouts only: what the booster leaves, what stops an engine,
    # the tank that stays while another engine runs, vapour behind an electric pump that is alone
    larger = {
        "engine-pump-drive-sheared", "pump-relief-stuck-open", "outlet-screen-blocked",
        "vent-nest", "hot-soak-vapour",
    }  # fmt: skip
    assert {f.item.removeprefix("causes/") for f in found} <= larger


def test_pressure_rows_of_pump_strainer_and_relief_agree_with_the_model() -> None:
    """Low or high metering pressure, booster off, of the plainest faults has the model's sign."""
    plain = {"engine-pump-drive-sheared", "pump-relief-set-high", "strainer-plugged"}
    against = [
        c.text() for c, _ in disagreements(predictions(), only_few(), places())
        if c.cause in plain and c.row.effect == "metering-pressure"
        and c.row.when.get("booster") == ("off",) and c.row.when.get("power") == ("high",)
    ]  # fmt: skip
    assert against == []
