"""Words and sources: the scales that turn words into numbers, and what the knowledge rests on."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.knowledge_files.fields import Fields, build
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Node
from diagnose.knowledge_files.schema.common import SUM_TOLERANCE, chance
from diagnose.knowledge_files.vocabulary import PART_KINDS, SIDES, SOURCE_KINDS
from diagnose.model import DIMENSIONS, KNOWN_BY, Source, TradeWord, Words

OUTSIDE = ("not-fuel", "not-in-the-knowledge", "no-fault")
"""What stands in every ranking beside our own causes."""

NO_WORDS = Words({}, {}, {}, 1.0, 1.0, {}, {})
"""Stands in while the other files are checked when words.yaml cannot be read."""


def words(node: Node, gather: Gather) -> Words:
    """Read words.yaml."""
    fields = Fields(node, gather, "words.yaml")
    trust = _scale(fields, "trust", KNOWN_BY)
    shares = _scale(fields, "shares", OUTSIDE)
    if sum(shares.values()) >= 1.0:
        gather.add(fields.where("shares"), "the shares leave nothing for our own causes")
    item = build(
        Words,
        how_often=_scale(fields, "how-often"),
        how_common=_scale(fields, "how-common"),
        trust=trust,
        work_lift=fields.number("work-lift", low=1.0, high=1e6, required=True),
        fuelling_lift=fields.number("fuelling-lift", low=1.0, high=1e6, required=True),
        shares=shares,
        unstated=_unstated(fields),
        common_weight=fields.number("common-weight", low=0.0, high=1.0, required=True),
        trade=tuple(_trade(one) for one in fields.tables("trade", "a trade word")),
        forms=fields.mapping("forms"),
        elsewhere=fields.texts("elsewhere"),
        ordinary=tuple(fields.text("ordinary").split()),
        works=_phrases(fields, "works"),
        amounts=_phrases(fields, "amounts"),
    )
    fields.finish()
    return item


def _phrases(fields: Fields, key: str) -> dict[Text, tuple[Text, ...]]:
    """Read name -> the words that stand for it."""
    table = fields.table(key)
    if table is None:
        return {}
    return {name: table.texts(name, required=True) for name, _ in table.pairs()}


def _scale(fields: Fields, key: str, needed: tuple[str, ...] = ()) -> dict[Text, float]:
    """Read word -> number above 0 and up to 1; with ``needed`` exactly those words."""
    table = fields.table(key, required=True)
    if table is None:
        return {}
    out: dict[Text, float] = {}
    for name, node in table.pairs():
        if needed and name not in needed:
            fields.gather.unknown(name, f"word of '{key}'", needed)
        out[name] = chance(node, fields.gather, f"'{shorten(name)}'")
        # a word worth nothing would let one report delete a cause
        if out[name] <= 0.0:
            fields.gather.add(name.origin, f"'{shorten(name)}' must be above 0: nothing is vetoed")
    for missing in needed:
        if missing not in out:
            fields.gather.add(table.origin, f"'{key}' has no '{missing}'; add it")
    if not needed and not out:
        fields.gather.add(table.origin, f"'{key}' is empty; give its words")
    return out


def _unstated(fields: Fields) -> Mapping[Text, Mapping[Text, float]]:
    """Read dimension -> value -> weight, for settings that a report leaves out."""
    table = fields.table("unstated", required=True)
    if table is None:
        return {}
    out: dict[Text, Mapping[Text, float]] = {}
    needed = {name: values for name, values in DIMENSIONS.items() if values}
    for name, _ in table.pairs():
        if name not in needed:
            fields.gather.unknown(name, "dimension with unstated weights", needed)
            continue
        out[name] = _scale(table, name, needed[name])
        total = sum(out[name].values())
        if abs(total - 1.0) > SUM_TOLERANCE:
            fields.gather.add(
                name.origin, f"the weights of '{name}' sum to {total:.6g}, not 1", "sum"
            )
    for missing in needed:
        if missing not in out:
            fields.gather.add(table.origin, f"'unstated' has no '{missing}'; add it")
    return out


def _trade(fields: Fields) -> TradeWord:
    """Read one word of the trade."""
    gather = fields.gather
    finding, values = fields.text("finding"), fields.texts("value")
    if values and not finding:
        gather.add(values[0].origin, "a trade word with a value names the finding it is a value of")
    gather.refer("question", finding, *values)
    return fields.build(
        TradeWord,
        word=fields.text("word", required=True),
        means=fields.text("means", required=True),
        finding=finding,
        value=values[0] if values else "",
        one_of=values if len(values) > 1 else (),
        place=fields.choice("place", (*PART_KINDS, *SIDES)),
        asks=fields.names("asks", "question"),
        trap=fields.text("trap"),
    )


def sources(node: Node, gather: Gather) -> dict[str, Source]:
    """Read sources.yaml: a list of sources with distinct ids."""
    fields = Fields(node, gather, "sources.yaml")
    out: dict[str, Source] = {}
    for one in fields.tables("sources", "a source", required=True):
        name = one.id("source")
        if name in out:
            gather.add(name.origin, f"source '{name}' stands twice; keep one")
        out[str(name)] = one.build(
            Source,
            id=name,
            title=one.text("title", required=True),
            kind=one.choice("kind", SOURCE_KINDS, required=True),
            cite=one.text("cite"),
        )
    fields.finish()
    return out
