"""Values gathered under their keys."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

K = TypeVar("K")
V = TypeVar("V")


def by_key(pairs: Iterable[tuple[K, V]]) -> dict[K, list[V]]:
    """Return each key with all its values, both in the order in which they come first."""
    out: dict[K, list[V]] = {}
    for key, value in pairs:
        out.setdefault(key, []).append(value)
    return out
