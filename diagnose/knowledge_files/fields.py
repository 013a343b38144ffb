"""Reads the keys of one mapping node: converts text by schema and notes every problem on the way.

A getter never raises: it notes what is wrong and returns a placeholder, so that one pass over a
folder finds everything.  Nothing built from a placeholder is ever used, because a load with a
problem fails as a whole.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from types import MappingProxyType
from typing import Any, Final, TypeVar

from diagnose import units
from diagnose.errors import Origin
from diagnose.knowledge_files import reader
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Node, Scalar, Sequence

ID: Final = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_FLOAT: Final = re.compile(r"[+-]?(?:\d{1,30}(?:\.\d{0,30})?|\.\d{1,30})(?:[eE][+-]?\d{1,3})?")
_YES: Final = {"yes": True, "true": True, "no": False, "false": False}
T = TypeVar("T")


def build(make: Callable[..., T], **fields: Any) -> T:
    """Call ``make`` with plain text and read-only mappings in place of ``Text`` and dicts."""
    return make(**{key: _plain(value) for key, value in fields.items()})


def _plain(value: Any) -> Any:
    if isinstance(value, Text):
        return str(value)
    if isinstance(value, tuple):
        return tuple(_plain(one) for one in value)
    if isinstance(value, Mapping):
        return MappingProxyType({_plain(key): _plain(one) for key, one in value.items()})
    return value


def is_id(text: str) -> bool:
    """Say whether ``text`` may be an id: lower case words and figures joined by hyphens."""
    return len(text) <= 60 and ID.fullmatch(text) is not None


def number_of(text: str) -> float | None:
    """Return the finite number ``text`` is, or None."""
    # float() alone would also take 'nan', 'inf', '1_000' and figures of other scripts
    value = float(text) if _FLOAT.fullmatch(text) else math.nan
    return value if math.isfinite(value) else None


class Fields:
    """One mapping being read; ``finish`` notes the keys nobody asked for."""

    def __init__(self, node: Node, gather: Gather, what: str) -> None:
        """Read ``node``, which should be a mapping, as ``what`` (a noun for messages)."""
        self.gather, self.what, self.origin = gather, what, node.origin
        self._entries: Mapping[str, tuple[Origin, Node]] = {}
        self._asked: dict[str, None] = {}
        self.broken = not isinstance(node, reader.Mapping)
        if isinstance(node, reader.Mapping):
            self._entries = node.entries
        else:
            gather.add(node.origin, f"{what} is written as 'key: value' lines, not as {_a(node)}")

    def has(self, key: str) -> bool:
        """Say whether ``key`` stands here."""
        return key in self._entries

    def where(self, key: str) -> Origin:
        """Return where the value of ``key`` stands, or where the mapping starts."""
        return self._entries[key][1].origin if key in self._entries else self.origin

    def pairs(self) -> Iterator[tuple[Text, Node]]:
        """Yield every key with its origin, and its node; for mappings with free keys."""
        for key, (origin, node) in self._entries.items():
            self._asked[key] = None
            yield Text(key, origin), node

    def node(self, key: str, *, required: bool = False) -> Node | None:
        """Return the raw node of ``key``, or None."""
        self._asked[key] = None
        if key in self._entries:
            return self._entries[key][1]
        # a node that is no mapping was noted as such; its missing keys are not further mistakes
        if required and not self.broken:
            self.gather.add(self.origin, f"{self.what} has no '{key}'; add it", "missing")
        return None

    def text(self, key: str, *, required: bool = False, default: str = "") -> Text:
        """Return the text of ``key``; an empty value counts as missing."""
        node = self.node(key, required=required)
        if node is None:
            return Text(default, self.origin)
        return scalar(node, self.gather, f"'{key}'", empty=not required)

    def choice(
        self,
        key: str,
        known: Collection[str],
        *,
        required: bool = False,
        default: str = "",
        remedy: str = "",
    ) -> Text:
        """Return the text of ``key``, which must be one of ``known``; ``remedy`` is told if not."""
        found = self.text(key, required=required, default=default)
        # a default is our own word and needs no check
        if found and self.has(key) and found not in known:
            self.gather.unknown(found, key, known, remedy)
        return found

    def id(self, key: str) -> Text:
        """Return the id under ``key``."""
        found = self.text(key, required=True)
        if found and not is_id(found):
            self.gather.add(
                found.origin,
                f"'{shorten(found)}' cannot be an id; use lower case words joined by hyphens",
            )
        return found

    def flag(self, key: str, *, required: bool = False) -> bool:
        """Return yes or no; absent is no."""
        found = self.text(key, required=required)
        if found and found.casefold() not in _YES:
            self.gather.add(found.origin, f"'{key}' is yes or no, not '{shorten(found)}'")
        return _YES.get(found.casefold(), False)

    def number(
        self,
        key: str,
        *,
        default: float = 0.0,
        low: float,
        high: float,
        required: bool = False,
    ) -> float:
        """Return the bare number under ``key``, from ``low`` to ``high`` inclusive."""
        found = self.text(key, required=required)
        if not found:
            return default
        return number(found, self.gather, f"'{key}'", low, high)

    def whole(self, key: str, *, default: int = 0, low: int = 0, high: float = 10_000) -> int:
        """Return the whole number under ``key``, from ``low`` to ``high`` inclusive."""
        value = self.number(key, default=default, low=low, high=high)
        if value != int(value):
            self.gather.add(self.where(key), f"'{key}' is a whole number, not {value:g}")
        return int(value)

    def date(self, key: str, *, required: bool = True) -> Text:
        """Return the date under ``key``, written year-month-day."""
        found = self.text(key, required=required)
        if found:
            try:
                # the library's own reading also takes forms without hyphens and week dates
                dt.datetime.strptime(found, "%Y-%m-%d")
            except ValueError:
                text = f"'{shorten(found)}' is not a date; write it year-month-day, 2026-01-31"
                self.gather.add(found.origin, text)
        return found

    def texts(self, key: str, *, required: bool = False) -> tuple[Text, ...]:
        """Return a list of texts; one bare text is a list of one."""
        node = self.node(key, required=required)
        found = () if node is None else scalars(node, self.gather, f"'{key}'")
        if required and node is not None and not found:
            self.gather.add(node.origin, f"'{key}' is empty; name at least one")
        return found

    def choices(
        self,
        key: str,
        known: Collection[str],
        *,
        required: bool = False,
        what: str,
        remedy: str = "",
    ) -> tuple[Text, ...]:
        """Return a list of texts, each one of ``known``; ``remedy`` is told if one is not."""
        found = self.texts(key, required=required)
        for one in found:
            if one not in known:
                self.gather.unknown(one, what or key, known, remedy)
        return found

    def table(self, key: str, what: str = "", *, required: bool = False) -> Fields | None:
        """Return the mapping under ``key``."""
        node = self.node(key, required=required)
        return None if node is None else Fields(node, self.gather, what or f"'{key}'")

    def tables(self, key: str, what: str, *, required: bool = False) -> list[Fields]:
        """Return the list of mappings under ``key``."""
        node = self.node(key, required=required)
        if node is None or (isinstance(node, Scalar) and not node.text and not required):
            return []
        if not isinstance(node, Sequence):
            self.gather.add(node.origin, f"'{key}' is a list ('- ...'), not {_a(node)}")
            return []
        if required and not node.items:
            self.gather.add(node.origin, f"'{key}' is empty; give at least one")
        return [Fields(item, self.gather, what) for item in node.items]

    def mapping(self, key: str, *, required: bool = False) -> dict[Text, Text]:
        """Return a mapping of texts to texts."""
        table = self.table(key, required=required)
        if table is None:
            return {}
        return {
            name: scalar(node, self.gather, f"'{shorten(name)}'") for name, node in table.pairs()
        }

    def quantity(
        self, key: str, dimension: str | None, *, required: bool = False
    ) -> units.Quantity | None:
        """Return a figure with its unit; None when absent or wrong."""
        found = self.text(key, required=required)
        return quantity(found, dimension, self.gather, f"'{key}'") if found else None

    def figure(self, key: str, dimension: str) -> float | None:
        """Return a figure in SI; None when absent or wrong."""
        found = self.quantity(key, dimension)
        return found.value_si if found else None

    def names(self, key: str, kind: str, *, required: bool = False) -> tuple[Text, ...]:
        """Return the names of other items under ``key``, each to be looked up later."""
        found = self.texts(key, required=required)
        for name in found:
            self.gather.refer(kind, name)
        return found

    def name(self, key: str, kind: str) -> Text:
        """Return the name of another item under ``key``, to be looked up later."""
        found = self.text(key, required=True)
        self.gather.refer(kind, found)
        return found

    def build(self, make: Callable[..., T], **read: Any) -> T:
        """Return the item of everything ``read`` here, with its origin; nothing more is asked."""
        self.finish()
        return build(make, **read, origin=self.origin)

    def finish(self) -> None:
        """Note every key that no getter asked for."""
        for key, (origin, _) in self._entries.items():
            if key not in self._asked:
                self.gather.unknown(Text(key, origin), f"key of {self.what}", self._asked)


def scalar(node: Node, gather: Gather, what: str, *, empty: bool = False) -> Text:
    """Return a node's text, noting a node that is not text or is empty."""
    if not isinstance(node, Scalar):
        gather.add(node.origin, f"{what} is one piece of text, not {_a(node)}")
        return Text("", node.origin)
    text = node.text.strip()
    if not text and not empty:
        gather.add(node.origin, f"{what} is empty; fill it in or delete the line", "missing")
    return Text(text, node.origin)


def scalars(node: Node, gather: Gather, what: str) -> tuple[Text, ...]:
    """Return a list of texts; one bare text is a list of one."""
    if isinstance(node, Sequence):
        return tuple(scalar(item, gather, f"an entry of {what}") for item in node.items)
    found = scalar(node, gather, what, empty=True)
    return (found,) if found else ()


def number(found: Text, gather: Gather, what: str, low: float, high: float) -> float:
    """Return the number a text is, from ``low`` to ``high``, noting anything else."""
    value = number_of(found)
    if value is None:
        gather.add(found.origin, f"{what} is a number, not '{shorten(found)}'")
        return low if math.isfinite(low) else 0.0
    if not low <= value <= high:
        bounds = f"from {low:g} to {high:g}" if math.isfinite(high) else f"{low:g} or more"
        gather.add(found.origin, f"{what} is {value:g}; it must be {bounds}")
    return value


def quantity(
    found: Text, dimension: str | None, gather: Gather, what: str, example: str = ""
) -> units.Quantity | None:
    """Return the figure a text is, noting a missing unit, a bare gallon or another dimension."""
    try:
        return units.parse(found, dimension, example)
    except units.UnitError as error:
        gather.add(found.origin, f"{what}: {error}")
        return None


def _a(node: Node) -> str:
    """Name a node's form for messages."""
    if isinstance(node, Scalar):
        return f"'{shorten(node.text)}'" if node.text else "nothing"
    return "a list" if isinstance(node, Sequence) else "a mapping"
