"""What commands work on: the knowledge in use, a layout compiled on it, a job, a part of it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from diagnose.cli.printing import counted, told_on_a_terminal
from diagnose.errors import CaseError, Origin, Problem, UsageError, did_you_mean
from diagnose.how_far import HowFar
from diagnose.knowledge_files import (
    find_knowledge,
    list_layouts,
    load_layout,
    load_library,
    read_layout,
)
from diagnose.knowledge_files.gather import Text
from diagnose.model import EVIDENCE, Layout, Library
from diagnose.places import Places

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.job.diagnosis import Bench
    from diagnose.job.job import Job


def knowledge_root(context: typer.Context) -> Path:
    """Return the knowledge folder: ``--knowledge`` or the shipped one."""
    return find_knowledge((context.obj or {}).get("knowledge"))


@lru_cache(maxsize=2)
def library_at(root: Path) -> Library:
    """Return the library read from ``root``."""
    return load_library(root)


@lru_cache(maxsize=16)
def layout_at(root: Path, name: str) -> Layout:
    """Return a layout by id from the knowledge in ``root``, or from a file path."""
    return load_layout(layout_file(root, name))


def layouts_at(root: Path) -> dict[str, Layout]:
    """Return every layout of the knowledge in ``root``, by its id."""
    return {name: layout_at(root, name) for name in list_layouts(root)}


def layout_file(root: Path, name: str) -> Path:
    """Return the file of a layout of the knowledge in ``root``, or the file that ``name`` is.

    An unknown one is refused with what there is; with its place where a file names it.
    """
    there = list_layouts(root)
    if name in there:
        return there[name]
    unknown = f"'{name}' is not a layout{did_you_mean(name, there)} There are: {', '.join(there)}."
    if name.endswith((".yaml", ".yml")):
        if Path(name).is_file():
            return Path(name)
        unknown = f"there is no layout file '{name}'; give the file with its folder."
    if isinstance(name, Text):
        raise CaseError([Problem(name.origin, unknown)])
    raise UsageError(unknown)


def own_layout(root: Path, name: str) -> dict[str, str]:
    """Return what a job keeps of a layout that is no part of the knowledge: its file, whole.

    Empty for a layout of the knowledge, which its edition names.
    """
    if not name or name in list_layouts(root) or not Path(name).is_file():
        return {}
    text = Path(name).read_text(encoding="utf-8")
    return {"layout_file": Path(name).name, "layout_text": text}


@lru_cache(maxsize=16)
def bench_at(root: Path, name: str, evidence: str = "stated") -> Bench:
    """Return the layout ``name`` compiled on the knowledge in ``root``; see ``compiled``."""
    return compiled(library_at(root), layout_at(root, name), evidence)


def bench_kept(
    root: Path, opened: Mapping[str, object], log: Path, evidence: str = "stated"
) -> Bench:
    """Return the layout that ``log`` was opened on: as it keeps it whole, else by its name."""
    text = str(opened.get("layout_text", ""))
    if not text:
        name = Text(str(opened.get("layout", "")), Origin(log.name, 1, 1))
        return bench_at(root, name, evidence)
    own = read_layout(text, str(opened.get("layout_file", "")))
    return compiled(library_at(root), own, evidence)


def compiled(library: Library, layout: Layout, evidence: str) -> Bench:
    """Return ``layout`` compiled on ``library``.

    ``evidence``: 'stated' (the knowledge alone), 'model' or 'both', which solve the fuel-system
    model once for each layout and keep the result in the user's cache.
    """
    from diagnose.job.diagnosis import Bench

    mode = next((e for e in EVIDENCE if e == evidence), None)
    if mode is None:
        raise UsageError(f"'{evidence}' is no kind of evidence; there are {', '.join(EVIDENCE)}.")
    if mode == "stated":
        return Bench(library, layout)
    from diagnose.predict import predictions

    places = Places(layout, library.words.unstated)
    found = predictions(library, places, mode, progress=solving(layout))
    told_on_a_terminal("")
    return Bench(library, layout, found)


def solving(layout: Layout) -> HowFar:
    """Return what says how far the solving of ``layout`` has come."""
    return counted(f"solving {layout.id}: {{}} of {{}} run states")


def job_at(context: typer.Context, name: str) -> Job:
    """Return the job ``name`` with the layout it was opened on."""
    from diagnose.cli.job.start import take_up

    return take_up(knowledge_root(context), name)


def part_named(job: Job, text: str, otherwise: str) -> str:
    """Return the part that ``text`` names; ``otherwise`` is told where nothing is like it."""
    match = job.bench.places.find_places(text)
    if not match.part:
        raise UsageError(match.ask or otherwise)
    return match.part
