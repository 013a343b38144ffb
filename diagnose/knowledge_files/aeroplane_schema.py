"""The pieces of an aeroplane's file: limits, modifications, parts, cards, defects, uplifts."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from diagnose.knowledge_files.case_places import part_at
from diagnose.knowledge_files.fields import Fields, build
from diagnose.knowledge_files.gather import Text
from diagnose.knowledge_files.layout_schema import limit
from diagnose.knowledge_files.vocabulary import PART_KINDS
from diagnose.model import (
    KNOWN_BY,
    TANKS,
    ApprovedData,
    Card,
    CauseAt,
    Deferred,
    Done,
    Fitted,
    Layout,
    Library,
    Limit,
    Modification,
    OwnLimit,
    Quirk,
    Uplift,
)

CARD_OF: Final[Mapping[str, str]] = MappingProxyType(
    {
        "pressure-gauge": "pressure",
        "contents-gauge": "volume",
        "dip-stick": "volume",
        "flow-meter": "flow",
    }
)
"""Kinds of part that may have an error card, and what they show."""


def approved(fields: Fields) -> ApprovedData:
    """Read one approved document at the revision held now."""
    return fields.build(
        ApprovedData,
        document=fields.text("document", required=True),
        revision=fields.text("revision", required=True),
        on=fields.date("date"),
    )


def own_limit(name: Text, fields: Fields) -> tuple[Limit, OwnLimit]:
    """Read one limit with the document, revision and date it was typed from."""
    own = build(
        OwnLimit,
        name=name,
        document=fields.text("document", required=True),
        revision=fields.text("revision", required=True),
        on=fields.date("date"),
        page=fields.text("page"),
        origin=fields.origin,
    )
    where = f", {own.page}" if own.page else ""
    reference = f"{own.document}, revision {own.revision}, {own.on}{where}"
    return limit(name, fields, reference), own


def modification(fields: Fields, layout: Layout) -> Modification:
    """Read one modification; what it sets must be a part of the layout."""
    sets = []
    for one in fields.tables("sets", "a trait that is set"):
        part = part_at(one, layout, PART_KINDS, "the modification")
        trait, value = one.id("trait"), one.text("value", required=True)
        sets.append((part, str(trait), str(value)))
        one.finish()
    return fields.build(
        Modification,
        id=fields.text("modification", required=True),
        title=fields.text("title"),
        embodied=fields.flag("embodied", required=True),
        on=fields.date("on", required=False),
        reference=fields.text("reference"),
        sets=tuple(sets),
    )


def fitted(fields: Fields, layout: Layout) -> Fitted:
    """Read one fitted part with its papers."""
    return fields.build(
        Fitted,
        part=part_at(fields, layout, PART_KINDS, "a fitted part"),
        number=fields.text("number"),
        serial=fields.text("serial"),
        on=fields.date("on", required=False),
        source=fields.text("from"),
        hours=fields.figure("hours", "time"),
        overhaul_at=fields.figure("overhaul-at", "time"),
        overhaul_due=fields.date("overhaul-due", required=False),
        shelf_until=fields.date("shelf-until", required=False),
        reference=fields.text("reference"),
    )


def work(fields: Fields, layout: Layout) -> Done:
    """Read work done on a day."""
    return fields.build(
        Done,
        what=fields.text("work", required=True),
        at=part_at(fields, layout, PART_KINDS, "work"),
        on=fields.date("on"),
        reference=fields.text("reference"),
    )


def card(fields: Fields, layout: Layout) -> Card:
    """Read an error card: what the gauge or stick shows against what is true."""
    gather = fields.gather
    part = part_at(fields, layout, tuple(CARD_OF), "an error card")
    dimension = CARD_OF.get(layout.parts[part].kind, "") if part in layout.parts else ""
    points: list[tuple[float, float, str]] = []
    for one in fields.tables("points", "a point of the card", required=True):
        shows = one.quantity("shows", dimension or None, required=True)
        true = one.quantity("true", dimension or None, required=True)
        one.finish()
        if shows and true:
            typed = f"shows {shows.typed}, true {true.typed}"
            points.append((shows.value_si, true.value_si, typed))
    points.sort()
    for before, after in pairwise(points):
        if after[0] == before[0] or after[1] < before[1]:
            # a card that falls or has two truths for one reading cannot be read backwards
            text = f"the card's points do not rise together: {before[2]}; {after[2]}"
            gather.add(fields.where("points"), text)
    error = fields.quantity("error", dimension or None)
    if error and error.value_si < 0:
        gather.add(fields.where("error"), f"'error' is {error.typed}; it cannot be negative")
    return fields.build(
        Card,
        part=part,
        dimension=dimension,
        points=tuple((a, b) for a, b, _ in points) or ((0.0, 0.0),),
        shown=tuple(t for *_, t in points),
        on=fields.date("on", required=False),
        by=fields.text("by"),
        due=fields.date("due", required=False),
        error=error.value_si if error else None,
        reference=fields.text("reference"),
    )


def quirk(fields: Fields, layout: Layout, library: Library) -> Quirk:
    """Read one known habit."""
    return fields.build(
        Quirk,
        text=fields.text("quirk", required=True),
        at=part_at(fields, layout, PART_KINDS, "a quirk"),
        question=fields.choice("question", library.questions),
    )


def deferred(fields: Fields, layout: Layout, library: Library) -> Deferred:
    """Read one open deferred defect; date, limit and reference must be there."""
    name = fields.choice("cause", library.causes)
    cause = library.causes.get(str(name))
    kinds: Collection[str] = cause.part_kinds if cause else PART_KINDS
    place = part_at(fields, layout, kinds, f"'{name}'" if name else "a deferred defect")
    return fields.build(
        Deferred,
        id=fields.text("defect", required=True),
        what=fields.text("what", required=True),
        cause=CauseAt(str(name), place),
        since=fields.date("since"),
        until=fields.date("until", required=False),
        limit=fields.text("limit", required=True),
        reference=fields.text("reference", required=True),
        known_by=fields.choice("known-by", KNOWN_BY, default="seen"),
    )


def uplift(fields: Fields, layout: Layout) -> Uplift:
    """Read one uplift: when, from which source and batch, how much, into which tanks."""
    tanks = [p.id for p in layout.parts.values() if p.kind in TANKS]
    return fields.build(
        Uplift,
        on=fields.date("on"),
        source=fields.text("source", required=True),
        batch=fields.text("batch"),
        amount=fields.figure("amount", "volume"),
        tanks=fields.choices("tanks", tanks, what="tank of this layout"),
    )
