"""An aeroplane's file to a frozen ``Aeroplane`` over its layout, or every problem at once."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final, TypeVar

from diagnose.errors import CaseError
from diagnose.knowledge_files import aeroplane_schema as schema
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather, Text, shorten
from diagnose.knowledge_files.reader import Node
from diagnose.knowledge_files.whole_file import OnLayout, read_file, tree
from diagnose.model import Aeroplane, Layout, Library, Limit, OwnLimit
from diagnose.places import Places

REGISTRATION: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,19}")
"""What can be a registration, and so the name of a file."""

T = TypeVar("T")


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
    if gather.problems:
        raise CaseError(gather.problems)
    return name


def lay_over(data: bytes, file: str, library: Library, layout: Layout) -> Layout:
    """Return ``layout`` with one aeroplane's file laid over it.

    A limit the file gives replaces the layout's.  The invented figures of an invented layout are
    never an actual aeroplane's: unless the file calls itself invented too, limits it does not
    give are gone.  Traits set by an embodied modification replace the layout's.

    Args:
        data: The file's bytes, UTF-8.
        file: Its name for messages.
        library: The knowledge its causes and questions are named in.
        layout: The layout it names.

    Raises:
        CaseError: With every problem found, each with file, line and column.
    """
    gather = Gather()
    node = tree(data, file, gather)
    if node is None:
        raise CaseError(gather.problems)
    own, limits = _Reader(library, layout, gather).aeroplane(node, data)
    _can_be(own, library, layout, gather)
    if gather.problems:
        raise CaseError(gather.problems)
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


class _Reader(OnLayout):
    """Reads one aeroplane's file."""

    def aeroplane(self, node: Node, data: bytes) -> tuple[Aeroplane, dict[str, Limit]]:
        """Read the whole file: the aeroplane, and its own limits."""
        fields = Fields(node, self.gather, "aeroplane")
        name = fields.text("aeroplane", required=True)
        if name and not REGISTRATION.fullmatch(name):
            text = (
                f"'{shorten(name)}' cannot be a registration here; use up to 20 letters, figures "
                "and hyphens"
            )
            self.gather.add(name.origin, text)
        limits, own_limits = self._limits(fields.table("limits"))
        layout, library = self.layout, self.library
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
            last_good_run=schema.optional_date(fields, "last-good-run"),
            approved=self._each(fields, "approved-data", "approved data", schema.approved),
            limits=own_limits,
            modifications=self._each(
                fields, "modifications", "a modification", lambda f: schema.modification(f, layout)
            ),
            fitted=self._each(
                fields, "fitted", "a fitted part", lambda f: schema.fitted(f, layout)
            ),
            work=self._each(fields, "work", "work", lambda f: schema.work(f, layout)),
            cards=self._cards(fields),
            quirks=self._each(
                fields, "quirks", "a quirk", lambda f: schema.quirk(f, layout, library)
            ),
            deferred=self._deferred(fields),
            uplifts=self._each(fields, "uplifts", "an uplift", lambda f: schema.uplift(f, layout)),
            particulars=fields.mapping("particulars"),
        )
        return item, limits

    def _each(
        self, fields: Fields, key: str, what: str, read: Callable[[Fields], T]
    ) -> tuple[T, ...]:
        return tuple(read(one) for one in fields.tables(key, what))

    def _limits(self, table: Fields | None) -> tuple[dict[str, Limit], dict[str, OwnLimit]]:
        limits: dict[str, Limit] = {}
        own: dict[str, OwnLimit] = {}
        for name, node in table.pairs() if table else ():
            one = Fields(node, self.gather, f"the limit '{shorten(name)}'")
            limit, source = schema.own_limit(name, one)
            if limit is not None:
                limits[str(name)], own[str(name)] = limit, source
        return limits, own

    def _cards(self, fields: Fields) -> Mapping[str, object]:
        out: dict[str, object] = {}
        for one in fields.tables("cards", "an error card"):
            read = schema.card(one, self.layout)
            if read.part in out and read.part:
                self.gather.add(read.origin, f"'{read.part}' has two cards; keep the valid one")
            out[read.part] = read
        return out

    def _deferred(self, fields: Fields) -> tuple[object, ...]:
        library, layout = self.library, self.layout
        read = self._each(
            fields, "deferred", "a deferred defect", lambda f: schema.deferred(f, layout, library)
        )
        seen: set[str] = set()
        for one in read:
            if one.id in seen:
                self.gather.add(one.origin, f"deferred defect '{shorten(one.id)}' stands twice")
            seen.add(one.id)
        return read


def is_registration(text: str) -> bool:
    """Say whether ``text`` can be a registration, and so the name of a file."""
    return REGISTRATION.fullmatch(text) is not None
