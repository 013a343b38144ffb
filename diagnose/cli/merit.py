"""``diagnose merit``: what the knowledge is worth on each layout, measured."""

from __future__ import annotations

from typing import Annotated

import typer

from diagnose.cli.loading import bench_at, knowledge_root
from diagnose.cli.options import AnyLayout, AsJson, Plain
from diagnose.cli.printing import print_json, told_on_a_terminal
from diagnose.knowledge_files import list_layouts


def merit(
    context: typer.Context,
    layout: AnyLayout = "",
    as_json: AsJson = False,
    jobs: Annotated[
        int, typer.Option("--jobs", min=0, help="Jobs drawn from the knowledge, a layout.")
    ] = 300,
    model_jobs: Annotated[
        int, typer.Option("--model-jobs", min=0, help="Jobs drawn from the fuel-system model.")
    ] = 200,
    seed: Annotated[int, typer.Option("--seed", min=0, help="The same seed, the same jobs.")] = 1,
    evidence: Annotated[
        str, typer.Option("--evidence", metavar="stated|model|both", help="As in 'replay'.")
    ] = "stated",
    plain: Plain = False,
) -> None:
    """Measure the knowledge on a layout.

    Coverage, isolation, drawn jobs ranked, minutes against the optimum, what it all rests on.

    Example: diagnose merit low-wing-single --jobs 5000 --model-jobs 2000
    """
    from diagnose.cli.merit_view import merit_text
    from diagnose.merit.study import merit as measure

    root = knowledge_root(context)
    done: list[dict[str, object]] = []
    for name in [layout] if layout else list_layouts(root):
        bench = bench_at(root, name, evidence)
        body: dict[str, object] = {
            "invented": bench.layout.invented,
            "seed": seed,
            "evidence": evidence,
            **measure(bench, jobs, model_jobs, seed, told_on_a_terminal),
        }
        told_on_a_terminal("")
        done.append(body)
        if not as_json:
            typer.echo(("\n" if len(done) > 1 else "") + merit_text(body))
    if as_json:
        print_json({"command": "merit", "status": "UNREVIEWED", "layouts": done})
