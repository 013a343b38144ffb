"""The room a line has on the screens of a session: jobs, exercises, interviews.

The pages of commands that only answer are wrapped by ``printing.wrap``.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from contextvars import ContextVar

WIDTH = 96
_ROOM: ContextVar[int] = ContextVar("_ROOM", default=WIDTH)
NARROWEST = 30
"""Room that a line is given on the narrowest terminal: less breaks the words of the trade."""
NO_WRAP = 1_000_000
"""Room no line fills."""


def whole_lines() -> Callable[[], None]:
    """Break no line until the result is called: a screen reader reads a sentence, not pieces."""
    before = _ROOM.set(NO_WRAP)
    return lambda: _ROOM.reset(before)


def as_wide_as(columns: int) -> Callable[[], None]:
    """Keep lines within a terminal of ``columns`` until the result is called, never over ours."""
    before = _ROOM.set(max(NARROWEST, min(WIDTH, columns - 1)))
    return lambda: _ROOM.reset(before)


def wrap(text: str, indent: str = "", first: str | None = None) -> list[str]:
    """Return ``text`` wrapped to the room a line has."""
    start = indent if first is None else first
    return textwrap.wrap(text, _ROOM.get(), initial_indent=start, subsequent_indent=indent) or [""]


def fitted(text: str) -> str:
    """Return ``text`` with its lines broken where a terminal is narrower than ours; else as it is.

    What goes on hangs in under its line, so that no number or answer begins in mid-screen.
    """
    room = _ROOM.get()
    if room >= WIDTH:
        return text
    out: list[str] = []
    for line in text.split("\n"):
        hang = " " * min(len(line) - len(line.lstrip()) + 2, room // 3)
        broken = textwrap.wrap(line, room, subsequent_indent=hang, drop_whitespace=True)
        out += broken if len(line) > room else [line]
    return "\n".join(out)


def unbroken() -> bool:
    """Return whether lines are left whole."""
    return _ROOM.get() == NO_WRAP


def rule() -> str:
    """Return the line above and below what must not be missed, '' where lines are whole."""
    return "" if unbroken() else "*" * _ROOM.get()
