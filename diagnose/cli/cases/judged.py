"""``diagnose cases judged``: the ranking held against judged reports, and fitted to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

import typer

from diagnose.cli.loading import bench_at, knowledge_root, library_at
from diagnose.cli.options import AsJson, CaseFolder
from diagnose.cli.printing import answer
from diagnose.errors import UsageError
from diagnose.knowledge_files import find_cases, layout_of_case, list_judged, load_case
from diagnose.knowledge_files.schema.judging import FILE
from diagnose.model import Library

MOVED = 12
"""Modes shown that moved most."""


def judged(
    context: typer.Context,
    write: Annotated[
        bool, typer.Option("--write", help="Fit the odds of the modes, and keep them.")
    ] = False,
    folder: CaseFolder = None,
    as_json: AsJson = False,
) -> None:
    """Hold the ranking against judged reports.  Example: diagnose cases judged

    A judgement says which modes a report will have been, with shares.  With --write, a factor on
    the odds of each mode is fitted to them and kept in judged.yaml beside the causes.
    """
    from diagnose.job.diagnosis import Bench
    from diagnose.merit.judged import (
        agreement,
        by_word,
        factors,
        judged_text,
        left_out,
        ranked,
    )

    root = knowledge_root(context)
    library = library_at(root)
    place = find_cases(folder)
    files = list_judged(place)
    if not files:
        raise UsageError(f"there are no judged reports in '{place / 'judged'}'.")
    benches: dict[tuple[str, bool], Bench] = {}

    def bench_of(layout: str, word: bool = False) -> Bench:
        if (layout, word) not in benches:
            b = bench_at(root, layout)
            benches[layout, word] = Bench(by_word(library), b.layout) if word else b
        return benches[layout, word]

    cases = [load_case(f, library, bench_of(layout_of_case(f)).layout) for f in files]
    now = ranked(cases, bench_of)
    word = ranked(cases, lambda layout: bench_of(layout, word=True))
    odds = factors(word)
    body: dict[str, Any] = {
        "reports": len(cases),
        "by_word": asdict(agreement(word.held, word)),
        "now": asdict(agreement(now.held, now)),
        "left_out": asdict(left_out(word)),
        "odds": dict(odds),
    }
    if write:
        keep_beside(root, FILE, judged_text(odds, len(cases)))
    answer(as_json, body, lambda: _text(body, library))


def keep_beside(root: Path, name: str, text: str) -> None:
    """Write ``text`` as the file ``name`` of the knowledge in ``root``."""
    try:
        (root / name).write_text(text, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"'{root}' cannot be written to ({error.strerror}).") from None


def _text(body: Mapping[str, Any], library: Library) -> list[str]:
    lines = [f"{body['reports']} judged reports: how far the ranking from the findings agrees"]
    for key, name in (
        ("by_word", "as common as their writers' words"),
        ("left_out", "fitted, on reports left out"),
        ("now", "as the knowledge stands"),
    ):
        a = body[key]
        lines.append(
            f"  {name:<34} judges' first choice first {a['first']:.0%}, in three "
            f"{a['in_three']:.0%}; share of the judgements in our three {a['mass']:.0%} "
            f"(most possible {a['best_mass']:.0%}); cross-entropy {a['cross_entropy']:.2f} nats"
        )
    odds = body["odds"]
    most = sorted(odds, key=lambda m: (-max(odds[m], 1.0 / odds[m]), m))[:MOVED]
    lines.append("Factors on the odds beside how common the writer calls it, the farthest from 1:")
    lines += [
        f"  {m:<34} x {odds[m]:<6g} {library.causes[m].common_word} by its word" for m in most
    ]
    return lines
