"""Every text a person reads in the knowledge, with the place it stands and what it is for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from diagnose.errors import Origin
from diagnose.model import Library

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


def texts(library: Library) -> Iterator[Text]:
    """Yield every text of the library in the order of its folders."""
    yield from _observing(library)
    yield from _causing(library)
    yield from _working(library)


def _observing(library: Library) -> Iterator[Text]:
    for e in library.effects.values():
        item = f"effects/{e.id}"
        yield Text(item, e.origin, ("title",), "name", e.title)
        yield Text(item, e.origin, ("because",), "reason", e.because)
    for q in library.questions.values():
        item = f"questions/{q.id}"
        yield Text(item, q.origin, ("title",), "name", q.title)
        yield Text(item, q.origin, ("ask",), "tell", q.ask)
        yield Text(item, q.origin, ("how",), "act", q.how)
        yield Text(item, q.origin, ("why",), "reason", q.why)
        for name, label in q.classes.items():
            yield Text(item, q.origin, ("answers", name), "name", label)
    for s in library.symptoms.values():
        item = f"symptoms/{s.id}"
        yield Text(item, s.origin, ("title",), "name", s.title)
        yield Text(item, s.origin, ("because",), "reason", s.because)
        yield Text(item, s.origin, ("warns",), "caution", s.warns)
        yield Text(item, s.origin, ("before-run",), "name", s.before_run)
        yield Text(item, s.origin, ("stops",), "caution", s.stops)


def _causing(library: Library) -> Iterator[Text]:
    for c in library.causes.values():
        item = f"causes/{c.id}"
        yield Text(item, c.origin, ("title",), "name", c.title)
        yield Text(item, c.origin, ("because",), "reason", c.because)
        yield Text(item, c.origin, ("rectify",), "act", c.rectify)
        yield Text(item, c.origin, ("root-question",), "tell", c.root_question)
        yield Text(item, c.origin, ("also-look",), "tell", c.also_look)
        yield Text(item, c.origin, ("verify",), "act", c.verify)
        yield Text(item, c.origin, ("harm",), "tell", c.harm)
        for n, look in enumerate(c.look_alikes):
            keys = ("look-alikes", n, "told-apart-by")
            yield Text(item, c.origin, keys, "tell", look.told_apart_by)


def _working(library: Library) -> Iterator[Text]:
    for k in library.checks.values():
        item = f"checks/{k.id}"
        yield Text(item, k.origin, ("title",), "name", k.title)
        yield Text(item, k.origin, ("aim",), "act", k.aim)
        for n, step in enumerate(k.steps):
            yield Text(item, k.origin, ("steps", n), "act", step)
        yield Text(item, k.origin, ("good",), "tell", k.good)
        yield Text(item, k.origin, ("bad",), "tell", k.bad)
        yield Text(item, k.origin, ("close-out",), "act", k.close_out)
        for name, label in k.results.items():
            yield Text(item, k.origin, ("results", name), "name", label)
    for h in library.hazards.values():
        item = f"hazards/{h.id}"
        yield Text(item, h.origin, ("title",), "name", h.title)
        yield Text(item, h.origin, ("text",), "caution", h.text)
