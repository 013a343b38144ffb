"""Every case of a folder at once, kept in the user's cache so that a search is quick."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.errors import CaseError, Problem, ProblemsError
from diagnose.knowledge_files.cache import Cache, key
from diagnose.knowledge_files.cases import layout_of_case, list_cases, load_case
from diagnose.model import Case, Layout, Library


@dataclass(frozen=True)
class CaseShelf:
    """The cases that could be read, in the order of their files, and what is wrong with others."""

    cases: tuple[Case, ...]
    problems: tuple[Problem, ...] = ()

    def sound(self) -> tuple[Case, ...]:
        """Return the cases, which must all have been readable.

        Raises:
            CaseError: With every problem found.
        """
        if self.problems:
            raise CaseError(self.problems)
        return self.cases


def load_shelf(
    roots: Sequence[Path],
    library: Library,
    layouts: Mapping[str, Layout],
) -> CaseShelf:
    """Return every case under ``roots`` that happened on one of ``layouts``.

    The cache is keyed by the bytes of the cases and by the editions of knowledge and layouts, so
    that it can never be stale; a shelf with problems is not kept.

    Raises:
        CaseError: If two folders of a root hold cases of one name.
    """
    files = list_cases(*roots)
    store = Cache(Cache().folder.parent / "cases")
    found = store.get(_key(files, library, layouts))
    if isinstance(found, tuple) and all(isinstance(c, Case) for c in found):
        return CaseShelf(found)
    cases: list[Case] = []
    problems: list[Problem] = []
    for path in files.values():
        try:
            layout = layouts.get(layout_of_case(path))
            if layout is not None:
                cases.append(load_case(path, library, layout))
        except ProblemsError as error:
            problems.extend(error.problems)
    if not problems:
        store.put(_key(files, library, layouts), tuple(cases))
    return CaseShelf(tuple(cases), tuple(problems))


def _key(files: Mapping[str, Path], library: Library, layouts: Mapping[str, Layout]) -> str:
    digest = hashlib.sha256(f"{library.root}\0{library.edition}\0".encode())
    for layout in layouts.values():
        digest.update(f"{layout.id}\0{layout.edition}\0".encode())
    for name, path in files.items():
        data = path.read_bytes() if path.is_file() else b""
        digest.update(f"{path.parent.name}/{name}\0{len(data)}\0".encode())
        digest.update(data)
    return key(f"cases\0{digest.hexdigest()}")
