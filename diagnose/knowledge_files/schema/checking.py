"""Checks and hazards: what is done to settle a cause, and the cautions before it."""

from __future__ import annotations

from collections.abc import Collection

from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather, Text
from diagnose.knowledge_files.reader import Node
from diagnose.knowledge_files.schema.common import (
    disturbs,
    follows,
    head,
    kind_of_place,
    only_if,
    sources,
    status,
)
from diagnose.knowledge_files.vocabulary import AEROPLANE_STATE, PERISHABLE
from diagnose.model import Check, Follows, Hazard


def check(node: Node, gather: Gather, stem: str) -> Check:
    """Read a check; power, engine, line pressure and ventilation must all be stated."""
    fields = Fields(node, gather, "check")
    head(fields, "check", stem)
    results = fields.mapping("results", required=True)
    if fields.has("results") and len(results) < 2:
        gather.add(fields.where("results"), "a check has at least two results, the first 'nothing'")
    access = fields.text("access")
    return fields.build(
        Check,
        id=stem,
        title=fields.text("title", required=True),
        at=kind_of_place(fields),
        results=results,
        narrows=fields.choices("narrows", tuple(results)[1:], what="result that finds something"),
        aim=fields.text("aim", required=True),
        minutes=fields.number("minutes", low=0.0, high=10_000.0, required=True),
        aeroplane=_aeroplane(fields),
        # a false find of nothing would make a single look final
        false_find=fields.number("false-find", default=0.05, low=0.001, high=0.5),
        hands=fields.whole("hands", default=1, low=1),
        tools=fields.texts("tools"),
        access=access if access != "none" else Text("", access.origin),
        access_minutes=fields.number("access-minutes", low=0.0, high=10_000.0),
        next_minutes=fields.number("next-minutes", low=0.0, high=10_000.0),
        hazards=fields.names("hazards", "hazard"),
        steps=fields.texts("steps"),
        good=fields.text("good"),
        bad=fields.text("bad"),
        close_out=fields.text("close-out"),
        disturbs=disturbs(fields),
        may_disturb=disturbs(fields, "may-disturb"),
        same_as=_same_as(fields, results),
        same_classes=_same_classes(fields, results),
        follows=tuple(_follows(x, tuple(results)) for x in fields.tables("follows", "a line")),
        only_if=only_if(fields),
        perishable=fields.choice("perishable", PERISHABLE),
        destroys=fields.choices("destroys", PERISHABLE, what="kind of perishable evidence"),
        sources=sources(fields, required=True),
        status=status(fields),
    )


def _same_as(fields: Fields, results: Collection[Text]) -> Text | str:
    """Read the question that is the same act; its classes must be there, or nothing is the same."""
    if not fields.has("same-as"):
        return ""
    name = fields.name("same-as", "question")
    classes = fields.mapping("same-classes") or results
    fields.gather.refer("question", name, *classes)
    return name


def _same_classes(fields: Fields, results: Collection[Text]) -> dict[Text, Text]:
    """Read which result each class of the same question is, where they are not called alike."""
    said = fields.mapping("same-classes")
    for result in said.values():
        if result not in results:
            fields.gather.unknown(result, "result of this check", results)
    return dict(said)


def _follows(fields: Fields, results: tuple[Text, ...]) -> Follows:
    """Read one line; a check is made in the state it states and in no other."""
    if fields.has("in"):
        text = "'in' is of what an effect brings with it; a check has one state, drop it"
        fields.gather.add(fields.where("in"), text)
    return follows(fields, results)


def _aeroplane(fields: Fields) -> dict[Text, Text]:
    """Read the state the aeroplane must be in; a condition left open could hurt someone."""
    table = fields.table("aeroplane", required=True)
    if table is None:
        return {}
    stated = fields.mapping("aeroplane")
    for key in AEROPLANE_STATE:
        if key not in stated:
            every = f"{', '.join(AEROPLANE_STATE[:-1])} and {AEROPLANE_STATE[-1]}"
            text = f"'aeroplane' does not state '{key}'; every check states {every}"
            fields.gather.add(table.origin, text, "state")
    for key in stated:
        if key not in AEROPLANE_STATE:
            what = "condition of the aeroplane"
            fields.gather.unknown(key, what, AEROPLANE_STATE)
    return stated


def hazard(node: Node, gather: Gather, stem: str) -> Hazard:
    """Read a hazard: warning where people, caution where things can be hurt."""
    fields = Fields(node, gather, "hazard")
    head(fields, "hazard", stem)
    return fields.build(
        Hazard,
        id=stem,
        title=fields.text("title", required=True),
        level=fields.choice("level", ("warning", "caution"), required=True),
        text=fields.text("text", required=True),
        gates=fields.flag("gates"),
        sources=sources(fields, required=True),
    )
