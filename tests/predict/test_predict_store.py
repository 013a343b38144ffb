"""The cache of predictions: exact, guarded, and never in the way."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from predict.predict_kit import only_few, places, tables

from diagnose import predict
from diagnose.predict import Store, Tables
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


def test_a_changed_layout_or_library_has_another_key() -> None:
    """Stale tables cannot be found."""
    library, layout = only_few(), places().layout
    keys = {
        key_of(library, layout),
        key_of(replace(library, edition="other"), layout),
        key_of(library, replace(layout, edition="other")),
        key_of(library, replace(layout, id="other")),
    }
    assert len(keys) == 4


def test_a_folder_that_cannot_be_written_is_let_be(tmp_path: Path) -> None:
    """A cache that cannot be kept costs time only."""
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    store = Store(blocked)
    store.put("key", tables())
    assert store.get("key") is None
    assert blocked.read_text() == "in the way"
