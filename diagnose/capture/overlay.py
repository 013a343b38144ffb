"""Drafts laid over a knowledge folder in memory: what the knowledge would be with them."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from diagnose.capture.drafting import Draft
from diagnose.errors import KnowledgeError, Origin
from diagnose.knowledge_files.library import Files, parse, read_files
from diagnose.knowledge_files.yaml_writing import appended
from diagnose.model import Library

WORDS, SOURCES = "words.yaml", "sources.yaml"
ONE_WORD = "words/"
"""Where a draft of a trade word stands; in the knowledge it is a line of ``words.yaml``."""


@dataclass(frozen=True)
class Laid:
    """The files of a knowledge folder with drafts over them.

    changed: the files that differ, by path under the folder.  lines: (file, first line added) of
    a draft that is one line of a list -> its name.
    """

    files: Files
    changed: Mapping[str, bytes]
    drafts: tuple[Draft, ...]
    lines: Mapping[tuple[str, int], str]
    called: str  # the folder the drafts are in, for messages

    def library(self) -> Library:
        """Return the knowledge as it would be.

        Raises:
            KnowledgeError: With every problem, each at its line in the draft.
        """
        try:
            return parse(self.files)
        except KnowledgeError as error:
            problems = [replace(p, origin=self.origin_in_draft(p.origin)) for p in error.problems]
            raise KnowledgeError(problems) from error

    def write_to(self, folder: Path) -> None:
        """Write a whole knowledge folder with the drafts in it, for what reads files again."""
        shutil.copytree(self.files.root, folder)
        for relative, data in self.changed.items():
            path = folder / relative
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)

    def origin_in_draft(self, origin: Origin) -> Origin:
        """Return where in the drafts ``origin`` is, or ``origin`` itself."""
        relative = origin.file.partition("/")[2]
        if any(f"{d.id}.yaml" == relative for d in self.drafts):
            return Origin(f"{self.called}/{relative}", origin.line, origin.col)
        name = self.lines.get((relative, origin.line))
        return Origin(f"{self.called}/{name}.yaml", 1, origin.col) if name else origin


def laid_over(
    root: Path, drafts: Sequence[Draft], sources: Mapping[str, str], called: str = "drafts"
) -> Laid:
    """Return the knowledge in ``root`` with ``drafts``, and what they cite of ``sources``.

    ``called``: the folder they lie in, as messages name it.
    """
    files = read_files(root)
    data = dict(files.data)
    changed: dict[str, bytes] = {}
    lines: dict[tuple[str, int], str] = {}

    def put(relative: str, text: str) -> None:
        data[relative] = changed[relative] = text.encode()

    for draft in drafts:
        if not draft.id.startswith(ONE_WORD):
            put(f"{draft.id}.yaml", draft.text)
            continue
        text = data[WORDS].decode("utf-8")
        if draft.text.strip() not in text:
            text = appended(text, "trade", draft.text)
            put(WORDS, text)
            at = text[: text.index(draft.text.rstrip())].count("\n") + 1
            lines[WORDS, at] = draft.id
    for name, line in sources.items():
        text = data[SOURCES].decode("utf-8")
        cited = any(name in d.text for d in drafts if not d.id.startswith(ONE_WORD))
        if cited and f"source: {name}," not in text:
            put(SOURCES, appended(text, "sources", line))
    return Laid(Files(root, data, files.problems), changed, tuple(drafts), lines, called)


def is_in(root: Path, draft: Draft) -> bool:
    """Return whether the knowledge in ``root`` has the item of ``draft``, in any wording."""
    if draft.id.startswith(ONE_WORD):
        words = root / WORDS
        return words.is_file() and draft.text.strip() in words.read_text(encoding="utf-8")
    return (root / f"{draft.id}.yaml").is_file()


def digest(text: str) -> str:
    """Return a short hash of a text, '' of none."""
    return hashlib.sha256(text.encode()).hexdigest()[:16] if text else ""
