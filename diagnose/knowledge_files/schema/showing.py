"""How well a question shows what is the matter: a word, or rows of chances, turned into a table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from diagnose.knowledge_files.fields import Fields, scalar, scalars
from diagnose.knowledge_files.gather import Text
from diagnose.knowledge_files.reader import Node, Scalar
from diagnose.knowledge_files.schema.common import chances, no_veto
from diagnose.model import Effect

FALSE_ALARM: Final = 1 / 30
"""Share of the usual error left where nothing is wrong: people overlook what is there far more
often than they report what is not, and a complaint made of nothing has a cause of its own, not
reproduced (common practice, no source)."""

SHOWS: Final = {"clear": 0.94, "fair": 0.85, "weak": 0.70}
"""Chance that a question shows the class of the true value; the rest is spread over the others.

Common practice, no source: the words spare an author from inventing figures.
"""


class Shows:
    """The ``shows`` of one question, a word or rows, kept until its effect is known."""

    def __init__(self, fields: Fields, classes: Mapping[Text, Text]) -> None:
        """Take the raw node; words become figures in ``table``."""
        self._gather = fields.gather
        self._classes = tuple(str(name) for name in classes)
        self._node = fields.node("shows", required=True)
        self._opposed = self._pairs(fields)

    def _pairs(self, fields: Fields) -> frozenset[tuple[str, str]]:
        """Return which classes nobody takes for one another, each pair both ways."""
        node = fields.node("opposed")
        out: set[tuple[str, str]] = set()
        for one, others in Fields(node, self._gather, "'opposed'").pairs() if node else ():
            for other in (one, *scalars(others, self._gather, f"'{one}'")):
                if other not in self._classes:
                    self._gather.unknown(other, "class of this question", self._classes)
                elif str(other) != str(one):
                    out |= {(str(one), str(other)), (str(other), str(one))}
        return frozenset(out)

    def table(self, effect: Effect) -> Mapping[str, Mapping[str, float]]:
        """Return value -> class -> chance for every value of ``effect``; rows sum to 1."""
        node = self._node
        if node is None:
            return {}
        if isinstance(node, Scalar):
            return {v: self._word(node, v, v == effect.values[0]) for v in effect.values}
        out: dict[str, Mapping[str, float]] = {}
        for named, row in Fields(node, self._gather, "'shows'").pairs():
            value = str(named)
            if value not in effect.values:
                what = f"value of effect '{effect.id}'"
                self._gather.unknown(named, what, effect.values)
            elif isinstance(row, Scalar):
                out[value] = self._word(row, value, value == effect.values[0])
            else:
                out[value] = self._row(row, value)
        for value in effect.values:
            if value not in out:
                text = f"'shows' has no row for '{value}' of effect '{effect.id}'; add it"
                self._gather.add(node.origin, text)
        return out

    def _word(self, node: Scalar, value: str, normal: bool) -> Mapping[str, float]:
        """Spread one of ``SHOWS`` over the classes."""
        word = scalar(node, self._gather, "'shows'")
        if not word or len(self._classes) < 2:
            return {}
        if word not in SHOWS:
            self._gather.unknown(word, "word for 'shows'", SHOWS)
        elif value not in self._classes:
            self._gather.add(
                word.origin,
                f"'{word}' needs a class for every value of the effect, and '{value}' has none; "
                "write the rows out",
            )
        else:
            return self._spread(1.0 - SHOWS[word], value, normal)
        return {}

    def _spread(self, wrong: float, value: str, normal: bool) -> Mapping[str, float]:
        """Return class -> chance: a usual error of ``wrong``, spread over the other classes.

        What is opposed to ``value`` is shown no oftener than where nothing is wrong.
        """
        others = [name for name in self._classes if name != value]
        alarm = wrong * FALSE_ALARM / len(others)
        far = [name for name in others if not normal and (value, name) in self._opposed]
        near = [name for name in others if name not in far]
        each = alarm if normal or not near else (wrong - alarm * len(far)) / len(near)
        row = dict.fromkeys(near, each) | dict.fromkeys(far, alarm)
        row[value] = 1.0 - sum(row.values())
        return {name: row[name] for name in self._classes}

    def _row(self, node: Node, value: str) -> Mapping[str, float]:
        row = chances(node, self._gather, f"the row of '{value}'")
        for name in row:
            if name not in self._classes:
                self._gather.unknown(name, "class of this question", self._classes)
        # a class left out of a row has no chance at all, which no_veto refuses by name
        for missing in self._classes:
            if row and missing not in row:
                row[Text(missing, node.origin)] = 0.0
        no_veto(row, node.origin, self._gather, f"the row of '{value}'")
        return {name: float(row.get(Text(name, node.origin), 0.0)) for name in self._classes}
