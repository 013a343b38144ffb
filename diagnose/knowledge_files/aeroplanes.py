"""An aeroplane's file to a frozen ``Aeroplane`` over its layout, or every problem at once.

And the empty file that a new one starts from, to be filled in from its papers.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from diagnose.errors import CaseError
from diagnose.knowledge_files import aeroplane_schema as schema
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Node
from diagnose.knowledge_files.whole_file import read_file, tree
from diagnose.model import Aeroplane, Card, Deferred, Layout, Library, Limit, OwnLimit
from diagnose.places import Places

REGISTRATION: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,19}")
"""What can be a registration, and so the name of a file."""


def read_aeroplane_bytes(path: Path) -> bytes:
    """Return the bytes of an aeroplane's file.

    Raises:
        CaseError: If it cannot be read.
    """
    gather = Gather()
    data = read_file(path, path.name, gather)
    if data is None:
        raise CaseError(gather.problems)
    return data


def layout_of_aeroplane(data: bytes, file: str) -> Text:
    """Return the id (or file) of the layout an aeroplane's file names, with where it stands.

    Raises:
        CaseError: If the file cannot be read or names no layout.
    """
    gather = Gather()
    node = tree(data, file, gather)
    if node is None:
        raise CaseError(gather.problems)
    name = Fields(node, gather, "aeroplane").text("layout", required=True)
    gather.check(CaseError)
    return name


def lay_over(data: bytes, file: str, library: Library, layout: Layout) -> Layout:
    """Return ``layout`` with one aeroplane's file laid over it.

    A limit the file gives replaces the layout's.  The invented figures of an invented layout are
    never an actual aeroplane's: unless the file calls itself invented too, limits it does not
    give are gone.  Traits set by an embodied modification replace the layout's.

    Raises:
        CaseError: With every problem found, each with file, line and column.
    """
    gather = Gather()
    node = tree(data, file, gather)
    if node is None:
        raise CaseError(gather.problems)
    own, limits = _aeroplane(node, data, library, layout, gather)
    _can_be(own, library, layout, gather)
    gather.check(CaseError)
    kept = {} if layout.invented and not own.invented else dict(layout.limits)
    parts = dict(layout.parts)
    for mod in own.modifications:
        for part, trait, value in mod.sets if mod.embodied else ():
            traits = MappingProxyType({**parts[part].traits, trait: value})
            parts[part] = replace(parts[part], traits=traits)
    both = hashlib.sha256(f"{layout.edition}\0{own.edition}".encode()).hexdigest()[:16]
    return replace(
        layout,
        limits=MappingProxyType({**kept, **limits}),
        parts=MappingProxyType(parts),
        edition=both,
        aeroplane=replace(own, laid_on=layout.edition),
    )


def _can_be(own: Aeroplane, library: Library, layout: Layout, gather: Gather) -> None:
    """Note deferred defects whose cause cannot be at their part on this layout."""
    if not own.deferred or gather.problems:
        return
    places = Places(layout, library.words.unstated)
    for d in own.deferred:
        if d.cause.cause and not places.allows(library.causes[d.cause.cause], d.cause.at):
            text = (
                f"'{d.cause.cause}' cannot be at '{d.cause.at}' on layout '{layout.id}'; name "
                "another cause, or leave 'cause' out and say it in 'what'"
            )
            gather.add(d.origin, text)


def _aeroplane(
    node: Node, data: bytes, library: Library, layout: Layout, gather: Gather
) -> tuple[Aeroplane, dict[str, Limit]]:
    """Read the whole file: the aeroplane, and its own limits."""
    fields = Fields(node, gather, "aeroplane")
    name = fields.text("aeroplane", required=True)
    if name and not REGISTRATION.fullmatch(name):
        text = (
            f"'{shorten(name)}' cannot be a registration here; use up to 20 letters, figures "
            "and hyphens"
        )
        gather.add(name.origin, text)
    limits, own_limits = _limits(fields)
    approved = fields.tables("approved-data", "approved data")
    changes = fields.tables("modifications", "a modification")
    item = fields.build(
        Aeroplane,
        registration=name,
        layout=fields.text("layout", required=True),
        edition=hashlib.sha256(data).hexdigest()[:16],
        invented=fields.flag("invented", required=True),
        layout_edition=fields.text("layout-edition"),
        serial=fields.text("serial"),
        hours=fields.figure("hours", "time"),
        notes=fields.text("notes"),
        last_good_run=fields.date("last-good-run", required=False),
        approved=tuple(schema.approved(one) for one in approved),
        limits=own_limits,
        modifications=tuple(schema.modification(one, layout) for one in changes),
        fitted=tuple(
            schema.fitted(one, layout) for one in fields.tables("fitted", "a fitted part")
        ),
        work=tuple(schema.work(one, layout) for one in fields.tables("work", "work")),
        cards=_cards(fields, layout),
        quirks=tuple(
            schema.quirk(one, layout, library) for one in fields.tables("quirks", "a quirk")
        ),
        deferred=_deferred(fields, layout, library),
        uplifts=tuple(schema.uplift(one, layout) for one in fields.tables("uplifts", "an uplift")),
        particulars=fields.mapping("particulars"),
    )
    return item, limits


def _limits(fields: Fields) -> tuple[dict[str, Limit], dict[str, OwnLimit]]:
    table = fields.table("limits")
    limits: dict[str, Limit] = {}
    own: dict[str, OwnLimit] = {}
    for name, node in table.pairs() if table else ():
        one = Fields(node, fields.gather, f"the limit '{shorten(name)}'")
        limits[str(name)], own[str(name)] = schema.own_limit(name, one)
    return limits, own


def _cards(fields: Fields, layout: Layout) -> dict[str, Card]:
    out: dict[str, Card] = {}
    for one in fields.tables("cards", "an error card"):
        read = schema.card(one, layout)
        if read.part in out and read.part:
            fields.gather.add(read.origin, f"'{read.part}' has two cards; keep the valid one")
        out[read.part] = read
    return out


def _deferred(fields: Fields, layout: Layout, library: Library) -> tuple[Deferred, ...]:
    out: dict[str, Deferred] = {}
    for one in fields.tables("deferred", "a deferred defect"):
        read = schema.deferred(one, layout, library)
        if read.id in out:
            fields.gather.add(read.origin, f"deferred defect '{shorten(read.id)}' stands twice")
        out[read.id] = read
    return tuple(out.values())


def is_registration(text: str) -> bool:
    """Say whether ``text`` can be a registration, and so the name of a file."""
    return REGISTRATION.fullmatch(text) is not None


_SKELETON = """\
# The file of one aeroplane over layout '{layout}'. Every figure is typed from its own papers; what
# is not known is left out. Lines that begin with '#' are examples: take the '#' away and fill in.
aeroplane: {registration}
layout: {layout}
layout-edition: {edition}    # of the layout this was written on; a change is warned of
invented: no                 # yes only for demonstrations
# serial: "..."
# hours: 1234 h
# last-good-run: 2026-01-31  # work from this day on lifts the odds of what such work can leave
# approved-data:
#   - {{document: maintenance manual, revision: "7", date: 2025-03-01}}
# limits:                    # replaces the layout's; one not given has no approved figure
#   fuel-pressure: {{low: 14 psi, high: 18 psi, document: maintenance manual, revision: "7",
#     date: 2025-03-01, page: 28-12}}
# modifications:
#   - {{modification: "M12", title: "...", embodied: yes, on: 2020-05-01, reference: "..."}}
# fitted:
#   - {{at: {part}, number: "...", serial: "...", on: 2026-01-20, from: stores, hours: 0 h,
#      overhaul-at: 500 h, overhaul-due: 2031-01-20, shelf-until: 2027-01-20, reference: "..."}}
# work:
#   - {{work: "...", at: {part}, on: 2026-01-20, reference: log page 12}}
# cards:                     # what a gauge or stick shows, and what is true then
#   - {{at: {gauge}, on: 2026-01-20, due: 2027-01-20, reference: "card 3",
#      points: [{{shows: {one}, true: {two}}}]}}
# quirks:
#   - {{quirk: "...", at: {part}}}
# deferred:                  # open defects as the papers list them; the tool decides nothing
#   - {{defect: "D1", what: "...", cause: CAUSE-ID, at: PART-ID, since: 2026-01-20,
#      until: 2026-02-20, limit: "...", reference: "...", known-by: seen}}
# uplifts:
#   - {{on: 2026-01-20, source: "bowser 1", batch: "...", amount: 200 l, tanks: [{tank}]}}
"""


def skeleton(registration: str, layout: Layout) -> str:
    """Return the empty file of a new aeroplane, its examples naming parts of the layout."""
    kinds = {p.kind: p.id for p in reversed(list(layout.parts.values()))}
    gauge = kinds.get("pressure-gauge")
    return _SKELETON.format(
        registration=registration,
        layout=layout.id,
        edition=layout.edition,
        part=kinds.get("strainer") or kinds["engine"],
        gauge=gauge or kinds.get("dip-stick", "PART-ID"),
        one="10 psi" if gauge else "10 l",
        two="10.4 psi" if gauge else "10.2 l",
        tank=kinds["tank"],
    )
