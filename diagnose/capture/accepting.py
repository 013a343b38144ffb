"""What an accepted draft becomes: files in a knowledge folder of one's own."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from diagnose.capture.folder import Folder
from diagnose.capture.overlay import SOURCES, Laid
from diagnose.errors import UsageError
from diagnose.knowledge_files import find_knowledge
from diagnose.knowledge_files.yaml_writing import replaced


def check_target(into: Path, root: Path) -> None:
    """Take ``into`` as the folder for accepted drafts made on the knowledge in ``root``.

    Raises:
        UsageError: If it is the shipped knowledge, lies in a knowledge folder, or is none.
    """
    place = into.resolve()
    if place == find_knowledge().resolve():
        raise UsageError(
            f"'{into}' is the shipped knowledge; accepted drafts go into a copy. Name another "
            "folder."
        )
    if root.resolve() in place.parents:
        raise UsageError(f"'{into}' lies inside the knowledge; name a folder beside it.")
    if into.exists() and not into.is_dir():
        raise UsageError(f"'{into}' is a file; name a folder.")
    if into.is_dir() and not (into / "words.yaml").is_file() and any(into.iterdir()):
        raise UsageError(f"'{into}' holds something else than knowledge; name another folder.")


def base_of(into: Path, root: Path) -> Path:
    """Return the knowledge that drafts are laid over: what was accepted before, else ``root``."""
    return into if (into / "words.yaml").is_file() else root


def accept(laid: Laid, folder: Folder, into: Path, root: Path) -> list[Path]:
    """Write what was accepted into ``into``, copied from ``root`` if it is not there yet.

    Written over again it gives the same files, so that a kill in between does no harm.  The case
    told goes into ``cases/interviews`` beside ``into`` where there are cases, and wherever it is
    what proves a new cause.

    Raises:
        UsageError: If it cannot be written.
    """
    try:
        if not (into / "words.yaml").is_file():
            _copied(root, into)
        # sources first: what cites one that is not there yet could not be loaded after a kill
        order = sorted(laid.changed, key=lambda relative: relative != SOURCES)
        written = [into / relative for relative in order]
        for path in written:
            _put(path, laid.changed[path.relative_to(into).as_posix()])
        cases = into.resolve().parent / "cases"
        proves = any(folder.case_id.encode() in data for data in laid.changed.values())
        if folder.case and (proves or cases.is_dir()):
            beside = cases / "interviews" / f"{folder.case_id}.yaml"
            if not beside.is_file() or beside.read_bytes() != folder.case.encode():
                _put(beside, folder.case.encode())
                written.append(beside)
    except OSError as error:
        raise UsageError(f"'{into}' cannot be written: {error.strerror or error}.") from None
    return written


def reviewed_text(text: str, initials: str, day: str) -> str:
    """Return the text of a draft with a licensed person's review as its status."""
    return replaced(text, ("status",), f"reviewed by {initials} on {day}")


def _copied(root: Path, into: Path) -> None:
    """Copy a knowledge folder whole, under its name only when all of it is there."""
    into.parent.mkdir(parents=True, exist_ok=True)
    part = Path(tempfile.mkdtemp(dir=into.parent, prefix=".part-"))
    try:
        shutil.copytree(root, part / "copy")
        if into.is_dir():
            into.rmdir()  # it was looked at: there is nothing in it
        os.replace(part / "copy", into)
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _put(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(f".{path.name}.part")
    part.write_bytes(data)
    os.replace(part, path)
