"""The one door to experta 1.9.4: import it safely, and make its agenda exact and reproducible.

The library reads ``collections.Mapping`` (through frozendict 1.2) while it is imported, a name
Python dropped in 3.10, and it calls ``logging.basicConfig()``.  Both traces are removed again,
so that no other module sees a changed ``collections`` or a new handler on the root logger.
"""

from __future__ import annotations

import bisect
import collections
import collections.abc
import logging
import operator
from typing import Any

_root = logging.getLogger()
_handlers = list(_root.handlers)
_patch = not hasattr(collections, "Mapping")
if _patch:
    setattr(collections, "Mapping", collections.abc.Mapping)  # noqa: B010 - mypy knows no such name
try:
    # By name: the package swallows an ImportError of its own and would then be empty.
    from experta import AND, MATCH, NOT, OR, Fact, KnowledgeEngine, L, Rule
    from experta.abstract import Strategy
    from experta.activation import Activation
    from experta.agenda import Agenda
    from experta.matchers.rete import ReteMatcher
    from experta.matchers.rete.check import FeatureCheck, SameContextCheck
    from experta.matchers.rete.nodes import (
        BusNode,
        ConflictSetNode,
        FeatureTesterNode,
        OrdinaryMatchNode,
    )
    from experta.matchers.rete.token import Token
finally:
    if _patch:
        delattr(collections, "Mapping")
    _root.handlers[:] = _handlers

__all__ = [
    "AND",
    "MATCH",
    "NOT",
    "OR",
    "Activation",
    "Agenda",
    "BusNode",
    "ConflictSetNode",
    "Fact",
    "FeatureCheck",
    "FeatureTesterNode",
    "KnowledgeEngine",
    "L",
    "OrdinaryMatchNode",
    "PlainRule",
    "ReteMatcher",
    "Rule",
    "SameContextCheck",
    "StableStrategy",
    "Token",
]


class PlainRule(Rule):  # type: ignore[misc]  # experta has no type hints
    """A rule that is an AND of positive patterns, shared by all engines of its class.

    The stock rule binds itself to the engine that touched it last; this one stays free, and two
    rules are the same only if they are the same object.  ``order`` breaks ties on the agenda; a
    rule takes it over from its function.
    """

    order: int = 0

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        """Take the function of the rule the first time, do what it says from then on."""
        if self._wrapped is None:
            return super().__call__(*args, **kwargs)
        return self._wrapped(*args, **kwargs)

    def __get__(self, instance: object, owner: type | None = None) -> PlainRule:
        """Return the rule itself, bound to nothing."""
        return self

    __hash__ = object.__hash__

    def __eq__(self, other: object) -> bool:
        return self is other


_KEY = operator.attrgetter("key")


def _shown(value: Any) -> str:
    """Return text that orders a binding the same way on every run."""
    return f"f-{value['__factid__']}" if isinstance(value, Fact) else repr(value)


class StableStrategy(Strategy):  # type: ignore[misc]  # experta has no type hints
    """An agenda that drops exactly what no longer holds and fires in the same order on every run.

    The stock strategy looks for a withdrawn activation only next to one position, so that
    activations with equal keys hide each other and stale rules fire; and it breaks ties by hash.
    Order here: salience, newest facts, order of the rules in the files, bindings.
    """

    def key(self, activation: Any) -> tuple[Any, ...]:
        """Return the total order of ``activation``; the greatest fires first."""
        numbers = [fact["__factid__"] for fact in activation.facts]
        bound: list[tuple[str, str]] = []
        if len(numbers) > 1:  # a single fact says itself what was bound
            numbers.sort(reverse=True)
            context = activation.context.items()
            bound = sorted((n, _shown(v)) for n, v in context if not n.startswith("__"))
        rule = activation.rule
        return (rule.salience, numbers, -getattr(rule, "order", 0), bound)

    def _update_agenda(self, agenda: Any, added: Any, removed: Any) -> None:
        queue = agenda.activations
        for activation in removed:
            activation.key = self.key(activation)
            at = bisect.bisect_left(queue, activation.key, key=_KEY)
            while at < len(queue) and queue[at].key == activation.key:
                if queue[at] is activation:
                    del queue[at]
                    break
                at += 1
        if added:
            for activation in added:
                activation.key = self.key(activation)
            queue.extend(added)
            queue.sort(key=_KEY)
