"""Compile a rule book to experta productions: one per way of a symptom, one per row of evidence.

Rules only record.  They never declare a fact, so withdrawing one and dropping what was recorded
with it is exact.  States, places and numbers are tested in Python before a fact is declared: every
pattern is a positive comparison of text.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from diagnose.model import Layout, Library
from diagnose.rules.book import Book, Relations, Row, Way
from diagnose.rules.facts import HOLDS, LiteralFact, RecordingEngine, SignFact
from diagnose.rules.plain import PlainRules
from diagnose.rules.session import Session
from diagnose.rules.shim import MATCH, L, PlainRule


def _recorder(kind: str, number: int, order: int) -> Callable[..., None]:
    # A closure per rule: the library takes rules of one function and one pattern for the same.
    def record(engine: RecordingEngine, /, **bound: Any) -> None:
        engine.fired.append((kind, number, bound))

    record.order = order  # type: ignore[attr-defined]  # the rule takes it over from its function
    return record


def _way_rule(number: int, way: Way) -> Any:
    patterns = [
        f"f{k:02}"
        << LiteralFact(literal=L(str(index)), holds=L(HOLDS[side]), at=MATCH.at, epoch=MATCH.epoch)
        for k, (index, side, _) in enumerate(way.wants)
    ]
    return PlainRule(*patterns)(_recorder("way", number, number))


def _row_rule(number: int, row: Row, first: int) -> Any:
    on = {"question" if row.row is None else "effect": L(row.on)}
    return PlainRule("sign" << SignFact(**on))(_recorder("row", number, first + number))


def engine_class(book: Book) -> type[RecordingEngine]:
    """Return the engine class whose rules are those of ``book``.

    Rule names begin with 'rule:' because a rule named like an attribute of the engine (``run``,
    ``facts``) would replace it.
    """
    names: dict[str, Any] = {}
    for number, way in enumerate(book.ways):
        side = HOLDS[way.shows]
        names[f"rule:{number:05}:{way.symptom}:{side}:{way.number}"] = _way_rule(number, way)
    for number, row in enumerate(book.rows):
        rule = _row_rule(number, row, len(book.ways))
        names[f"row:{number:05}:{row.cause}:{row.on}"] = rule
    return type("CompiledRules", (RecordingEngine,), names)


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Build without garbage collection: a network is some ten thousand objects that all stay.

    What was built is not frozen: ``gc.freeze`` takes in whatever else is alive, and a job that
    was open then could never be let go, with its engine.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


class RuleBase:
    """The rules of one library on one layout, compiled; it hands out sessions."""

    def __init__(self, book: Book, engine: type[RecordingEngine]) -> None:
        """Take a compiled ``engine`` class; use ``RuleBase.compile``."""
        self.book = book
        self.plain = PlainRules(book)
        self._engine = engine
        self._idle: list[RecordingEngine] = []

    @classmethod
    def compile(cls, library: Library, layout: Layout, places: Relations) -> RuleBase:
        """Compile once per library and layout, and build the first engine.

        Args:
            library: The knowledge; its symptoms, causes, effects and questions are used.
            layout: The fuel system the places are taken from.
            places: Relations on ``layout``.

        Raises:
            KnowledgeError: With every problem found in the rules.
        """
        with _undisturbed():
            book = Book(library, layout, places)
            base = cls(book, engine_class(book))
            base._idle.append(base._engine())
        return base

    def session(self) -> Session:
        """Return a new session without findings; let go, it gives its engine to the next one."""
        if self._idle:
            engine = self._idle.pop()
        else:
            with _undisturbed():
                engine = self._engine()
        engine.ready()
        return Session(self.book, self.plain, engine, self._idle.append)
