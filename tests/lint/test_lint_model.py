"""Rows held against the fuel-system model: only when asked, and a turned sign is found."""

from __future__ import annotations

from predict.predict_kit import only_few, places, predictions
from predict.test_predict_compare import turned

from diagnose import lint
from diagnose.lint import Base
from diagnose.model import Library

TURNED = "pump-relief-set-high"
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


def test_the_model_is_left_alone_unless_asked() -> None:
    """Without predictions nothing is solved and nothing said."""
    layout = places().layout
    assert lint.look(Base(turned(only_few(), TURNED), {layout.id: layout}), CODES) == ()
