"""A folder of knowledge files to one frozen ``Library``, or every problem in it at once."""

from __future__ import annotations

import dataclasses
import hashlib
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from diagnose.errors import KnowledgeError, Origin, Problem
from diagnose.knowledge_files import cache, references, sharing
from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.follows import with_followers
from diagnose.knowledge_files.gather import Gather, shorten
from diagnose.knowledge_files.reader import MAX_BYTES, Node
from diagnose.knowledge_files.schema import (
    accounts,
    causing,
    checking,
    judging,
    observing,
    rules,
    showing,
    wording,
)
from diagnose.knowledge_files.whole_file import tree
from diagnose.model import Library, Source

FOLDERS: Final = ("effects", "questions", "symptoms", "causes", "checks", "hazards")
LISTS: Final = ("words.yaml", "sources.yaml")
DIFFERS: Final = "differs.yaml"
ALL_LISTS: Final = (*LISTS, sharing.FILE, DIFFERS, judging.FILE, accounts.FILE)
"""Files beside the folders; the last four may be missing."""
ALWAYS: Final = MappingProxyType(
    {
        "common-practice": Source("common-practice", "common practice, no source", "practice"),
        "from-memory": Source("from-memory", "from memory, to be checked", "memory"),
    }
)
"""Sources that exist even where sources.yaml does not list them."""

MAX_FILES: Final = 5_000
"""Files read of one folder; ours has a few hundred."""


@dataclasses.dataclass(frozen=True)
class Files:
    """The bytes of a knowledge folder, read once: used for the hash and for the parse."""

    root: Path
    data: Mapping[str, bytes]  # path relative to the root, with slashes -> bytes
    problems: tuple[Problem, ...]

    @property
    def edition(self) -> str:
        """Return the hash of every path and every byte."""
        digest = hashlib.sha256()
        for name, data in sorted(self.data.items()):
            digest.update(f"{name}\0{len(data)}\0".encode())
            digest.update(data)
        return digest.hexdigest()[:16]


def load_library(root: Path, *, cache_dir: Path | None = None, use_cache: bool = True) -> Library:
    """Load every knowledge file under ``root`` (layouts apart), whose name starts every path told.

    ``cache_dir``: where the finished library is kept, if not in the user's cache folder.

    Raises:
        KnowledgeError: With every problem found, each with file, line and column.
    """
    files = read_files(root)
    if not use_cache:
        return parse(files)
    store = cache.Cache(cache_dir)
    key = cache.key(f"{root.resolve().name}\0{files.edition}")
    found = None if files.problems else store.get(key)
    if isinstance(found, Library):
        # the same folder may have been moved; everything else in a library is relative
        return dataclasses.replace(found, root=str(root))
    library = parse(files)
    store.put(key, library)
    return library


def read_files(root: Path) -> Files:
    """Read the bytes of every knowledge file under ``root``; problems are noted, not raised."""
    name = root.resolve().name
    if not root.is_dir():
        problem = Problem(Origin(name), f"no knowledge folder at '{root}'; name another")
        raise KnowledgeError([problem])
    data: dict[str, bytes] = {}
    problems: list[Problem] = []
    for path in _walk(root, problems):
        # a name that is not UTF-8 must still be hashed and printed
        relative = os.fsencode(path.relative_to(root)).decode("utf-8", "replace")
        origin = Origin(f"{name}/{relative}", 1, 1)
        if len(data) >= MAX_FILES:
            problems.append(Problem(origin, f"more than {MAX_FILES} files; this is not read"))
            break
        try:
            with path.open("rb") as file:
                data[relative] = file.read(MAX_BYTES + 1)  # one more tells that it is too large
        except OSError as error:
            problems.append(Problem(origin, f"cannot be read: {error.strerror or error}"))
    for listed in LISTS:
        if listed not in data:
            problems.append(Problem(Origin(f"{name}/{listed}", 1, 1), "the file is missing"))
    return Files(root, data, tuple(problems))


def _walk(root: Path, problems: list[Problem]) -> list[Path]:
    """Return the files to read in order, noting YAML that stands where nobody would look."""
    found = [root / name for name in ALL_LISTS if (root / name).is_file()]
    for folder in sorted(p for p in root.iterdir() if p.is_dir() and p.name != "layouts"):
        wanted = folder.name in FOLDERS
        for path in _files(folder):
            depth = len(path.relative_to(root).parts)
            if path.suffix == ".yaml" and wanted and depth == (3 if folder.name == "causes" else 2):
                found.append(path)
            elif path.suffix in (".yaml", ".yml"):
                place = f"{root.resolve().name}/{path.relative_to(root).as_posix()}"
                problems.append(Problem(Origin(place, 1, 1), _misplaced(path, wanted=wanted)))
    return found


def _files(folder: Path) -> Iterable[Path]:
    """Yield the visible files under ``folder`` in order (editors leave hidden ones behind)."""
    for where, folders, names in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        yield from (Path(where, name) for name in sorted(names) if not name.startswith("."))


def _misplaced(path: Path, *, wanted: bool) -> str:
    if path.suffix == ".yml":
        return "the name ends in .yml and would not be read; rename it to .yaml"
    if not wanted:
        return f"stands in a folder that is not read; the folders are {', '.join(FOLDERS)}"
    return "stands at the wrong depth: causes/<family>/<id>.yaml, all others <folder>/<id>.yaml"


def parse(files: Files) -> Library:
    """Turn the files into a library.

    Raises:
        KnowledgeError: With every problem found.
    """
    gather = Gather()
    gather.extend(files.problems)
    name = files.root.resolve().name
    nodes: dict[str, Node] = {}
    for relative, data in files.data.items():
        node = tree(data, f"{name}/{relative}", gather)
        # a file that is no item at all is as good as unreadable: its users are not to blame
        what = relative.split("/")[0].removesuffix("s")
        if node is not None and not Fields(node, gather, what).broken:
            nodes[relative] = node
    if any(spoken not in nodes for spoken in ("words.yaml", *({sharing.FILE} & files.data.keys()))):
        gather.check(KnowledgeError)  # every item names what they hold: thousands would be blamed
    library = _build(files, nodes, gather)
    gather.check(KnowledgeError)
    return library


def _build(files: Files, nodes: Mapping[str, Node], gather: Gather) -> Library:
    listed = nodes.get("words.yaml")
    words = wording.NO_WORDS if listed is None else wording.words(listed, gather)
    sources = dict(ALWAYS)
    if "sources.yaml" in nodes:
        sources |= wording.sources(nodes["sources.yaml"], gather)
    steps: dict[str, str] = {}
    if sharing.FILE in nodes:
        steps = sharing.steps(nodes[sharing.FILE], gather)
    items: dict[str, dict[str, Any]] = {folder: {} for folder in FOLDERS}
    shows: dict[str, showing.Shows] = {}
    origins: dict[tuple[str, str], Origin] = {}
    for relative, node in nodes.items():
        if relative in ALL_LISTS:
            continue
        folder, *families, file = relative.split("/")
        stem = file.removesuffix(".yaml")
        node = sharing.with_steps(folder, node, steps, gather)
        first = origins.setdefault((folder, stem), node.origin)
        if first is not node.origin:
            text = f"'{shorten(stem)}' is also {first.file}; an id is used once"
            gather.add(node.origin, text)
            continue
        if folder == "questions":
            items[folder][stem], shows[stem] = observing.question(node, gather, stem, words.amounts)
        elif folder == "causes":
            items[folder][stem] = causing.cause(node, gather, stem, families[0], words)
        else:
            items[folder][stem] = _READERS[folder](node, gather, stem)
    # ids of files that could not be read stay known: their users are not to blame
    known = {folder: dict(found) for folder, found in items.items()}
    for relative in sorted(files.data.keys() - nodes.keys() - set(ALL_LISTS)):
        folder, *_, file = relative.split("/")
        known.get(folder, {}).setdefault(file.removesuffix(".yaml"), None)
    listed = nodes.get(DIFFERS)
    differences, unsaid = ((), ()) if listed is None else causing.differences(listed, gather)
    listed = nodes.get(accounts.FILE)
    told = () if listed is None else accounts.accounts(listed, gather)
    _link(gather, items, known, sources if "sources.yaml" in nodes else None, shows)
    if judging.FILE in nodes:
        items["causes"] = judging.judged(
            nodes[judging.FILE], gather, items["causes"], known["causes"]
        )
    items["causes"] = with_followers(items["causes"], items["effects"], items["checks"])
    return Library(
        root=str(files.root),
        edition=files.edition,
        words=words,
        sources=MappingProxyType(sources),
        steps=MappingProxyType(steps),
        differences=differences,
        unsaid=unsaid,
        accounts=told,
        **{folder: MappingProxyType(found) for folder, found in items.items()},
    )


_READERS: Final = {
    "effects": observing.effect,
    "symptoms": rules.symptom,
    "checks": checking.check,
    "hazards": checking.hazard,
}


def _link(
    gather: Gather,
    items: dict[str, dict[str, Any]],
    known: Mapping[str, Mapping[str, Any]],
    sources: Mapping[str, Source] | None,
    shows: Mapping[str, showing.Shows],
) -> None:
    """Check everything that spans files, and fill the questions' tables from their effects."""
    effects, questions, checks = items["effects"], items["questions"], items["checks"]
    for stem, table in shows.items():
        effect = effects.get(questions[stem].reads)
        if effect is not None:
            rows = MappingProxyType(
                {value: MappingProxyType(dict(row)) for value, row in table.table(effect).items()}
            )
            questions[stem] = dataclasses.replace(questions[stem], shows=rows)
    by_kind = {folder.removesuffix("s"): known[folder] for folder in FOLDERS}
    if sources is not None:
        by_kind["source"] = sources
        references.steps(gather, checks, sources)
    references.resolve(gather, by_kind)
    references.questions(gather, questions, effects)
    references.causes(gather, items["causes"], effects, questions, checks)
    references.symptoms(gather, items["symptoms"], questions)
