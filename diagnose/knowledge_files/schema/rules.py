"""Symptoms: what the rules conclude from signs and from other symptoms."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.errors import NOWHERE
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather
from diagnose.knowledge_files.reader import Node, Sequence
from diagnose.knowledge_files.schema.common import (
    head,
    kind_of_place,
    relation,
    sources,
    state,
    status,
)
from diagnose.model import ONE_STATE, Combination, Condition, Literal, Symptom

_EMPTY = Combination("all", (), NOWHERE)
_OPS: Mapping[str, str] = {op: op for op in ("all", "any", "not", ONE_STATE)}


def symptom(node: Node, gather: Gather, stem: str) -> Symptom:
    """Read a symptom."""
    fields = Fields(node, gather, "symptom")
    head(fields, "symptom", stem)
    true_when = fields.node("true-when", required=True)
    return fields.build(
        Symptom,
        id=stem,
        title=fields.text("title", required=True),
        at=kind_of_place(fields),
        when=_EMPTY if true_when is None else condition(true_when, gather),
        because=fields.text("because", required=True),
        points_to=fields.names("points-to", "cause"),
        against=fields.names("speaks-against", "cause"),
        never_with=fields.names("never-with", "cause"),
        warns=fields.text("warns"),
        before_run=fields.text("before-run"),
        stops=fields.text("stops"),
        sources=sources(fields, required=True),
        status=status(fields),
    )


def condition(node: Node, gather: Gather) -> Condition:
    """Read a condition: all, any, not, all-in-one-state, a sign or a symptom.

    ``all-in-one-state`` holds a list of signs, and of all, any and not over signs, that must be
    known from one and the same run state: what the lamp did at idle says nothing of the gauge at
    the run-up.  Stages of one power band are one run state.

    A list where one condition is expected is read as nothing else than a mistake, because it does
    not say whether all or any is meant.
    """
    fields = Fields(node, gather, "a condition")
    if fields.broken:
        return _EMPTY
    heads = [key for key in (*_OPS, "sign", "symptom") if fields.has(key)]
    if len(heads) != 1:
        text = f"a condition has exactly one of: {', '.join(_OPS)}, sign, symptom"
        if len(heads) > 1:
            text += f"; this one has {' and '.join(heads)}"
        gather.add(node.origin, text)
        return _EMPTY
    if heads[0] == "sign":
        return _sign(fields)
    if heads[0] == "symptom":
        return _symptom(fields)
    return _combination(fields, heads[0])


def _combination(fields: Fields, op: str) -> Combination:
    node = fields.node(op)
    assert node is not None  # the caller has seen the key
    items = node.items if isinstance(node, Sequence) else (node,)
    if not isinstance(node, Sequence) and op != "not":
        fields.gather.add(node.origin, f"'{op}' holds a list of conditions")
    if not items:
        fields.gather.add(node.origin, f"'{op}' is empty; give it a condition")
    # 'not' of several could mean none of them or not all of them
    if op == "not" and len(items) > 1:
        fields.gather.add(node.origin, "'not' holds one condition; put 'all' or 'any' inside it")
    parts = tuple(condition(item, fields.gather) for item in items)
    return fields.build(Combination, op=op, parts=parts)


def _sign(fields: Fields) -> Literal:
    name = fields.text("sign", required=True)
    classes = fields.texts("is", required=True)
    fields.gather.refer("question", name, *classes)
    return fields.build(
        Literal,
        kind="sign",
        name=name,
        value=classes,
        at=relation(fields),
        every=fields.flag("every"),
        least=fields.whole("at-least", default=1, low=1),
        state=state(fields, "state"),
    )


def _symptom(fields: Fields) -> Literal:
    return fields.build(
        Literal,
        kind="symptom",
        name=fields.name("symptom", "symptom"),
        value=("true",),
        at=relation(fields),
        every=fields.flag("every"),
        least=fields.whole("at-least", default=1, low=1),
    )
