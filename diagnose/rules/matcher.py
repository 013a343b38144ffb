"""A matcher that visits only what a fact can touch; it changes speed, never a result.

The stock network offers every fact to every pattern and asks every rule for news after every
change.  Here facts are sent on by class and by literal value, and only rules that were reached
report.  Rules that are already an AND of positive patterns are wired straight away: rewriting
them to normal form is two thirds of the stock building time and leaves them as they are.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain
from typing import Any

from diagnose.rules.shim import (
    Activation,
    BusNode,
    ConflictSetNode,
    FeatureCheck,
    FeatureTesterNode,
    L,
    OrdinaryMatchNode,
    PlainRule,
    ReteMatcher,
    SameContextCheck,
    Token,
)

SCAN = 3
"""Up to this many children a node tries one by one; an index would cost more than it saves."""


class FactToken(Token):  # type: ignore[misc]  # experta has no type hints
    """A token of one fact, made without the stock checks: on its way it only gains bindings."""

    @classmethod
    def of(cls, tag: Any, fact: Any) -> Any:
        """Return the token that says ``fact`` is there, or is gone."""
        return tuple.__new__(cls, (tag, {fact}, {}))

    def copy(self) -> Any:
        """Return a token whose bindings may be added to."""
        return tuple.__new__(FactToken, (self.tag, self.data, dict(self.context)))


class IndexedBus(BusNode):  # type: ignore[misc]  # experta has no type hints
    """The root: sends a fact only to patterns of its own class."""

    by_type: dict[type, list[Any]]

    def _send(self, tag: Any, fact: Any) -> None:
        for child in self.by_type.get(type(fact), ()):
            child.callback(FactToken.of(tag, fact))

    def add(self, fact: Any) -> None:
        """Announce a new fact."""
        self._send(Token.TagType.VALID, fact)

    def remove(self, fact: Any) -> None:
        """Announce that a fact is gone."""
        self._send(Token.TagType.INVALID, fact)


class IndexedTester(FeatureTesterNode):  # type: ignore[misc]  # experta has no type hints
    """A test node whose children that compare one field with a literal are found by value."""

    children: list[Any]
    tables: list[tuple[Any, dict[Any, Any]]]
    rest: list[Any]

    def _activate(self, token: Any) -> None:
        everyone = self.children
        (fact,) = token.data
        self.children = self.rest + [
            table[fact[field]]
            for field, table in self.tables
            if field in fact and fact[field] in table
        ]
        try:
            super()._activate(token)
        finally:
            self.children = everyone


class ReportingNode(ConflictSetNode):  # type: ignore[misc]  # experta has no type hints
    """The end of rules that want the same: notes itself when something reached it.

    The stock node serves one rule, and looks an activation up by all that is in it; this one by
    what reached it.
    """

    dirty: dict[Any, None]

    def __init__(self, rule: Any) -> None:
        """Start with one ``rule``; ``rules`` takes more."""
        super().__init__(rule)
        self.rules = [rule]

    def _reset(self) -> None:
        self.memory: dict[Any, list[Any]] = {}
        self.added: dict[Any, list[Any]] = {}
        self.removed: dict[Any, list[Any]] = {}

    def _activate(self, token: Any) -> None:
        info = token.to_info()
        if not token.is_valid():
            activations = self.memory.pop(info, [])
            if activations and self.added.pop(info, None) is None:
                self.removed[info] = activations
        elif info not in self.memory:
            activations = self.removed.pop(info, [])  # if there, it never was away
            if not activations:
                bound = {k: v for k, v in info.context if isinstance(k, str)}
                activations = [Activation(rule, info.data, bound) for rule in self.rules]
                self.added[info] = activations
            self.memory[info] = activations
        self.dirty[self] = None

    def get_activations(self) -> tuple[list[Any], list[Any]]:
        """Return the activations that came and those that went since it was last asked."""
        news = self.added.values(), self.removed.values()
        self.added, self.removed = {}, {}
        return list(chain.from_iterable(news[0])), list(chain.from_iterable(news[1]))


class IndexedMatcher(ReteMatcher):  # type: ignore[misc]  # experta has no type hints
    """The stock network, with an index put over it once it is built."""

    dirty: dict[Any, None]

    def build_network(self) -> None:
        """Build the network, then re-class its nodes: the wiring stays the library's own."""
        super().build_network()
        self.dirty = {}
        root = self.root_node
        root.__class__ = IndexedBus
        root.by_type = {}
        for child in root.children:
            root.by_type.setdefault(child.node.matcher.fact_type, []).append(child)
        todo = [child.node for child in root.children]
        seen: set[int] = set()
        while todo:
            node = todo.pop()
            if id(node) in seen:
                continue
            seen.add(id(node))
            todo += [child.node for child in node.children]
            if type(node) is ConflictSetNode:
                node.__class__ = ReportingNode
                node.rules = [node.rule]
                node._reset()
            if isinstance(node, ReportingNode):
                node.dirty = self.dirty
            elif type(node) is FeatureTesterNode and len(node.children) > SCAN:
                _index(node)

    @staticmethod
    def prepare_ruleset(engine: Any) -> set[Any]:
        """Return the rules ready for wiring; only rules that need it are rewritten."""
        rules = engine.get_rules()
        ready = {rule for rule in rules if isinstance(rule, PlainRule)}
        others = [rule for rule in rules if not isinstance(rule, PlainRule)]
        if others:
            ready |= ReteMatcher.prepare_ruleset(_Only(others))
        return ready

    @staticmethod
    def build_beta_part(ruleset: Iterable[Any], alpha_terminals: Any) -> None:
        """Chain the patterns of each rule, left to right, into the node that fires it."""
        others = set()
        ends: dict[Any, ReportingNode] = {}
        for rule in ruleset:
            if not isinstance(rule, PlainRule):
                others.add(rule)
                continue
            patterns = tuple(rule)
            if patterns in ends:
                ends[patterns].rules.append(rule)
                continue
            node = alpha_terminals[patterns[0]]
            for pattern in patterns[1:]:
                join = OrdinaryMatchNode(SameContextCheck())
                node.add_child(join, join.activate_left)
                right = alpha_terminals[pattern]
                right.add_child(join, join.activate_right)
                node = join
            end = ends[patterns] = ReportingNode(rule)
            # it changes nothing in a token, so it needs no copy of its own
            node.add_child(end, end._activate)
        ReteMatcher.build_beta_part(others, alpha_terminals)

    def reset(self) -> None:
        """Empty every memory."""
        super().reset()
        self.dirty.clear()

    def changes(self, adding: Any = None, deleting: Any = None) -> tuple[list[Any], list[Any]]:
        """Pass changes through the network; return activations (new, withdrawn)."""
        for fact in deleting or ():
            self.root_node.remove(fact)
        for fact in adding or ():
            self.root_node.add(fact)
        news = [node.get_activations() for node in self.dirty]
        self.dirty.clear()
        return [a for added, _ in news for a in added], [a for _, gone in news for a in gone]


class _Only:
    """Stands in for an engine that has just these rules."""

    def __init__(self, rules: list[Any]) -> None:
        self._rules = rules

    def get_rules(self) -> list[Any]:
        return self._rules


def _index(node: Any) -> None:
    tables: dict[Any, dict[Any, Any]] = {}
    node.rest = []
    for child in node.children:
        check = getattr(child.node, "matcher", None)
        # A dotted name ('a__b') reads inside a value and cannot be looked up.
        if (
            isinstance(check, FeatureCheck)
            and isinstance(check.how, L)
            and check.how.__bind__ is None
            and "__" not in str(check.what)
        ):
            tables.setdefault(check.what, {})[check.how.value] = child
        else:
            node.rest.append(child)
    node.tables = list(tables.items())
    node.__class__ = IndexedTester
