"""The cache of predictions: exact, guarded, and never in the way."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from types import FrameType
from typing import Any

import numpy as np
import pytest
from diagnosis.shipped import library
from predict.predict_kit import few, only_few, places, tables

from diagnose import predict
from diagnose.errors import Origin
from diagnose.model import Aeroplane, Layout, Library
from diagnose.predict import Store, Tables, compile_tables, solvable
from diagnose.predict.solvable import modules
from diagnose.predict.store import key_of


def same(a: Tables, b: Tables) -> bool:
    """Say whether two tables hold the same."""
    return (
        (a.causes, a.needs, a.cells, a.solved, a.unsolved)
        == (b.causes, b.needs, b.cells, b.solved, b.unsolved)
        and a.blocks.keys() == b.blocks.keys()
        and all(
            x.values == y.values
            and np.array_equal(x.cells, y.cells)
            and np.array_equal(x.active, y.active)
            and np.array_equal(x.net, y.net, equal_nan=True)
            for x, y in ((a.blocks[k], b.blocks[k]) for k in a.blocks)
        )
    )


def test_what_is_stored_comes_back_the_same(tmp_path: Path) -> None:
    """Every array and name survives."""
    store = Store(tmp_path)
    store.put("key", tables())
    found = store.get("key")
    assert found is not None
    assert same(found, tables())
    assert [p.name for p in tmp_path.iterdir()] == ["key.npz"]


@pytest.mark.parametrize("harm", ["cut short", "one bit", "empty", "text"])
def test_a_damaged_file_is_made_anew(tmp_path: Path, harm: str) -> None:
    """Whatever is wrong with the file, it counts as absent."""
    store = Store(tmp_path)
    store.put("key", tables())
    file = tmp_path / "key.npz"
    data = file.read_bytes()
    middle = len(data) // 2
    changed = {
        "cut short": data[:middle],
        "one bit": data[:middle] + bytes([data[middle] ^ 1]) + data[middle + 1 :],
        "empty": b"",
        "text": b"these are no arrays",
    }[harm]
    file.write_bytes(changed)
    assert store.get("key") is None


def test_the_second_time_nothing_is_solved(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first call solves and tells how far it is; the second reads."""
    calls: list[int] = []

    def solving(*_: object) -> Tables:
        calls.append(1)
        return tables()

    monkeypatch.setattr(predict, "compile_tables", solving)
    for _ in range(2):
        found = predict.predictions(only_few(), places(), store=Store(tmp_path))
        assert same(found.tables, tables())
    assert calls == [1]


def key(known: Library, layout: Layout) -> str:
    """Return the key of the few causes of ``known`` on ``layout``."""
    return key_of(solvable(known, layout, few()))


def otherwise(cause: str, **changes: Any) -> Library:
    """Return the library of the few causes with one of them changed."""
    known = only_few()
    changed = replace(known.causes[cause], **changes)
    return replace(known, causes={**known.causes, cause: changed})


def with_part(part: str, **changes: Any) -> Layout:
    """Return the test layout with one part changed."""
    layout = places().layout
    return replace(layout, parts={**layout.parts, part: replace(layout.parts[part], **changes)})


def test_whatever_is_solved_is_in_the_key() -> None:
    """Figures, limits, run states, effects, forms and causes count: no table found is stale."""
    known, layout = only_few(), places().layout
    worn = known.causes["engine-pump-worn"].physical
    assert worn is not None
    worse = replace(worn, grades={**worn.grades, "severe": 0.9})
    effect = known.effects["metering-pressure"]
    fewer = replace(effect, values=effect.values[:-1])
    limit = layout.limits["fuel-pressure"]
    keys = {
        key(known, layout),
        key(otherwise("engine-pump-worn", physical=worse), layout),
        key(otherwise("engine-pump-worn", physical=None), layout),
        key(replace(known, effects={**known.effects, effect.id: fewer}), layout),
        key(known, with_part("strainer", numbers={"bore": 0.004})),
        key(known, with_part("strainer", traits={"kind": "other"})),
        key(known, replace(layout, limits={**layout.limits, limit.name: replace(limit, low=0)})),
        key(known, replace(layout, lines=layout.lines[1:])),
        key(known, replace(layout, run_states=layout.run_states[1:])),
        key_of(solvable(known, layout, few()[1:])),
    }
    assert len(keys) == 10


def test_what_no_figure_rests_on_is_not_in_the_key() -> None:
    """Titles, sources, commonness and an aeroplane's own papers solve nothing anew."""
    known, layout = only_few(), places().layout
    own = Aeroplane("X-ONE", layout.id, "1", invented=True, notes="a new note")
    as_before = key(known, layout)
    assert key(replace(known, edition="other", questions={}), layout) == as_before
    assert key(otherwise("engine-pump-worn", title="Worn", how_common=0.5), layout) == as_before
    assert key(known, replace(layout, title="Other", edition="2", aeroplane=own)) == as_before
    assert key(known, with_part("strainer", name="filter", origin=Origin("x"))) == as_before


def test_all_code_that_runs_while_solving_is_in_the_key() -> None:
    """Each function of ours that runs is of a module whose text is hashed."""
    ran: set[str] = set()
    pump = tuple(c for c in few() if c.cause == "engine-pump-worn")
    asked = solvable(library(), places().layout, pump)

    def noting(frame: FrameType, event: str, _: object) -> None:
        if event == "call":
            ran.add(frame.f_globals["__name__"])

    sys.setprofile(noting)
    try:
        compile_tables(asked)
    finally:
        sys.setprofile(None)
    ours = {name for name in ran if name.startswith("diagnose.")}
    assert "diagnose.fuel.march" in ours
    assert ours <= modules().keys()
    assert "diagnose.fuel.metered" in modules(), "imported by name from its package"
    assert not any(name.startswith("diagnose.fuel.asked") for name in modules())


def test_a_folder_that_cannot_be_written_is_let_be(tmp_path: Path) -> None:
    """A cache that cannot be kept costs time only."""
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    store = Store(blocked)
    store.put("key", tables())
    assert store.get("key") is None
    assert blocked.read_text() == "in the way"
