"""Gathers everything wrong in a set of files, and every name that must be looked up later."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Final

from diagnose.errors import Origin, Problem, ProblemsError

MAX_PER_FILE: Final = 100
"""Problems kept of one file; a file that broken is mended from the top anyway."""
MAX_SUGGESTIONS: Final = 200
"""Near-name searches made in one load, so that nonsense input stays quick."""
NEAR: Final = 0.7
"""How alike a known name must be to be suggested; a far one would mislead."""
MOST_LISTED: Final = 16
"""Known names that are listed whole where none is near."""
MAX_NAME: Final = 60
"""Longest name looked up or quoted in full."""
MAX_WORD: Final = 160
"""Longest word left whole in a message; a path may be long, a name may not."""


class Text(str):
    """A scalar's text that still knows where it stands."""

    origin: Origin
    __slots__ = ("origin",)

    def __new__(cls, text: str, origin: Origin) -> Text:
        """Make ``text`` remember ``origin``."""
        self = super().__new__(cls, text)
        self.origin = origin
        return self


@dataclass(frozen=True)
class Ref:
    """A name used in one file that another file must define.

    ``kind`` is the folder's item ("effect", "cause" ...); ``value`` a class, value or result that
    the item must have, '' for none.
    """

    kind: str
    name: Text
    value: Text


class Gather:
    """Problems and references of one load."""

    def __init__(self) -> None:
        """Start with nothing wrong and nothing referred to."""
        self.problems: list[Problem] = []
        self.refs: list[Ref] = []
        self._count: dict[str, int] = {}
        self._suggestions = 0

    def add(self, origin: Origin, text: str, kind: str = "") -> None:
        """Note one problem, on one line; ``kind`` as in ``Problem``."""
        count = self._count.get(origin.file, 0) + 1
        self._count[origin.file] = count
        # counted per file, so that one hopeless file does not hide the mistakes of the others
        if count < MAX_PER_FILE:
            self.problems.append(Problem(origin, one_line(text), kind))
        elif count == MAX_PER_FILE:
            self.problems.append(Problem(origin, "more problems follow; mend these first"))

    def extend(self, problems: Iterable[Problem]) -> None:
        """Note problems found elsewhere."""
        for problem in problems:
            self.add(problem.origin, problem.text, problem.kind)

    def check(self, error: type[ProblemsError]) -> None:
        """Raise ``error`` with all that is wrong, if anything is."""
        if self.problems:
            raise error(self.problems)

    def refer(self, kind: str, name: Text, *values: Text) -> None:
        """Note that ``name`` must be a known item of ``kind``, and have each of ``values``."""
        if name:
            self.refs += [Ref(kind, name, v) for v in values or (Text("", name.origin),)]

    def unknown(self, name: Text, what: str, known: Collection[str], remedy: str = "") -> None:
        """Note that ``name`` is not a known ``what``, with the nearest known name or the list.

        ``remedy``: what else to do, a sentence.
        """
        hint = self.near(name, known)
        first, space, _ = name.partition(" ")
        if space and first in known:
            hint = f"; is a colon missing after '{shorten(first)}'?"
        elif hint:
            hint = f"; did you mean '{hint}'?"
        elif 0 < len(known) <= MOST_LISTED:
            hint = f"; known: {', '.join(shorten(one) for one in sorted(known))}."
        else:
            hint = "."
        remedy = f" {remedy}" if remedy else ""
        self.add(name.origin, f"'{shorten(name)}' is not a known {what}{hint}{remedy}", "name")

    def near(self, name: str, known: Collection[str]) -> str:
        """Return the nearest known name, or ''; for a message only, never to be used instead."""
        if len(name) > MAX_NAME or self._suggestions >= MAX_SUGGESTIONS:
            return ""
        # difflib is quadratic in the names; a folder of nonsense must not take minutes
        self._suggestions += 1
        close = difflib.get_close_matches(name, known, n=1, cutoff=NEAR)
        return close[0] if close else _same_words(name, known)


def _same_words(name: str, known: Collection[str]) -> str:
    """Return the shortest known name with all the words of ``name``, in any order; '' if none."""
    words = set(name.split("-"))
    holding = [one for one in known if words <= set(one.split("-"))]
    return min(holding, key=lambda one: (len(one), one), default="")


def either(words: Iterable[str]) -> str:
    """Return a few words as a choice: a tank or an engine."""
    return " or ".join(shorten(word) for word in [*words][:6])


def one_line(text: str) -> str:
    """Return a message on one line, words of absurd length cut, so that a terminal stays usable."""
    words = (word if len(word) <= MAX_WORD else word[: MAX_NAME - 1] + "…" for word in text.split())
    return " ".join(words)


def shorten(text: str) -> str:
    """Return ``text`` on one line, printable, short enough for a message."""
    text = " ".join(text.split())
    text = "".join(c if c.isprintable() else "�" for c in text)
    return text if len(text) <= MAX_NAME else text[: MAX_NAME - 1] + "…"
