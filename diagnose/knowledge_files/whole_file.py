"""What every reader of one file begins with: its bytes and its tree."""

from __future__ import annotations

from pathlib import Path

from diagnose.errors import KnowledgeError, Origin, Problem
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Gather
from diagnose.knowledge_files.reader import MAX_BYTES, Node, UnreadableError, read_yaml


def read_file(path: Path, place: str, gather: Gather) -> bytes | None:
    """Return a file's bytes, or note why they cannot be had."""
    try:
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)  # one more tells that it is too large
    except OSError as error:
        gather.extend([Problem(Origin(place, 1, 1), f"cannot be read: {error.strerror or error}")])
    return None


def tree(data: bytes, file: str, gather: Gather) -> Node | None:
    """Return the tree of a file, named ``file`` in messages, or note why it cannot be read."""
    try:
        return read_yaml(data, file)
    except UnreadableError as error:
        gather.extend(error.problems)
    return None


def list_beside(root: Path, file: str, what: str) -> Fields | None:
    """Return what a file of a knowledge folder holds beside its items; None if there is none.

    ``what`` it is, for messages.

    Raises:
        KnowledgeError: If it cannot be read as YAML.
    """
    path, gather = root / file, Gather()
    if not path.is_file():
        return None
    place = f"{root.resolve().name}/{file}"
    data = read_file(path, place, gather)
    node = None if data is None else tree(data, place, gather)
    if node is None:
        raise KnowledgeError(gather.problems)
    return Fields(node, gather, what)
