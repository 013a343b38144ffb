"""The room a line has on the screens of a session: jobs, exercises, interviews.

The pages of commands that only answer are wrapped by ``printing.wrap``.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from contextvars import ContextVar

WIDTH = 96
_ROOM: ContextVar[int] = ContextVar("_ROOM", default=WIDTH)
_FIT: ContextVar[bool] = ContextVar("_FIT", default=False)
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
    room = _ROOM.set(max(NARROWEST, min(WIDTH, columns - 1)))
    fit = _FIT.set(True)

    def back() -> None:
        _ROOM.reset(room)
        _FIT.reset(fit)

    return back


def wrap(text: str, indent: str = "", first: str | None = None) -> list[str]:
    """Return ``text`` wrapped to the room a line has."""
    start = indent if first is None else first
    return textwrap.wrap(text, _ROOM.get(), initial_indent=start, subsequent_indent=indent) or [""]


def fitted(text: str) -> str:
    """Return ``text`` with its lines broken to the room on a terminal; else as it is.

    What goes on hangs in under its line, so that no number or answer begins in mid-screen.
    """
    if not _FIT.get() or unbroken():
        return text
    return "\n".join(x for line in text.split("\n") for x in _hung(line, _ROOM.get()))


def _hung(line: str, room: int) -> list[str]:
    if len(line) <= room:
        return [line]
    hang = " " * min(len(line) - len(line.lstrip()) + 2, room // 3)
    # the name of a rule's file is copied from the screen, so it stays whole
    return textwrap.wrap(
        line, room, subsequent_indent=hang, break_on_hyphens=False, break_long_words=False
    )


def unbroken() -> bool:
    """Return whether lines are left whole."""
    return _ROOM.get() == NO_WRAP


def rule() -> str:
    """Return the line above and below what must not be missed, '' where lines are whole."""
    return "" if unbroken() else "*" * _ROOM.get()
