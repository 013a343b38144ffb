"""``diagnose chart``: the knowledge on paper: table, decision chart, cards, drawing of a layout."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from diagnose.cli.loading import bench_at, knowledge_root, layout_at, library_at
from diagnose.cli.options import LayoutId, Plain
from diagnose.cli.printing import answer, print_json, wrapped
from diagnose.paper.blocks import PAPERS
from diagnose.places import Places

app = typer.Typer(
    no_args_is_help=True,
    help="Charts on paper from the same knowledge, to print and pin up.\n\n"
    "A fault-finding table:  diagnose chart table low-wing-single -o t.html\n\n"
    "A decision chart:       diagnose chart decision low-wing-single booster-restores",
)


class PaperName(StrEnum):
    """Sizes of paper."""

    a4 = "a4"
    a3 = "a3"


class Form(StrEnum):
    """Forms of a chart: HTML prints from any browser; PDF needs the extra 'pdf'."""

    html = "html"
    svg = "svg"
    pdf = "pdf"


class Sheets(StrEnum):
    """Forms of what is only sheets."""

    html = "html"
    pdf = "pdf"


Output = Annotated[
    Path | None, typer.Option("--output", "-o", help="File to write; to the screen without it.")
]
OnPaper = Annotated[PaperName, typer.Option("--paper", help="Size of the paper.")]
AsForm = Annotated[Form, typer.Option("--format", help="html, svg or pdf.")]
AsSheets = Annotated[Sheets, typer.Option("--format", help="html or pdf.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object instead.")]


@app.command("table")
def table(
    context: typer.Context,
    layout: LayoutId,
    about: Annotated[
        list[str] | None,
        typer.Option("--about", help="Only this question or symptom, by id; may be repeated."),
    ] = None,
    paper: OnPaper = PaperName.a4,
    form: AsSheets = Sheets.html,
    output: Output = None,
    as_json: AsJson = False,
) -> None:
    """A fault-finding table.

    Example: diagnose chart table low-wing-single -o table.html

    An index; what is found, its likely causes in order, like engines together; the cautions on a
    sheet; then every check with the remedy of what it finds.
    """
    from diagnose.chart import table_page
    from diagnose.chart.table import fault_table
    from diagnose.chart.to_json import head, table_object
    from diagnose.cli.chart_out import RANKING, done, put_sheets

    bench = bench_at(knowledge_root(context), layout)
    made = fault_table(bench, about or (), RANKING)
    done()
    if as_json:
        print_json({**head(bench.library, bench.layout), **table_object(made)})
        return
    put_sheets([table_page.on_paper(bench, made, PAPERS[paper])], form, output)


@app.command("decision")
def decision(
    context: typer.Context,
    layout: LayoutId,
    start: Annotated[
        str,
        typer.Argument(
            help="SYMPTOM@PART or QUESTION=CLASS@PART; `diagnose chart starts` lists them."
        ),
    ],
    state: Annotated[
        str, typer.Option("--state", help="Run state of the finding, by its id on the layout.")
    ] = "",
    paper: OnPaper = PaperName.a3,
    pages: Annotated[int, typer.Option("--pages", min=1, help="Sheets the tree may take.")] = 1,
    form: AsForm = Form.html,
    output: Output = None,
    as_json: AsJson = False,
) -> None:
    """A decision chart for one symptom or finding.

    The planner's way, asked beforehand: the likelier branch is grown first until the paper is
    full, and what is cut ends as a list of checks in order. Then come the checks it sends to.

    Example: diagnose chart decision low-wing-single fuel-pressure=low --state
    run-up-booster-off -o c.html
    """
    from diagnose.chart.decision import grown, on_paper
    from diagnose.chart.map import tree_map
    from diagnose.chart.start import named
    from diagnose.chart.to_json import chart_object, head
    from diagnose.cli.chart_out import done, growing, put, put_sheets

    bench = bench_at(knowledge_root(context), layout)
    chart = grown(bench, named(bench, start, state), PAPERS[paper], pages, growing)
    done()
    if as_json:
        print_json({**head(bench.library, bench.layout), **chart_object(bench, chart)})
    elif form is Form.svg:
        put(tree_map(bench, chart), output)
    else:
        made = on_paper(bench, chart, PAPERS[paper])
        put_sheets([made], form, output)
        tree = len(made.laid(made.groups[0]))
        if tree > pages:
            typer.echo(
                f"The first step with its ends already takes {tree} sheets, not {pages}.", err=True
            )


@app.command("card")
def card(
    context: typer.Context,
    layout: LayoutId,
    causes: Annotated[
        list[str] | None,
        typer.Argument(help="Failure modes, by id or number of card; none: every one here."),
    ] = None,
    paper: OnPaper = PaperName.a4,
    form: AsSheets = Sheets.html,
    output: Output = None,
) -> None:
    """One page for each failure mode.

    Example: diagnose chart card low-wing-single strainer-plugged -o card.html

    What it gives, look-alikes, checks, remedy, sources.
    """
    from diagnose.chart.card import cards, cards_here
    from diagnose.cli.chart_out import put_sheets

    bench = bench_at(knowledge_root(context), layout)
    put_sheets(cards(bench, causes or cards_here(bench), PAPERS[paper]), form, output)


@app.command("drawing")
def drawing(
    context: typer.Context,
    layout: LayoutId,
    paper: OnPaper = PaperName.a4,
    form: AsForm = Form.html,
    output: Output = None,
) -> None:
    """The fuel system of a layout, drawn, and the same as a list.

    Example: diagnose chart drawing low-wing-twin --format svg -o drawing.svg
    """
    from diagnose.chart import drawing_page
    from diagnose.cli.chart_out import put, put_sheets

    root = knowledge_root(context)
    library, places = library_at(root), Places(layout_at(root, layout))
    if form is Form.svg:
        put(drawing_page.svg(library, places), output)
        return
    put_sheets([drawing_page.on_paper(library, places, PAPERS[paper])], form, output)


@app.command("starts")
def starts(
    context: typer.Context, layout: LayoutId, plain: Plain = False, as_json: AsJson = False
) -> None:
    """List what a decision chart can start from.

    Example: diagnose chart starts low-wing-single
    """
    from diagnose.chart.start import finding_starts, symptom_starts
    from diagnose.chart.to_json import head, start_object

    bench = bench_at(knowledge_root(context), layout)
    there = [*symptom_starts(bench), *finding_starts(bench)]
    body = {**head(bench.library, bench.layout), "starts": [start_object(s) for s in there]}
    answer(as_json, body, lambda: wrapped((f"{s.name}: {s.title}" for s in there), 4))


@app.command("set")
def whole_set(
    context: typer.Context,
    layout: LayoutId,
    folder: Annotated[Path, typer.Option("--output", "-o", help="Folder to write into.")],
    decisions: Annotated[
        bool, typer.Option("--decisions", help="A decision chart for every symptom as well (long).")
    ] = False,
    form: AsSheets = Sheets.html,
) -> None:
    """Drawing, table and cards of a layout into a folder.

    Example: diagnose chart set low-wing-single -o charts
    """
    from diagnose.cli.chart_out import write_set

    write_set(bench_at(knowledge_root(context), layout), folder, form, decisions)
