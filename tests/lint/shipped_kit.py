"""The shipped knowledge with one mistake made in it, in memory."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from diagnosis.shipped import KNOWLEDGE

from diagnose import lint
from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.model import Library

ONE = "low-wing-single"
PLUGGED, WORN = "strainer-plugged", "engine-pump-worn"

Mutate = Callable[[Library], Library]


def item(folder: str, name: str, **changes: Any) -> Mutate:
    """Return a mutation that changes fields of one item; a callable gets the old value."""

    def mutate(lib: Library) -> Library:
        items = dict(getattr(lib, folder))
        old = items[name]
        new = {k: v(getattr(old, k)) if callable(v) else v for k, v in changes.items()}
        items[name] = replace(old, **new)
        changed: dict[str, Any] = {folder: items}
        return replace(lib, **changed)

    return mutate


@lru_cache(maxsize=1)
def layouts() -> Mapping[str, Any]:
    """Return every shipped layout."""
    return {name: load_layout(path) for name, path in list_layouts(KNOWLEDGE).items()}


def without(*names: str) -> Callable[[tuple[str, ...]], tuple[str, ...]]:
    """Return a change that takes names out of a list."""
    return lambda old: tuple(one for one in old if one not in names)


def items_of(lib: Library, code: str) -> set[str]:
    """Return the items at which ``code`` is found in ``lib`` on one layout."""
    return {f.item for f in lint.look(lint.Base(lib, {ONE: layouts()[ONE]}), [code])}
