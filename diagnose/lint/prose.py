"""Every text a person reads in the knowledge, with the place it stands and what it is for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from diagnose.errors import Origin
from diagnose.model import Library, LookAlike

Use = Literal["act", "caution", "tell", "reason", "name"]
"""What a text is for: to be done, to be minded, to be told, to say why, or to be a name."""

_SENTENCE: Final = re.compile(r"(?<=[.!?])\s+(?=[A-Z\"'(])")
_WORD: Final = re.compile(r"[A-Za-z][A-Za-z'-]*|\d+(?:[.,]\d+)*")


@dataclass(frozen=True)
class Text:
    """One text: ``item`` as in a waiver, ``keys`` lead to it in the file of ``origin``."""

    item: str
    origin: Origin
    keys: tuple[str | int, ...]
    use: Use
    text: str

    @property
    def name(self) -> str:
        """Return how a message names the text: 'close-out', 'look-alikes 2 told-apart-by'."""
        return " ".join(str(k + 1) if isinstance(k, int) else k for k in self.keys)


def sentences(text: str) -> list[str]:
    """Return the sentences of a text."""
    return [s.strip() for s in _SENTENCE.split(text.strip()) if s.strip()]


def words(text: str) -> list[str]:
    """Return the words of a text; a figure is a word."""
    return _WORD.findall(text)


_USES: Final[Mapping[str, Mapping[str, Use]]] = {
    "effects": {"title": "name", "because": "reason"},
    "questions": {"title": "name", "ask": "tell", "how": "act", "why": "reason", "answers": "name"},
    "symptoms": {"title": "name", "because": "reason", "warns": "caution", "before-run": "name",
                 "stops": "caution"},
    "causes": {"title": "name", "because": "reason", "rectify": "act", "root-question": "tell",
               "also-look": "tell", "verify": "act", "harm": "tell", "look-alikes": "tell"},
    "checks": {"title": "name", "aim": "act", "steps": "act", "good": "tell", "bad": "tell",
               "close-out": "act", "results": "name"},
    "hazards": {"title": "name", "text": "caution"},
}  # fmt: skip
"""Folder -> keys of its files that hold texts, and what each is for."""


def texts(library: Library) -> Iterator[Text]:
    """Yield every text of the library in the order of its folders."""
    for folder, uses in _USES.items():
        for item in getattr(library, folder).values():
            for key, use in uses.items():
                held = getattr(item, "classes" if key == "answers" else key.replace("-", "_"))
                for more, text in _told(held):
                    yield Text(f"{folder}/{item.id}", item.origin, (key, *more), use, text)


def _told(held: object) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Yield each text of a value with the keys that lead to it from there."""
    if isinstance(held, str):
        yield (), held
    elif isinstance(held, Mapping):
        for name, label in held.items():
            yield (name,), label
    elif isinstance(held, tuple):
        for n, one in enumerate(held):
            look = isinstance(one, LookAlike)
            yield ((n, "told-apart-by"), one.told_apart_by) if look else ((n,), one)
