"""Where charts go: the screen, a file, or a folder for everything of one layout."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import typer

from diagnose.chart import decision, drawing_page, table_page
from diagnose.chart.card import cards, cards_here
from diagnose.chart.start import symptom_starts
from diagnose.chart.table import fault_table
from diagnose.cli.printing import counted, told_on_a_terminal, write
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench
from diagnose.paper.blocks import A3, A4
from diagnose.paper.pdf import as_pdf
from diagnose.paper.sheets import Set, whole

RANKING = counted("ranking findings: {} of {}")


def done() -> None:
    """Clear the line that said how far the work was."""
    told_on_a_terminal("")


def growing(count: int) -> None:
    """Say how many steps a decision chart holds so far."""
    told_on_a_terminal(f"growing the chart: {count} actions")


def put(content: str | bytes, output: Path | None) -> None:
    """Write a chart to ``output``, or to the screen, where a PDF cannot go."""
    if output is not None:
        write(output, content, "--output")
    elif isinstance(content, bytes):
        raise UsageError("a PDF needs a file to go to: --output FILE.pdf")
    else:
        typer.echo(content)


def put_sheets(sets: Sequence[Set], form: str, output: Path | None) -> None:
    """Write sets of sheets into one document, HTML or PDF, and say how many sheets there are."""
    html = whole(sets)
    put(as_pdf(html) if form == "pdf" else html, output)
    if output is not None:
        pages = sum(len(s.sheets()) for s in sets)
        typer.echo(f"{output}: {pages} page(s) of {sets[0].paper.name}", err=True)


def write_set(bench: Bench, folder: Path, form: str, decisions: bool) -> None:
    """Write drawing, table and cards of a layout into ``folder``, and decision charts if wanted.

    Each file is named for its layout: the sets of two aeroplanes can lie in one folder.
    """
    name = bench.layout.id
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UsageError(f"--output {folder}: cannot be made ({error.strerror}).") from None
    put(drawing_page.svg(bench.library, bench.places), folder / f"{name}-drawing.svg")
    drawn = drawing_page.on_paper(bench.library, bench.places, A4)
    put_sheets([drawn], form, folder / f"{name}-drawing.{form}")
    put_sheets(cards(bench, cards_here(bench), A4), form, folder / f"{name}-cards.{form}")
    table = fault_table(bench, (), RANKING)
    done()
    put_sheets([table_page.on_paper(bench, table, A4)], form, folder / f"{name}-table.{form}")
    if not decisions:
        return
    seen: set[str] = set()
    for start in symptom_starts(bench):
        symptom = start.name.partition("@")[0]
        if symptom in seen:
            continue  # its other places are asked for one by one
        seen.add(symptom)
        made = decision.on_paper(bench, decision.grown(bench, start, A3, 1, growing), A3)
        done()
        asked = start.name.replace("@", "-at-")
        put_sheets([made], form, folder / f"{name}-decision-{asked}.{form}")
