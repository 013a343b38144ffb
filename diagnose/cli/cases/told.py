"""``diagnose cases told``: what is shown of clauses not heard, learned and measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Any

import typer

from diagnose.cli.cases.judged import keep_beside
from diagnose.cli.loading import bench_at, knowledge_root, library_at
from diagnose.cli.options import AsJson, CaseFolder
from diagnose.cli.printing import answer
from diagnose.errors import UsageError
from diagnose.knowledge_files import find_cases, layout_of_case, list_told, load_case
from diagnose.knowledge_files.schema.accounts import FILE

if TYPE_CHECKING:  # they bring the hearing
    from diagnose.job.diagnosis import Bench
    from diagnose.job.hearing.nearest import Nearest


def told(
    context: typer.Context,
    write: Annotated[
        bool, typer.Option("--write", help="Learn anew from the reports, and keep it.")
    ] = False,
    folder: CaseFolder = None,
    as_json: AsJson = False,
) -> None:
    """Measure what is shown of words not heard.  Example: diagnose cases told

    Learned from coded reports (the invented jobs, the judged reports of even numbers), measured on
    the judged reports of odd numbers.  With --write, each clause is laid to the answer it tells,
    and that is kept in accounts.yaml beside the questions.
    """
    from diagnose.job.hearing.nearest import Nearest
    from diagnose.merit.accounts import accounts_text, is_kept_apart, laid, shown, told_of

    root = knowledge_root(context)
    library = library_at(root)
    place = find_cases(folder)
    files = list_told(place)
    if not files:
        raise UsageError(f"there are no reports in '{place / 'judged'}' or '{place / 'invented'}'.")
    cases = [load_case(f, library, bench_at(root, layout_of_case(f)).layout) for f in files]
    learned = [c for c in cases if c.reported and not is_kept_apart(c)]
    accounts = library.accounts
    if write:
        reports = [told_of(case, bench_at(root, case.layout)) for case in learned]
        accounts = tuple(laid(reports, library))
        keep_beside(root, FILE, accounts_text(accounts))
    kept: dict[str, tuple[Bench, Nearest]] = {}

    def nearest_on(layout: str) -> tuple[Bench, Nearest]:
        if layout not in kept:
            bench = bench_at(root, layout)
            kept[layout] = bench, Nearest(bench, accounts)
        return kept[layout]

    apart = [c for c in cases if is_kept_apart(c)]
    body = {
        "learned_from": len(accounts),
        "clauses_laid": sum(len(t.clauses) for one in accounts for t in one),
        "apart": len(apart),
        **asdict(shown(apart, nearest_on)),
    }
    answer(as_json, body, lambda: _text(body))


def _text(body: Mapping[str, Any]) -> list[str]:
    return [
        f"Learned from {body['learned_from']} reports, {body['clauses_laid']} clauses of them.",
        f"Of {body['apart']} reports kept apart {body['clauses']} clauses are not heard: "
        f"{body['shown']} have answers shown,",
        f"{body['right']} the right one among them, {body['first']} the right one first.",
    ]
