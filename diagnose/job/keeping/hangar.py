"""Where the files of aeroplanes live: one YAML file a registration, in the user's data folder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from diagnose.errors import UsageError
from diagnose.job.keeping.log import Event
from diagnose.job.keeping.registry import Registry
from diagnose.knowledge_files import (
    is_registration,
    layout_of_aeroplane,
    read_aeroplane_bytes,
)

KEPT = "aeroplane-file"
"""Kind of event that keeps an aeroplane's file in the log, as it was when it was taken."""


@dataclass(frozen=True)
class Kept:
    """An aeroplane's file as bytes: from disk, or as a job keeps it.

    layout: text of the layout file it is laid over, '' where that is one of the knowledge.
    """

    name: str
    data: bytes
    layout: str = ""

    @property
    def edition(self) -> str:
        """Return the hash of the file, as its aeroplane carries it."""
        return sha256(self.data).hexdigest()[:16]


class Hangar:
    """The aeroplanes of one user."""

    def __init__(self, home: Path | None = None) -> None:
        """Use the folder ``aeroplanes`` in ``home``, or in the registry's own home."""
        self.folder = (home or Registry().home) / "aeroplanes"

    def files(self) -> Mapping[str, Path]:
        """Return registration -> file, in order of name."""
        return {p.stem: p for p in sorted(self.folder.glob("[!.]*.yaml"))}

    def path(self, registration: str) -> Path:
        """Return where the file of ``registration`` is, or would be.

        Raises:
            UsageError: If it cannot be the name of a file.
        """
        if not is_registration(registration):
            raise UsageError(
                f"'{registration}' cannot be a registration here; use up to 20 letters, figures "
                "and hyphens."
            )
        return self.folder / f"{registration}.yaml"

    def find(self, name: str) -> Kept | None:
        """Return the file of a registration, or the file ``name`` names; None when there is none.

        Raises:
            UsageError: If ``name`` is a file that is not there.
            CaseError: If the file cannot be read.
        """
        if name.endswith((".yaml", ".yml")):
            path = Path(name)
            if not path.is_file():
                raise UsageError(f"there is no file '{name}'; name an aeroplane or its file.")
        else:
            here = self.files().get(name)
            if here is None:
                return None
            path = here
        return kept_from(path)


def kept_from(path: Path) -> Kept:
    """Return the aeroplane's file at ``path``, with the layout of its own that lies beside it.

    Beside: in the same folder, or in a folder ``layouts`` next to that.

    Raises:
        CaseError: If the file cannot be read or names no layout.
    """
    data = read_aeroplane_bytes(path)
    named = str(layout_of_aeroplane(data, path.name)).removesuffix(".yaml")
    for folder in (path.parent, path.parent.parent / "layouts"):
        own = folder / f"{named}.yaml"
        if own.is_file():
            return Kept(path.name, data, own.read_text(encoding="utf-8"))
    return Kept(path.name, data)


def last_kept(events: Sequence[Event]) -> Event | None:
    """Return the event that keeps the file a job goes by, the last one taken."""
    return next((e for e in reversed(events) if e["event"] == KEPT), None)


def kept_in(events: Sequence[Event]) -> Kept | None:
    """Return the aeroplane's file a job keeps; None when it has none."""
    last = last_kept(events)
    if last is None:
        return None
    layout = str(events[0].get("layout_text", ""))
    return Kept(str(last["file"]), str(last["text"]).encode(), layout)


def event_of(kept: Kept, registration: str) -> dict[str, str]:
    """Return what the event that keeps ``kept`` carries."""
    return {
        "registration": registration,
        "edition": kept.edition,
        "file": kept.name,
        "text": kept.data.decode(),
    }
