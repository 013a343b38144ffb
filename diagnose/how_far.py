"""How far a long piece of work has come: told as it goes on, or told to nobody."""

from __future__ import annotations

from collections.abc import Callable

HowFar = Callable[[int, int], None]
"""Told (done, of how many)."""


def untold(done: int, of: int) -> None:
    """Tell nobody."""
