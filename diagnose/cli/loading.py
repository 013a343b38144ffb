"""What every command needs: the knowledge in use, and a layout compiled on it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:  # imported when used: they bring numpy and the rules
    from diagnose.errors import Problem
    from diagnose.job.diagnosis import Bench
    from diagnose.model import Layout, Library

SCHEMA_VERSION = 1
"""Version of every JSON object printed by the commands."""


Evidence = Annotated[
    str,
    typer.Option(
        "--evidence",
        metavar="stated|model|both",
        help="Rates from the knowledge, the fuel-system model, or both; the model is solved once.",
    ),
]
"""An option of every command that ranks."""


def knowledge_root(context: typer.Context) -> Path:
    """Return the knowledge folder: ``--knowledge`` or the shipped one.

    Raises:
        KnowledgeError: If there is none.
    """
    from diagnose.knowledge_files import find_knowledge

    return find_knowledge((context.obj or {}).get("knowledge"))


@lru_cache(maxsize=2)
def library_at(root: Path) -> Library:
    """Return the library read from ``root``."""
    from diagnose.knowledge_files import load_library

    return load_library(root)


@lru_cache(maxsize=16)
def layout_at(root: Path, name: str) -> Layout:
    """Return a layout by id from the knowledge in ``root``, or from a file path.

    Raises:
        UsageError: If there is no such layout; names the ones there are.
    """
    from diagnose.knowledge_files import load_layout

    return load_layout(layout_file(root, name))


def layout_file(root: Path, name: str) -> Path:
    """Return the file of a layout of the knowledge in ``root``, or the file that ``name`` is.

    Raises:
        UsageError: If there is no such layout; names the ones there are.
        CaseError: The same, with its place, where a file names the layout.
    """
    from diagnose.errors import CaseError, Problem, UsageError, did_you_mean
    from diagnose.knowledge_files import list_layouts
    from diagnose.knowledge_files.fields import Text

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
    from diagnose.knowledge_files import list_layouts

    if not name or name in list_layouts(root) or not Path(name).is_file():
        return {}
    text = Path(name).read_text(encoding="utf-8")
    return {"layout_file": Path(name).name, "layout_text": text}


@lru_cache(maxsize=16)
def bench_at(root: Path, name: str, evidence: str = "stated") -> Bench:
    """Return the layout ``name`` compiled on the knowledge in ``root``; see ``compiled``."""
    return compiled(library_at(root), layout_at(root, name), evidence)


def bench_kept(root: Path, opened: Mapping[str, object], evidence: str = "stated") -> Bench:
    """Return the layout a log was opened on: as the log keeps it whole, else by its name."""
    from diagnose.knowledge_files import read_layout

    text = str(opened.get("layout_text", ""))
    if not text:
        return bench_at(root, str(opened.get("layout", "")), evidence)
    own = read_layout(text, str(opened.get("layout_file", "")))
    return compiled(library_at(root), own, evidence)


def compiled(library: Library, layout: Layout, evidence: str = "stated") -> Bench:
    """Return ``layout`` compiled on ``library``.

    ``evidence``: 'stated' (the knowledge alone), 'model' or 'both', which solve the fuel-system
    model once for each layout and keep the result in the user's cache.

    Raises:
        UsageError: If ``evidence`` is none of these.
    """
    from diagnose.errors import UsageError
    from diagnose.job.diagnosis import Bench
    from diagnose.model import EVIDENCE

    mode = next((e for e in EVIDENCE if e == evidence), None)
    if mode is None:
        raise UsageError(f"'{evidence}' is no kind of evidence; there are {', '.join(EVIDENCE)}.")
    if mode == "stated":
        return Bench(library, layout)
    from diagnose.places import Places
    from diagnose.predict import predictions

    def solving(done: int, total: int) -> None:
        told_on_a_terminal(f"solving {layout.id}: {done} of {total} run states")

    places = Places(layout, library.words.unstated)
    found = predictions(library, places, mode, progress=solving)
    told_on_a_terminal("")  # what was told of the solving makes room for what comes
    return Bench(library, layout, found)


def print_json(body: Mapping[str, object]) -> None:
    """Print one JSON object, ``schema_version`` first."""
    typer.echo(json.dumps({"schema_version": SCHEMA_VERSION, **body}, ensure_ascii=False, indent=1))


def tell_warnings(warnings: Iterable[str]) -> None:
    """Say on stderr what a case file says that may not count as meant, one line each."""
    for warning in warnings:
        typer.echo(f"warning: {warning}", err=True)


def told_on_a_terminal(line: str) -> None:
    """Say how far long work has come, on stderr and only to a person."""
    import sys

    if sys.stderr.isatty():
        typer.echo(f"\r\033[K{line}", err=True, nl=False)


def problem_rows(problems: Iterable[Problem]) -> list[dict[str, object]]:
    """Return problems found in files as plain data."""
    return [
        {"file": p.origin.file, "line": p.origin.line, "col": p.origin.col, "text": p.text}
        for p in problems
    ]
