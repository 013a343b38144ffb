"""``diagnose lint``: proves that the knowledge is sound, and explains what it finds."""

from __future__ import annotations

from collections.abc import Mapping
from time import perf_counter
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.loading import knowledge_root, solving
from diagnose.cli.options import AsJson
from diagnose.cli.printing import answer, print_json, told_on_a_terminal
from diagnose.errors import KnowledgeError
from diagnose.grammar import number_of
from diagnose.model import Library
from diagnose.places import Places

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.lint import Code, Found, Result
    from diagnose.predict import Predictions


def lint(
    context: typer.Context,
    explain: Annotated[
        str,
        typer.Option("--explain", metavar="CODE", help="What a code means; 'all' for every one."),
    ] = "",
    only: Annotated[
        list[str] | None,
        typer.Option("--only", metavar="CODE", help="Look for this code or group only (RULE)."),
    ] = None,
    skip: Annotated[
        list[str] | None,
        typer.Option("--skip", metavar="CODE", help="Leave this code or group out."),
    ] = None,
    layout: Annotated[
        str, typer.Option("--layout", metavar="ID", help="Look at one layout only.")
    ] = "",
    model: Annotated[
        bool,
        typer.Option("--model", help="Also hold the rows against the fuel-system model (slow)."),
    ] = False,
    waived: Annotated[
        bool, typer.Option("--waived", help="Also list what is let stand, with the reasons.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Prove that the knowledge is sound.

    Example: diagnose lint --only RULE

    Each finding is one line: file:line:col: CODE what is wrong, what was meant, what to do.
    Leaves with 3 when something is found.
    """
    from diagnose import lint as linter
    from diagnose.predict import predictions

    if explain:
        _explain(explain, as_json)
        return
    started = perf_counter()
    codes = linter.chosen(only or (), skip or (), model=model)

    def solve(library: Library, places: Places) -> Predictions:
        return predictions(library, places, progress=solving(places.layout))

    result = linter.lint(
        knowledge_root(context),
        codes,
        layout,
        solve if model else None,
        told_on_a_terminal,
    )
    told_on_a_terminal("")
    seconds = perf_counter() - started
    answer(as_json, _body(result, seconds), lambda: _lines(result, seconds, waived))
    if result.stands:
        raise typer.Exit(KnowledgeError.exit_code)


def _explain(name: str, as_json: bool) -> None:
    from diagnose import lint as linter

    every = linter.all_codes()
    wanted = every if name.lower() == "all" else linter.chosen([name], (), model=True)
    if as_json:
        print_json({"codes": [_code(c) for c in wanted.values()]})
        return
    for number, c in enumerate(wanted.values()):
        if number:
            typer.echo()
        typer.echo(f"{c.id}  {c.title}")
        for head, text in (("means", c.means), ("matters", c.matters), ("do", c.do)):
            typer.echo(f"  {head + ':':<9}{text}")
        if c.asked_for:
            typer.echo("  looked for with --model only")


def _code(c: Code) -> Mapping[str, object]:
    return {
        "code": c.id,
        "title": c.title,
        "means": c.means,
        "matters": c.matters,
        "do": c.do,
        "model_only": c.asked_for,
    }


def _lines(result: Result, seconds: float, waived: bool) -> list[str]:
    out = [str(f) for f in result.stands]
    if waived:
        for found, waiver in result.waived:
            out += [f"let stand: {found}", f"  because: {waiver.reason} ({waiver.origin})"]
    if result.unread:
        out.append("Nothing else can be looked at until the files can be read.")
        return out
    looked = ", ".join(f"{n} {w if n != 1 else w[:-1]}" for w, n in result.counts.items())
    count = len(result.stands)
    said = number_of(count, "finding") if count else "Clean"
    let = f", {len(result.waived)} let stand with a reason" if result.waived else ""
    out.append(f"{said}{let}: {looked}; {len(result.codes)} codes; {seconds:.1f} s")
    if count:
        first = result.stands[0].code
        out.append(f"What a code means: diagnose lint --explain {first}")
    return out


def _body(result: Result, seconds: float) -> Mapping[str, object]:
    return {
        "knowledge_edition": result.edition,
        "layouts": list(result.layouts),
        "codes": list(result.codes),
        "clean": not result.stands,
        "only_loading": result.unread,
        "findings": [_row(f) for f in result.stands],
        "waived": [{**_row(f), "reason": w.reason} for f, w in result.waived],
        "looked_at": dict(result.counts),
        "time_s": round(seconds, 3),
    }


def _row(f: Found) -> dict[str, object]:
    return {
        "code": f.code,
        "file": f.origin.file,
        "line": f.origin.line,
        "col": f.origin.col,
        "item": f.item,
        "text": f.text,
    }
