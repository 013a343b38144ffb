"""What the tables of a layout are made of, and the code that makes them; nothing else is.

Words for people are left out, so a new title, source or uplift solves nothing anew; and what is
left out cannot be read by what solves, so no tables can go stale by it.
"""

from __future__ import annotations

import ast
import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

import numpy as np

from diagnose.errors import NOWHERE
from diagnose.model import CauseAt, Effect, Layout, Library, Physical

_SOLVES = "diagnose.predict.dictionary"
"""The module that makes the tables."""


@dataclass(frozen=True)
class Solvable:
    """A layout, the effects the model may read on it, and the physical forms of causes at parts."""

    layout: Layout
    effects: tuple[Effect, ...]
    causes: tuple[tuple[CauseAt, Physical], ...]

    def digest(self) -> str:
        """Return the hash of all of it and of the code that solves it."""
        text = f"{code_hash()}\0{np.__version__}\0{self!r}"
        return hashlib.sha256(text.encode()).hexdigest()[:32]


def solvable(library: Library, layout: Layout, causes: Sequence[CauseAt]) -> Solvable:
    """Return what is to be solved for ``causes``, in their order; those without a form drop out."""
    forms = ((c, library.causes[c.cause].physical) for c in causes)
    effects = (e for e in library.effects.values() if e.reading)
    return Solvable(
        _wordless(layout),
        tuple(Effect(e.id, "", e.at, e.values, {}, reading=e.reading) for e in effects),
        tuple((c, physical) for c, physical in forms if physical is not None),
    )


def _wordless(layout: Layout) -> Layout:
    """Return ``layout`` without names, references and places in files, and as no one aeroplane."""
    parts = {i: replace(p, name="", origin=NOWHERE) for i, p in layout.parts.items()}
    limits = {
        i: replace(x, reference="", shown="", origin=NOWHERE) for i, x in layout.limits.items()
    }
    return replace(
        layout,
        title="",
        notes="",
        edition="",
        origin=NOWHERE,
        aeroplane=None,
        parts=MappingProxyType(parts),
        limits=MappingProxyType(limits),
        lines=tuple(replace(line, origin=NOWHERE) for line in layout.lines),
        run_states=tuple(replace(s, title="", origin=NOWHERE) for s in layout.run_states),
    )


@lru_cache(maxsize=1)
def code_hash() -> str:
    """Return the hash of the code that makes predictions; changed code, changed key."""
    digest = hashlib.sha256()
    for name, code in sorted(modules().items()):
        digest.update(f"{name}\0{len(code)}\0".encode())
        digest.update(code)
    return digest.hexdigest()


def modules() -> dict[str, bytes]:
    """Return the text of the module that solves and of all it imports, one by way of another."""
    found: dict[str, bytes] = {}
    ahead = [_SOLVES]
    while ahead:
        name = ahead.pop()
        file = _file_of(name)
        if file is not None and name not in found:
            found[name] = file.read_bytes()
            ahead += _imports(found[name])
    return found


def _imports(code: bytes) -> Iterator[str]:
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.ImportFrom) and node.module:
            yield from (node.module, *(f"{node.module}.{a.name}" for a in node.names))


def _file_of(name: str) -> Path | None:
    """Return the file of a module of ours, None where ``name`` is none."""
    package, *rest = name.split(".")
    root = Path(__file__).parents[1]
    if package != root.name:
        return None
    path = root.joinpath(*rest)
    return next((f for f in (path.with_suffix(".py"), path / "__init__.py") if f.is_file()), None)
