"""Effects and questions: what can be the matter at a place, and how it is observed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from diagnose.knowledge_files.fields import Fields, build, number, scalar
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Node, Sequence
from diagnose.knowledge_files.schema.common import (
    disturbs,
    follows,
    head,
    kind_of_place,
    only_if,
    part_kinds,
    settings,
    sources,
)
from diagnose.knowledge_files.schema.phrases import heard, told
from diagnose.knowledge_files.schema.showing import Shows
from diagnose.knowledge_files.vocabulary import LIMITS, PERISHABLE
from diagnose.model import DIMENSIONS, STAGES, Effect, ImpliedBy, Question, Refines
from diagnose.units import SI_UNIT

CUTS: Final = ("zero", "low", "normal", "high")
"""Where a figure can lie against a limit."""


def effect(node: Node, gather: Gather, stem: str) -> Effect:
    """Read an effect: values, the first normal, and the background rate of each other."""
    fields = Fields(node, gather, "effect")
    head(fields, "effect", stem)
    values = fields.texts("values", required=True)
    if len(set(values)) < len(values):
        gather.add(fields.where("values"), "a value stands twice; keep one of each")
    if len(values) == 1:
        gather.add(fields.where("values"), "an effect has at least two values, the first normal")
    return fields.build(
        Effect,
        id=stem,
        title=fields.text("title", required=True),
        at=kind_of_place(fields),
        values=values,
        background=_background(fields, values),
        depends_on=fields.choices("depends-on", DIMENSIONS, what="dimension of a run state"),
        reading=fields.text("reading"),
        because=fields.text("because"),
        in_use=fields.flag("in-use"),
        passing=fields.flag("passing"),
        follows=tuple(follows(one, values) for one in fields.tables("follows", "a line")),
        sources=sources(fields, required=True),
    )


def _background(fields: Fields, values: tuple[Text, ...]) -> dict[Text, float]:
    """Read the background rates; every value but the first needs one, and normal must remain."""
    table = fields.table("background", required=True)
    if table is None:
        return {}
    rates: dict[Text, float] = {}
    for name, node in table.pairs():
        if values and name == values[0]:
            fields.gather.add(
                name.origin, f"'{name}' is the normal value: it gets what the others leave"
            )
        elif name not in values:
            fields.gather.unknown(name, "value of this effect", values)
        found = scalar(node, fields.gather, f"'{shorten(name)}'")
        rates[name] = _rate(found, fields.gather)
    for value in values[1:]:
        if value not in rates:
            fields.gather.add(
                table.origin,
                f"'{value}' has no background rate; give one, .001 at the least, because a rate "
                "of nothing would delete hypotheses",
            )
    if sum(rates.values()) >= 1.0:
        fields.gather.add(
            table.origin,
            f"the background rates sum to {sum(rates.values()):.6g} and leave no room for "
            "normal; lower them",
            "sum",
        )
    return rates


def _rate(found: Text, gather: Gather) -> float:
    value = number(found, gather, "a background rate", 0.0, 1.0)
    if value <= 0.0:
        gather.add(found.origin, "a background rate is above 0; .001 is the lowest word")
    return value


def question(
    node: Node, gather: Gather, stem: str, amounts: Mapping[str, tuple[str, ...]]
) -> tuple[Question, Shows]:
    """Read a question; its table of chances is filled once its effect is known."""
    fields = Fields(node, gather, "question")
    head(fields, "question", stem)
    classes = _classes(fields)
    gate = fields.text("gate")
    # a gate that no answer opens would bar every engine run
    if gate and gate not in classes:
        gather.unknown(gate, "class of this question", classes)
    holds = fields.flag("gate-holds")
    if holds and not gate:
        gather.add(node.origin, "'gate-holds' is said of a gate; add its 'gate' or take it out")
    unit = fields.choice("unit", SI_UNIT)
    cut = fields.choice("cut", LIMITS)
    if cut and not unit:
        gather.add(cut.origin, "a question with 'cut' has typed figures; add their 'unit'")
    item = build(
        Question,
        id=stem,
        title=fields.text("title", required=True),
        ask=fields.text("ask", required=True),
        reads=fields.name("reads", "effect"),
        at=kind_of_place(fields),
        classes=classes,
        shows={},
        how=fields.text("how"),
        why=fields.text("why"),
        instruments=part_kinds(fields, "instruments"),
        unit=unit,
        cut=cut,
        cut_as=_cut_as(fields, cut, classes),
        stages=fields.choices("stages", STAGES, what="stage"),
        needs=settings(fields, "needs"),
        where_fitted=settings(fields, "where-fitted"),
        minutes=fields.number("minutes", default=1.0, low=0.0, high=10_000.0),
        next_minutes=fields.number("next-minutes", low=0.0, high=10_000.0),
        hands=fields.whole("hands", default=1, low=1),
        tools=fields.texts("tools"),
        hazards=fields.names("hazards", "hazard"),
        opening=fields.flag("opening"),
        on_paper=fields.flag("on-paper"),
        perishable=fields.choice("perishable", PERISHABLE),
        destroys=fields.choices("destroys", PERISHABLE, what="kind of perishable evidence"),
        disturbs=disturbs(fields),
        close_out=fields.text("close-out"),
        gate=gate,
        gate_holds=holds,
        pump_only=fields.flag("pump-only"),
        only_if=only_if(fields),
        also_called=fields.texts("also-called"),
        heard=heard(fields, classes, amounts),
        told=told(fields, classes),
        implied_by=_implied_by(fields, classes),
        refines=_refines(fields, classes),
        sources=sources(fields, required=False),
        origin=node.origin,
    )
    shows = Shows(fields, classes)
    fields.finish()
    return item, shows


def _implied_by(fields: Fields, classes: Mapping[Text, Text]) -> ImpliedBy | None:
    """Read which two findings answer this question between them."""
    table = fields.table("implied-by")
    if table is None:
        return None
    gives = table.mapping("gives", required=True)
    for stage, found in gives.items():
        if stage not in STAGES:
            fields.gather.unknown(stage, "stage", STAGES)
        if found not in classes:
            fields.gather.unknown(found, "class of this question", classes)
    return table.build(
        ImpliedBy,
        change=table.choice("change", ("came-on", "went-off"), required=True),
        of=table.names("of", "question", required=True),
        gives=gives,
    )


def _refines(fields: Fields, classes: Mapping[Text, Text]) -> Refines | None:
    """Read which answer to which other question this one asks more of."""
    table = fields.table("refines")
    if table is None:
        return None
    name, value = table.name("question", "question"), table.text("is", required=True)
    fields.gather.refer("question", name, value)
    zero = table.choice("zero", classes)
    return table.build(Refines, question=name, value=value, zero=zero)


def _cut_as(fields: Fields, cut: Text, classes: Mapping[Text, Text]) -> dict[str, str]:
    """Read which class lies where against the limit: zero, low, normal, high.

    Unstated, the classes named low, normal and high are meant.
    """
    if not cut:
        return {}
    if not fields.has("cut-as"):
        found = [name for name in ("low", "normal", "high") if name in classes]
        if "normal" not in found or len(found) < 2:
            fields.gather.add(
                cut.origin,
                "'cut' needs classes named normal and low or high; where they have other names, "
                "add 'cut-as: {low: <class>, normal: <class>}'",
            )
        return {name: name for name in found}
    stated = fields.mapping("cut-as")
    for where, name in stated.items():
        if where not in CUTS:
            fields.gather.unknown(where, "place against a limit", CUTS)
        if name not in classes:
            fields.gather.unknown(name, "class of this question", classes)
    return {str(where): str(name) for where, name in stated.items()}


def _classes(fields: Fields) -> dict[Text, Text]:
    """Read ``answers``: class -> label, or a list of classes that are their own labels."""
    node = fields.node("answers", required=True)
    if node is None:
        return {}
    if isinstance(node, Sequence):
        found = {name: name for name in fields.texts("answers")}
    else:
        found = fields.mapping("answers")
    if len(found) < 2:
        fields.gather.add(node.origin, "a question has at least two answers")
    return found
