"""The register of what lint can find: every code is documented where it is defined.

A code is a group word and a number, ``RULE-02``; like every id it is never renamed or reused.
``finds`` joins a code to the function that looks for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from diagnose.errors import Origin

if TYPE_CHECKING:
    from diagnose.lint.base import Base


@dataclass(frozen=True)
class Code:
    """One kind of finding: what it means, why it matters, what to do about it.

    ``asked_for``: looked for only when asked, because it takes minutes when nothing is cached.
    """

    id: str
    title: str
    means: str
    matters: str
    do: str
    asked_for: bool


@dataclass(frozen=True, order=True)
class Found:
    """One finding: ``text`` says what is wrong, what was meant and what to do, on one line.

    ``item`` is what a waiver names: the file without its ending (``causes/relief-open``), or
    several ids joined by ' + ' where the finding is about how they stand to each other.
    """

    origin: Origin
    code: str
    text: str
    item: str

    def __str__(self) -> str:
        """Return the line people read."""
        return f"{self.origin}: {self.code} {self.text}"


Look = Callable[["Base"], Iterable[Found]]
"""Looks through the knowledge for one or more codes."""


@dataclass(frozen=True)
class Looker:
    """A function with the codes it can find and the words that tell of its progress."""

    codes: tuple[str, ...]
    look: Look
    doing: str


_CODES: Final[dict[str, Code]] = {}
_LOOKERS: Final[list[Looker]] = []


def code(
    id: str, title: str, *, means: str, matters: str, do: str, asked_for: bool = False
) -> Code:
    """Register a code.

    Raises:
        ValueError: If the id is already in use.
    """
    if id in _CODES:
        raise ValueError(f"lint code {id} is defined twice")
    made = _CODES[id] = Code(id, title, means, matters, do, asked_for)
    return made


def finds(*codes: Code, doing: str) -> Callable[[Look], Look]:
    """Register the decorated function as what looks for ``codes``."""

    def register(look: Look) -> Look:
        _LOOKERS.append(Looker(tuple(c.id for c in codes), look, doing))
        return look

    return register


def all_codes() -> Mapping[str, Code]:
    """Return every code by id, in order of id."""
    return MappingProxyType(dict(sorted(_CODES.items())))


def all_lookers() -> tuple[Looker, ...]:
    """Return every looker in the order of definition."""
    return tuple(_LOOKERS)
