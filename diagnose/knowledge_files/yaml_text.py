"""Pieces of YAML as people write them here: plain words, one flow mapping a line, folded text."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping, Sequence

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._/()'+-]*")
_WORDS = {"on", "off", "yes", "no", "true", "false", "null", "y", "n"}  # YAML 1.1 takes for others
_WIDTH = 96


def flow_text(items: Mapping[str, str], ready: Sequence[str] = ()) -> str:
    """Return a mapping on one line; the values of the keys in ``ready`` are YAML already."""
    pairs = (f"{k}: {v if k in ready else scalar_text(v)}" for k, v in items.items())
    return "{" + ", ".join(pairs) + "}"


def scalar_text(text: str) -> str:
    """Return one text, quoted where YAML would read it as something else."""
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS and not text.endswith(" "):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def folded_text(text: str, indent: str = "  ") -> list[str]:
    """Return the lines of a text that stands under ``key: >-``."""
    joined = " ".join(text.split())
    return textwrap.wrap(joined, _WIDTH, initial_indent=indent, subsequent_indent=indent)
