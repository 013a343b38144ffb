"""Looks through the knowledge for everything at once, or for a few codes."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from diagnose.errors import KnowledgeError, Problem, UsageError
from diagnose.knowledge_files import (
    case_folders,
    list_cases,
    list_layouts,
    load_layout,
    load_library,
)
from diagnose.knowledge_files.seeds import read_seeds
from diagnose.lint import loading
from diagnose.lint.base import Base
from diagnose.lint.codes import Code, Found, all_codes, all_lookers
from diagnose.lint.waivers import Waiver, apply, read_waivers
from diagnose.model import Layout, Library, Seed
from diagnose.places import Places
from diagnose.predict import Predictions

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Result:
    """What was found in one edition of the knowledge.

    ``stands``: findings in file order.  ``waived``: findings let stand, with their waivers.
    ``counts``: how much was looked at.  ``unread``: why nothing but loading was looked at, or ''.
    """

    edition: str
    layouts: tuple[str, ...]
    codes: tuple[str, ...]
    stands: tuple[Found, ...]
    waived: tuple[tuple[Found, Waiver], ...]
    counts: Mapping[str, int]
    unread: bool = False


def chosen(only: Collection[str], skip: Collection[str], *, model: bool) -> dict[str, Code]:
    """Return the codes to look for; a group word ('RULE') stands for all its codes.

    Raises:
        UsageError: If a code or group is not known.
    """
    every = all_codes()
    groups = {name.partition("-")[0] for name in every}

    def ids(names: Collection[str]) -> set[str]:
        out: set[str] = set()
        for name in (n.upper() for n in names):
            out |= {c for c in every if name in (c, c.partition("-")[0])}
            if name not in every and name not in groups:
                raise UsageError(
                    f"'{name}' is not a lint code; 'diagnose lint --explain all' lists them,"
                    f" the groups are {', '.join(sorted(groups))}."
                )
        return out

    wanted, unwanted = ids(only) or set(every), ids(skip)
    return {
        name: c
        for name, c in every.items()
        if name in wanted - unwanted and (model or not c.asked_for)
    }


def lint(
    root: Path,
    codes: Collection[str],
    layout: str = "",
    predict: Callable[[Library, Places], Predictions] | None = None,
    progress: Progress = lambda _: None,
    cache_dir: Path | None = None,
) -> Result:
    """Look through the knowledge folder ``root``.

    Args:
        root: The knowledge folder.
        codes: Codes to look for, as ``chosen`` returns them.
        layout: Look at this layout only, by id; '' for all.
        predict: ``diagnose.predict.predictions``, when the model is asked; else None.
        progress: Told in words how far it has come.
        cache_dir: Where finished libraries are kept; None takes the user's cache folder.

    Raises:
        UsageError: If there is no such layout.
        KnowledgeError: If the file of waivers cannot be read.
    """
    progress("reading the knowledge")
    waivers = read_waivers(root)
    problems: list[Problem] = []
    library = None
    try:
        library = load_library(root, cache_dir=cache_dir)
    except KnowledgeError as error:
        problems += error.problems
    layouts, refused = _layouts(root, layout)
    problems += refused
    seeds: tuple[Seed, ...] = ()
    if library is not None:
        try:
            seeds = read_seeds(root, library)
        except KnowledgeError as error:
            problems += error.problems
    if library is None or problems:
        return _only_loading(layouts, codes, problems)
    whole = not layout
    base = Base(
        library,
        layouts,
        None if predict is None else cache(lambda places: predict(library, places)),
        whole=whole,
        cases=_cases(root),
        seeds=seeds,
    )
    found = look(base, codes, progress)
    stands, waived = apply(found, waivers, codes, whole=whole)
    counts = {
        "causes": len(library.causes),
        "symptoms": len(library.symptoms),
        "questions": len(library.questions),
        "checks": len(library.checks),
        "effects": len(library.effects),
        "hazards": len(library.hazards),
        "layouts": len(layouts),
    }
    return Result(library.edition, tuple(layouts), tuple(codes), stands, waived, counts)


def look(
    base: Base, codes: Collection[str], progress: Progress = lambda _: None
) -> tuple[Found, ...]:
    """Return everything of ``codes`` found in ``base``, in file order, without repeats."""
    try:
        for on in base.on.values():
            progress(f"compiling {on.layout.id}")
            _ = on.book
    except KnowledgeError:
        return tuple(f for f in loading.rules_compile(base) if f.code in codes)
    found: set[Found] = set()
    lookers = [x for x in all_lookers() if set(x.codes) & set(codes)]
    for number, looker in enumerate(lookers, 1):
        progress(f"{number} of {len(lookers)}: {looker.doing}")
        found |= {f for f in looker.look(base) if f.code in codes}
    return tuple(sorted(found))


def _cases(root: Path) -> Collection[str] | None:
    """Return the ids of the cases that go with the knowledge; None where none lie beside it."""
    beside = root.resolve().parent / "cases"
    return list_cases(*case_folders(root)) if beside.is_dir() else None


def _layouts(root: Path, wanted: str) -> tuple[dict[str, Layout], list[Problem]]:
    there = list_layouts(root)
    if wanted and wanted not in there:
        raise UsageError(f"'{wanted}' is not a layout. There are: {', '.join(there)}.")
    out: dict[str, Layout] = {}
    problems: list[Problem] = []
    for name, path in there.items():
        if wanted in ("", name):
            try:
                out[name] = load_layout(path)
                Places(out[name])
            except KnowledgeError as error:
                problems += error.problems
    return out, problems


def _only_loading(
    layouts: Mapping[str, Layout], codes: Collection[str], problems: Collection[Problem]
) -> Result:
    found = tuple(f for f in loading.refused(problems) if f.code in codes)
    return Result("", tuple(layouts), tuple(codes), found, (), {}, unread=True)
