"""Rows held against the fuel-system model: only when asked, and a turned sign is found."""

from __future__ import annotations

from dataclasses import replace

from predict.predict_kit import only_few, places, predictions
from predict.test_predict_compare import turned

from diagnose import lint
from diagnose.lint import Base
from diagnose.model import Difference, Library
from diagnose.predict.merge import standing

TURNED = "pump-relief-set-high"
PLUGGED = "strainer-plugged"
CODES = ("MODEL-01", "MODEL-02")


def contradicted(library: Library) -> list[str]:
    """Return what is said against rows of the test cause that give low pressure."""
    layout = places().layout
    base = Base(library, {layout.id: layout}, lambda _: predictions())
    return [
        f.text
        for f in lint.look(base, ["MODEL-01"])
        if f.item == f"causes/{TURNED}" and f.text.startswith("metering-pressure low")
    ]


def test_a_row_of_the_wrong_sign_is_found() -> None:
    """High and low of a relief valve set high exchanged: the model never shows it."""
    assert contradicted(only_few()) == []
    assert contradicted(turned(only_few(), TURNED))


def test_a_contradicted_row_is_not_told_again_as_a_gap() -> None:
    """One row is told once: as contradicted, or as more than a word away."""
    layout = places().layout
    base = Base(turned(only_few(), TURNED), {layout.id: layout}, lambda _: predictions())
    told = [f.origin for f in lint.look(base, CODES)]
    assert told
    assert len(told) == len(set(told))


def test_a_row_more_than_a_word_away_is_told_until_it_is_listed_with_its_reason() -> None:
    """The entry settles the gap; once the row agrees again, the entry itself is told."""
    item = only_few().causes[PLUGGED]

    def stating(rate: float, *listed: Difference) -> Library:
        rows = tuple(
            replace(r, how_often={"half": rate, "severe": rate}) if r.effect == "delivery" else r
            for r in item.produces
        )
        causes = {**only_few().causes, PLUGGED: replace(item, produces=rows)}
        return replace(only_few(), causes=causes, differences=listed)

    def told(library: Library) -> bool:
        return any("delivery weak" in text for text in told_of(library, "MODEL-02"))

    entry = Difference((PLUGGED,), "delivery", ("weak",), "written for the test")
    assert told(stating(0.3))
    assert not told(stating(0.3, entry))
    assert told_of(stating(0.3, entry), "MODEL-03", whole=True) == []
    (text,) = told_of(stating(0.98, entry), "MODEL-03", whole=True)
    assert "take it out of the entry" in text


def test_the_model_is_left_alone_unless_asked() -> None:
    """Without predictions nothing is solved and nothing said."""
    layout = places().layout
    assert lint.look(Base(turned(only_few(), TURNED), {layout.id: layout}), CODES) == ()


def mute(library: Library, effect: str) -> Library:
    """Return the library with the plugged strainer saying nothing of one effect."""
    item = library.causes[PLUGGED]
    rows = tuple(r for r in item.produces if r.effect != effect)
    return replace(library, causes={**library.causes, PLUGGED: replace(item, produces=rows)})


def told_of(library: Library, code: str, *, whole: bool = False) -> list[str]:
    """Return what one code says on the test layout of the plugged strainer."""
    layout = places().layout
    base = Base(library, {layout.id: layout}, lambda _: predictions(), whole=whole)
    return [f.text for f in lint.look(base, [code]) if f.item == f"causes/{PLUGGED}"]


def test_a_value_that_the_model_shows_and_no_row_speaks_of_is_found() -> None:
    """A plugged strainer that were silent on the fuel pressure would be cleared by a low one."""
    assert told_of(only_few(), "MODEL-04") == []
    (text,) = told_of(mute(only_few(), "metering-pressure"), "MODEL-04")
    assert text.startswith("the model shows metering-pressure low and no row says so, on low-wing")


def test_a_value_listed_as_unsaid_may_stay_unsaid_until_rows_speak_of_it() -> None:
    """The entry silences the finding; once there is a row, the entry itself is one."""
    entry = Difference((PLUGGED,), "metering-pressure", ("low",), "written for the test")
    silent = mute(only_few(), "metering-pressure")
    assert told_of(replace(silent, unsaid=(entry,)), "MODEL-04", whole=True) == []
    assert told_of(replace(silent, unsaid=(entry,)), "MODEL-03", whole=True) == []
    (text,) = told_of(replace(only_few(), unsaid=(entry,)), "MODEL-03", whole=True)
    assert "take it out of the entry" in text


def test_the_model_has_no_say_on_what_is_listed_as_unsaid() -> None:
    """Where the model shows an artefact, belief keeps to the rows, whatever evidence is asked."""
    entry = Difference((PLUGGED,), "delivery", ("none",), "written for the test")
    listed = standing(replace(only_few(), differences=(), unsaid=(entry,)))
    assert listed == {(PLUGGED, "delivery"): frozenset({"none"})}
