"""Where knowledge and cases are looked for, in which order, and what is said if there are none."""

from __future__ import annotations

from pathlib import Path

import pytest

import diagnose
from diagnose.errors import UsageError
from diagnose.knowledge_files import case_folders, find_cases, find_knowledge, list_cases


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Pretend that the package lies in an empty folder."""
    folder = tmp_path / "site" / "diagnose"
    folder.mkdir(parents=True)
    monkeypatch.setattr(diagnose, "__file__", str(folder / "__init__.py"))
    return folder


def make(folder: Path) -> Path:
    """Make a knowledge folder."""
    folder.mkdir(parents=True)
    (folder / "words.yaml").write_text("")
    return folder


def test_a_named_folder_is_taken_or_refused(tmp_path: Path, package: Path) -> None:
    """A slip in the name must not end with other knowledge than was meant."""
    shipped = make(package / "shipped" / "knowledge")
    mine = make(tmp_path / "mine")

    assert find_knowledge(mine) == mine
    assert find_knowledge() == shipped
    with pytest.raises(UsageError, match="no knowledge folder at"):
        find_knowledge(tmp_path / "mien")


def test_the_folder_around_the_knowledge_is_refused_with_the_one_meant(tmp_path: Path) -> None:
    """Else each file of a whole checkout would be told as one that does not belong there."""
    mine = make(tmp_path / "knowledge")
    with pytest.raises(UsageError, match=f"has no words.yaml; did you mean '{mine}'"):
        find_knowledge(tmp_path)
    with pytest.raises(UsageError, match=r"has no words\.yaml; name another"):
        find_knowledge(tmp_path.parent)


def test_the_shipped_folder_comes_before_the_checkouts(package: Path) -> None:
    """An installed package uses its own; a checkout, having none, the one beside it."""
    beside = make(package.parent / "knowledge")
    assert find_knowledge() == beside

    shipped = make(package / "shipped" / "knowledge")
    assert find_knowledge() == shipped


def test_a_folder_of_that_name_without_knowledge_is_not_taken(package: Path) -> None:
    """Some other project's folder may bear the name; then it is said where was looked."""
    (package.parent / "knowledge").mkdir()
    with pytest.raises(UsageError, match="name one with --knowledge"):
        find_knowledge()


def test_cases_are_found_the_same_way(package: Path) -> None:
    """Beside the checkout, or shipped."""
    with pytest.raises(UsageError, match="no cases folder"):
        find_cases()
    (package.parent / "cases").mkdir()

    assert find_cases() == package.parent / "cases"


def test_cases_beside_ones_own_knowledge_add_to_the_shipped_ones(
    tmp_path: Path, package: Path
) -> None:
    """One case of one's own hides none of the library, and is heard before one of its name."""
    shipped, own = package / "shipped" / "cases", tmp_path / "mine" / "cases"
    for folder, names in ((shipped, "ab"), (own / "invented", "bc")):
        folder.mkdir(parents=True)
        for name in names:
            (folder / f"{name}.yaml").write_text("")
    mine = make(tmp_path / "mine" / "knowledge")

    assert case_folders(mine) == (shipped, own)
    assert case_folders(mine, own) == (own,)
    assert case_folders(package / "shipped" / "knowledge") == (shipped,)
    found = list_cases(*case_folders(mine))
    assert set(found) == {"a", "b", "c"}
    assert found["b"] == own / "invented" / "b.yaml"
