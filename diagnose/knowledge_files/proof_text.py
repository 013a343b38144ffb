"""The ``proof`` of a cause file, written anew without touching anything else in it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from diagnose.errors import UsageError

_BLOCK = re.compile(r"^proof:[^\n]*\n(?:[ \t]+[^\n]*\n)*", re.MULTILINE)
_BEFORE = re.compile(r"^sources:", re.MULTILINE)
_WIDTH = 100


def with_proof(
    text: str, fires_on: Sequence[str], silent_on: Sequence[str], settled_on: Sequence[str] = ()
) -> str:
    """Return the text of a cause file with its ``proof`` naming these cases.

    A file without the key gets it before ``sources``, else at its end.
    """
    block = "proof:\n" + _row("fires-on", fires_on)
    if settled_on:
        block += _row("settled-on", settled_on)
    block += _row("silent-on", silent_on)
    if _BLOCK.search(text):
        return _BLOCK.sub(lambda _: block, text, count=1)
    found = _BEFORE.search(text)
    at = found.start() if found else len(text)
    return text[:at] + block + text[at:]


def _row(key: str, cases: Sequence[str]) -> str:
    line = f"  {key}: [{', '.join(cases)}]"
    if len(line) > _WIDTH:
        line = f"  {key}:\n" + "\n".join(f"    - {c}" for c in cases)
    return line + "\n"


def write_proof(
    file: Path, fires_on: Sequence[str], silent_on: Sequence[str], settled_on: Sequence[str] = ()
) -> None:
    """Write the proof of the cause in ``file``; a file that says so already is left alone.

    Raises:
        UsageError: If it cannot be written.
    """
    try:
        old = file.read_text(encoding="utf-8")
        new = with_proof(old, fires_on, silent_on, settled_on)
        if new != old:
            file.write_text(new, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"'{file}' cannot be written: {error.strerror or error}") from None
