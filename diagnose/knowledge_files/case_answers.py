"""What a finding or a check of a case answers: a class, several of them, or a figure."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from diagnose.knowledge_files import cutting
from diagnose.knowledge_files.fields import Fields, quantity
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.model import Check, Layout, Question

WORDS_LISTED = "`diagnose words` lists them."
"""Where a writer of cases finds every name that may be used."""


@dataclass(frozen=True)
class Told:
    """An answer as read: ``value``, ``one_of``, ``number`` (SI) and ``typed`` as in ``Finding``."""

    value: Text
    one_of: tuple[Text, ...] = ()
    number: float | None = None
    typed: str = ""


def value_told(fields: Fields, question: Question | None, layout: Layout, place: str) -> Told:
    """Read ``value`` and ``reading`` of a finding.

    ``value`` is a class, a list of classes of which it was one, or a figure that the layout's limit
    cuts, put right by the gauge's own error card; ``reading`` keeps a figure beside a class that
    was told by other means.  An unknown question (None) was noted before; nothing is read of it.
    """
    values, reading = fields.texts("value", required=True), fields.text("reading")
    gather = fields.gather
    value = values[0] if values else Text("", fields.where("value"))
    if question is None or not values:
        return Told(Text("", value.origin))
    known = ", ".join(question.classes)
    if len(values) > 1:
        if reading:
            gather.add(reading.origin, "a figure read has one class; write that one as 'value'")
        return _one_of(values, question.classes, f"class of '{question.id}'", gather)
    if value.casefold() in cutting.NOT_CHECKED:
        return Told(Text("", value.origin))
    if value in question.classes:
        if not reading:
            return Told(value)
        found = quantity(reading, question.unit or None, gather, "'reading'")
        return Told(value, (), found.value_si if found else None, str(reading))
    if not cutting.is_figure(value):
        gather.unknown(value, f"class of '{question.id}'", question.classes)
        return Told(value)
    if not question.unit:
        gather.add(value.origin, f"'{question.id}' takes no figure; write one of: {known}")
        return Told(value)
    found = quantity(value, question.unit, gather, f"'{question.id}'")
    if found is None:
        return Told(value)
    # without a limit the figure says nothing: it is never held against one of our own
    classed = cutting.cut(
        question, layout, cutting.by_card(question, layout, place, found.value_si)
    )
    if not classed:
        gather.add(
            value.origin,
            f"layout '{layout.id}' has no limit to class '{value}' by; write the class ({known}) "
            "as 'value' and the figure as 'reading'",
        )
    return Told(Text(classed, value.origin), (), found.value_si, str(value))


def result_told(fields: Fields, check: Check | None) -> Told:
    """Read ``result`` of a check: one of its results, or a list of those it may have been."""
    values = fields.texts("result", required=True)
    value = values[0] if values else Text("", fields.where("result"))
    if check is None or not values:
        return Told(value)
    what = f"result of check '{check.id}'"
    if len(values) > 1:
        return _one_of(values, check.results, what, fields.gather)
    if value.casefold() in cutting.NOT_CHECKED:
        return Told(Text("", value.origin))
    if value not in check.results:
        fields.gather.unknown(value, what, check.results)
    return Told(value)


def _one_of(values: tuple[Text, ...], known: Collection[str], what: str, gather: Gather) -> Told:
    for k, one in enumerate(values):
        if one not in known:
            gather.unknown(one, what, known)
        elif one in values[:k]:
            gather.add(one.origin, f"'{shorten(one)}' stands twice in the list; name it once")
    if set(values) >= set(known):
        text = f"the list is every {what}, which says nothing; write 'not checked'"
        gather.add(values[0].origin, text)
    # in the question's own order, so that one set is written one way
    ordered = sorted((v for v in values if v in known), key=list(known).index)
    return Told(ordered[0], tuple(ordered)) if ordered else Told(values[0])
