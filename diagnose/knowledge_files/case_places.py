"""Which part of the layout a case speaks of."""

from __future__ import annotations

from collections.abc import Collection

from diagnose.grammar import a
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import either, shorten
from diagnose.knowledge_files.reader import Sequence
from diagnose.model import AEROPLANE, Layout

AIRFRAME = "airframe"
"""Another word for the whole aeroplane, as log entries use it."""


def part_at(fields: Fields, layout: Layout, kinds: Collection[str], what: str) -> str:
    """Return the id of the part that ``at`` names, which must be of one of ``kinds``.

    A part id is taken as it is.  A kind, or nothing, will do where the layout has exactly one
    such part; where it has several nothing is guessed.
    """
    found = fields.text("at")
    fitting = [part.id for part in layout.parts.values() if part.kind in kinds]
    if found == AIRFRAME and AEROPLANE in fitting:
        return AEROPLANE
    if found in fitting:
        return str(found)
    one_kind = [name for name in fitting if not found or layout.parts[name].kind == found]
    # only where nothing else could be meant is a kind, or silence, as good as a name
    if len(one_kind) == 1 and (not found or found in kinds):
        return one_kind[0]
    if found in layout.parts:
        kind = layout.parts[found].kind
        text = f"'{found}' is {a(kind)}, but {what} belongs to {a(either(kinds))}{_list(fitting)}"
    elif found and not one_kind:
        what = f"part of layout '{layout.id}'"
        remedy = f"`diagnose layout show {layout.id}` lists them."
        fields.gather.unknown(found, what, fitting, remedy)
        return ""
    elif not fitting:
        text = f"layout '{layout.id}' has no {either(kinds)} that {what} could belong to"
    else:
        text = f"say at which part {what} is meant{_list(one_kind or fitting)}"
    fields.gather.add(found.origin, text)
    return ""


def parts_at(
    fields: Fields, layout: Layout, kinds: Collection[str], what: str
) -> tuple[str, tuple[str, ...]]:
    """Return the part ``at`` names, and the parts at one of which it was, where it lists several.

    Of a list the first is the aeroplane: what is at one of them is at none of them for sure.
    """
    node = fields.node("at")
    if not isinstance(node, Sequence):
        return part_at(fields, layout, kinds, what), ()
    fitting = [part.id for part in layout.parts.values() if part.kind in kinds]
    listed = fields.texts("at")
    for k, one in enumerate(listed):
        if one not in fitting or one == AEROPLANE:
            what_it_is = f"part of layout '{layout.id}' that {what} can be at"
            fields.gather.unknown(one, what_it_is, fitting)
        elif one in listed[:k]:
            fields.gather.add(
                one.origin, f"'{shorten(one)}' stands twice in the list; name it once"
            )
    if len(listed) < 2:
        text = (
            "a list under 'at' is of parts at one of which it was; write one part without brackets"
        )
        fields.gather.add(node.origin, text)
    return AEROPLANE, tuple(sorted((str(p) for p in listed if p in fitting), key=fitting.index))


def _list(names: Collection[str]) -> str:
    if not names:
        return ""
    shown = ", ".join(list(names)[:12])
    return f": {shown}" + (" ..." if len(names) > 12 else "")
