"""The facts of our rules, and the engine whose productions record and do nothing else."""

from __future__ import annotations

from typing import Any

from diagnose.rules.matcher import IndexedMatcher
from diagnose.rules.shim import Fact, KnowledgeEngine, StableStrategy

HOLDS = ("false", "true")
"""Text of a literal fact, by side."""

Firing = tuple[str, int, dict[str, Any]]
"""('way' or 'row', number in the book, bindings): what a production records."""


class TextFact(Fact):  # type: ignore[misc]  # experta has no type hints
    """A fact whose fields are all text: nothing in it needs freezing or looking through."""

    def __init__(self, **fields: str) -> None:
        """Take ``fields`` as they are."""
        dict.__init__(self, fields)

    def has_field_constraints(self) -> bool:
        """Return that no field is a condition."""
        return False

    def has_nested_accessor(self) -> bool:
        """Return that no name of a field reads inside a value."""
        return False


class SignFact(TextFact):
    """A sign that counts: ``sign`` (its number in the session), ``question``, ``effect``."""


class LiteralFact(TextFact):
    """A literal known at a place: ``literal`` (its number), ``at``, ``epoch``, ``holds``."""


class RecordingEngine(KnowledgeEngine):  # type: ignore[misc]  # experta has no type hints
    """An engine whose productions write to ``fired`` and do nothing else."""

    __strategy__ = StableStrategy
    __matcher__ = IndexedMatcher

    def __init__(self) -> None:
        """Build the network; ``ready`` empties it for a new session."""
        super().__init__()
        self.fired: list[Firing] = []

    def ready(self) -> None:
        """Forget every fact and record."""
        self.reset()
        self.run()
        self.fired = []

    def run(self) -> None:
        """Fire everything on the agenda.

        No production changes a fact, so the agenda is brought up to date once, not after each.
        """
        self.strategy.update_agenda(self.agenda, *self.get_activations())
        queue = self.agenda.activations
        while queue:
            activation = queue.pop()
            activation.rule(self, **activation.context)
