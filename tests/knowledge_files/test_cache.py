"""The cache gives the same library sooner, or is as if it were not there."""

from __future__ import annotations

import hashlib
import os
import pickle
from pathlib import Path

import pytest
from tiny_library import FILES, write_tiny

from diagnose.errors import KnowledgeError
from diagnose.knowledge_files import cache as cache_module
from diagnose.knowledge_files import library as library_module
from diagnose.knowledge_files import load_library


@pytest.fixture
def parses(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Count the loads that had to parse."""
    calls: list[str] = []
    real = library_module.parse

    def counted(files: library_module.Files) -> object:
        calls.append(str(files.root))
        return real(files)

    monkeypatch.setattr(library_module, "parse", counted)
    return calls


def test_the_second_load_comes_from_the_cache_and_is_equal(
    tmp_path: Path, parses: list[str]
) -> None:
    """Every item, row, place and number is the same."""
    root, store = write_tiny(tmp_path), tmp_path / "cache"
    first = load_library(root, cache_dir=store)
    second = load_library(root, cache_dir=store)

    assert len(parses) == 1
    assert second == first
    assert second == load_library(root, use_cache=False)
    assert type(next(iter(second.causes))) is str


def test_any_changed_byte_misses_the_cache(tmp_path: Path, parses: list[str]) -> None:
    """A cache that could be stale would teach yesterday's rules."""
    store = tmp_path / "cache"
    load_library(write_tiny(tmp_path), cache_dir=store)
    smell = FILES["effects/smell.yaml"].replace(".02", ".05")
    changed = load_library(write_tiny(tmp_path, {"effects/smell.yaml": smell}), cache_dir=store)

    assert len(parses) == 2
    assert changed.effects["smell"].background == {"fuel": 0.05}


def test_changed_code_misses_the_cache(
    tmp_path: Path, parses: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The key holds the hash of the code that reads the files."""
    root, store = write_tiny(tmp_path), tmp_path / "cache"
    load_library(root, cache_dir=store)
    monkeypatch.setattr(cache_module, "code_hash", lambda: "another")
    load_library(root, cache_dir=store)

    assert len(parses) == 2


def test_a_moved_folder_keeps_its_library_under_its_new_root(tmp_path: Path) -> None:
    """Only the root differs; all places inside are relative."""
    store = tmp_path / "cache"
    first = load_library(write_tiny(tmp_path / "a"), cache_dir=store)
    second = load_library(write_tiny(tmp_path / "b"), cache_dir=store)

    assert second.root == str(tmp_path / "b" / "knowledge")
    assert second.causes == first.causes


@pytest.mark.parametrize("damage", ["empty", "cut", "flipped", "another type"])
def test_a_damaged_cache_is_ignored_and_written_anew(
    tmp_path: Path, parses: list[str], damage: str
) -> None:
    """Nothing in the cache can stop the program."""
    root, store = write_tiny(tmp_path), tmp_path / "cache"
    first = load_library(root, cache_dir=store)
    (file,) = store.glob("*.pickle")
    data = file.read_bytes()
    if damage == "another type":
        body = pickle.dumps([1, 2])
        data = hashlib.sha256(body).digest() + body
    else:
        middle = len(data) // 2
        data = {
            "empty": b"",
            "cut": data[:middle],
            "flipped": data[:middle] + bytes([data[middle] ^ 1]) + data[middle + 1 :],
        }[damage]
    file.write_bytes(data)

    assert load_library(root, cache_dir=store) == first
    assert len(parses) == 2
    assert load_library(root, cache_dir=store) == first
    assert len(parses) == 2


class _Hostile:
    def __reduce__(self) -> tuple[object, tuple[str]]:
        return (os.mkdir, ("hostile",))


def test_a_planted_pickle_runs_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Only our own dataclasses are ever made from the cache, whatever stands in it."""
    monkeypatch.chdir(tmp_path)
    root, store = write_tiny(tmp_path), tmp_path / "cache"
    first = load_library(root, cache_dir=store)
    (file,) = store.glob("*.pickle")
    body = pickle.dumps(_Hostile())
    file.write_bytes(hashlib.sha256(body).digest() + body)

    assert load_library(root, cache_dir=store) == first
    assert not (tmp_path / "hostile").exists()


def test_a_cache_that_cannot_be_written_is_let_be(tmp_path: Path) -> None:
    """A file where the folder should be: the library comes all the same."""
    store = tmp_path / "cache"
    store.write_text("not a folder")

    assert load_library(write_tiny(tmp_path), cache_dir=store).causes


def test_a_failed_load_is_not_cached(tmp_path: Path) -> None:
    """The second load fails like the first."""
    root, store = write_tiny(tmp_path, {"checks/test-gauge.yaml": None}), tmp_path / "cache"
    for _ in range(2):
        with pytest.raises(KnowledgeError):
            load_library(root, cache_dir=store)

    assert not list(store.glob("*.pickle"))


def test_old_libraries_are_deleted_and_no_parts_left(tmp_path: Path) -> None:
    """The cache does not grow with every edit."""
    store = tmp_path / "cache"
    for number in range(cache_module.KEEP + 3):
        text = FILES["effects/smell.yaml"] + f"# {number}\n"
        load_library(write_tiny(tmp_path, {"effects/smell.yaml": text}), cache_dir=store)

    assert len(list(store.iterdir())) == cache_module.KEEP
