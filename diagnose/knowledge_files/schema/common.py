"""Pieces that several kinds of item share: heads, sources, states, rows of chances, places."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Final

from diagnose.errors import Origin
from diagnose.knowledge_files.fields import Fields, build, number, scalar, scalars
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Mapping as MappingNode
from diagnose.knowledge_files.reader import Node, Scalar, Sequence
from diagnose.knowledge_files.vocabulary import PART_KINDS, RELATIONS, TRAITS
from diagnose.model import DIMENSIONS, DISTURBED, Follows, SourceRef

SUM_TOLERANCE: Final = 1e-6
"""A row of chances may miss 1 by this much, for figures written to six places."""

_REVIEWED: Final = re.compile(r"reviewed by \S.{0,60} on \d{4}-\d\d-\d\d")


def head(fields: Fields, kind: str, stem: str) -> str:
    """Read the id under ``kind`` and hold it against the file's name."""
    found = fields.id(kind)
    if found and found != stem:
        fields.gather.add(
            found.origin,
            f"{kind} '{shorten(found)}' stands in a file named '{stem}'; file name and id agree",
        )
    return stem


def sources(fields: Fields, *, required: bool) -> tuple[SourceRef, ...]:
    """Read ``sources``: ids, or mappings of id, part and gives."""
    node = fields.node("sources")
    items: tuple[Node, ...] = ()
    if node is not None:
        items = node.items if isinstance(node, Sequence) else (node,)
    refs = [_source(item, fields.gather) for item in items]
    if required and not refs:
        fields.gather.add(
            fields.where("sources"),
            f"{fields.what} names no source; name one, or common-practice, or from-memory",
            "missing",
        )
    return tuple(refs)


def disturbs(fields: Fields, key: str = "disturbs") -> dict[Text, Text]:
    """Read what an act leaves disturbed; who opens a thing says how it is closed again."""
    stated = fields.mapping(key)
    for kind in stated:
        if kind not in DISTURBED:
            fields.gather.unknown(kind, "kind of disturbance", DISTURBED)
    if stated and not fields.has("close-out"):
        fields.gather.add(
            fields.where(key),
            f"a {fields.what} that disturbs something says in 'close-out' what restores it; add it",
        )
    return stated


def source(fields: Fields) -> SourceRef | None:
    """Read ``source``, of what one row alone rests on."""
    node = fields.node("source")
    return None if node is None else _source(node, fields.gather)


def _source(node: Node, gather: Gather) -> SourceRef:
    """Read one source: an id, or id, part and gives."""
    if isinstance(node, Scalar):
        name = scalar(node, gather, "a source")
        ref = build(SourceRef, id=name)
    else:
        one = Fields(node, gather, "a source")
        name = one.id("id")
        ref = build(SourceRef, id=name, part=one.text("part"), gives=one.text("gives"))
        one.finish()
    gather.refer("source", name)
    return ref


def status(fields: Fields) -> str:
    """Read ``status``: draft, retired, or 'reviewed by <initials> on <date>'."""
    found = fields.text("status", default="draft")
    # 'reviewed' is a person's word, so it carries the person and the day
    if found in ("draft", "retired", "") or _REVIEWED.fullmatch(found):
        return str(found) or "draft"
    fields.gather.add(
        found.origin,
        f"status '{shorten(found)}' is not known; write draft, retired, or "
        "'reviewed by <initials> on <year-month-day>'",
    )
    return "draft"


def kind_of_place(fields: Fields, key: str = "at") -> tuple[Text, ...]:
    """Read one part kind or a list of them, where the item is."""
    return part_kinds(fields, key, required=True)


def part_kinds(fields: Fields, key: str, *, required: bool = False) -> tuple[Text, ...]:
    """Read one part kind or a list of them."""
    lists = "'diagnose layout kinds' lists them."
    return fields.choices(key, PART_KINDS, required=required, what="part kind", remedy=lists)


def relation(fields: Fields) -> Text:
    """Read a relation on the layout; absent is ``itself``."""
    found = fields.text("at", default="itself")
    if found and found not in RELATIONS:
        fields.gather.unknown(found, "relation", RELATIONS)
    return found


def follows(fields: Fields, values: tuple[Text, ...]) -> Follows:
    """Read one line: where a cause gives that value of that effect, one of ``values`` comes too."""
    other = fields.text("effect", required=True)
    theirs = fields.texts("is", required=True)
    for one in theirs:
        fields.gather.refer("effect", other, one)
    gives = fields.text("gives", required=True)
    if gives and gives not in values[1:]:
        fields.gather.unknown(gives, "value other than the normal one", values[1:])
    return fields.build(
        Follows,
        effect=other,
        values=theirs,
        value=gives,
        share=fields.number("share", low=0.01, high=0.99, required=True),
        when=state(fields, "when"),
        at=relation(fields) if fields.has("at") else "",
        shows_in=state(fields, "in"),
    )


def only_if(fields: Fields) -> dict[Text, Text]:
    """Read the traits of the part or the layout without which the item cannot be."""
    out = fields.mapping("only-if")
    for name, value in out.items():
        if name in TRAITS and value not in TRAITS[name]:
            fields.gather.unknown(value, f"value of '{name}'", TRAITS[name])
    return out


def state(fields: Fields, key: str) -> dict[str, tuple[str, ...]]:
    """Read settings: dimension -> value or list of values that fit."""
    table = fields.table(key)
    if table is None:
        return {}
    out: dict[str, tuple[str, ...]] = {}
    for name, node in table.pairs():
        values = scalars(node, fields.gather, f"'{shorten(name)}'")
        # an unknown dimension would never fit, and the row would be silent for ever
        if not _known_dimension(name, values, fields.gather):
            continue
        if not values:
            fields.gather.add(node.origin, f"'{name}' names no value; name one or drop the line")
        out[str(name)] = tuple(str(value) for value in values)
    return out


def settings(fields: Fields, key: str, skip: Collection[str] = ()) -> dict[str, str]:
    """Read settings that each have exactly one value; keys in ``skip`` are read elsewhere."""
    out = {}
    for name, value in fields.mapping(key).items():
        if name not in skip and _known_dimension(name, (value,), fields.gather):
            out[str(name)] = str(value)
    return out


def _known_dimension(name: Text, values: Collection[Text], gather: Gather) -> bool:
    if name not in DIMENSIONS:
        gather.unknown(name, "dimension of a run state", DIMENSIONS)
        return False
    for value in values:
        if DIMENSIONS[name] and value and value not in DIMENSIONS[name]:
            gather.unknown(value, f"value of '{name}'", DIMENSIONS[name])
    return True


def chances(node: Node, gather: Gather, what: str) -> dict[Text, float]:
    """Read class -> chance, each above 0, together 1; {} when it is not such a row."""
    if not isinstance(node, MappingNode):
        gather.add(node.origin, f"{what} is a row '{{class: chance, ...}}'")
        return {}
    row = {
        name: chance(one, gather, f"'{shorten(name)}'")
        for name, one in Fields(node, gather, what).pairs()
    }
    total = sum(row.values())
    # never scaled to fit: a sum that is off is a slip, and which figure slipped is not known
    if abs(total - 1.0) > SUM_TOLERANCE:
        gather.add(node.origin, f"{what} sums to {total:.6g}, not 1; correct its chances", "sum")
    return row


def chance(node: Node, gather: Gather, what: str) -> float:
    """Read one number from 0 to 1."""
    return number(scalar(node, gather, what), gather, what, 0.0, 1.0)


def rows(fields: Fields, key: str) -> dict[Text, dict[Text, float]]:
    """Read value -> row of chances."""
    table = fields.table(key, required=True)
    return {} if table is None else rows_of(table)


def rows_of(table: Fields) -> dict[Text, dict[Text, float]]:
    """Read value -> row of chances from ``table`` itself."""
    return {
        name: chances(node, table.gather, f"the row of '{shorten(name)}'")
        for name, node in table.pairs()
    }


def no_veto(row: Mapping[Text, float], origin: Origin, gather: Gather, what: str) -> None:
    """Note chances of nothing: such a reading would delete causes outright."""
    for name, value in row.items():
        if value <= 0.0:
            gather.add(
                getattr(name, "origin", origin),
                f"{what} gives '{name}' no chance at all; give it a small one (.001), because an "
                "impossible reading would delete causes",
            )
