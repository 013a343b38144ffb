"""``diagnose interview``: what an expert knows, asked, drafted and reviewed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from diagnose.capture.record import Interview, folder, record_body, rows_listed
from diagnose.cli.loading import knowledge_root, library_at
from diagnose.cli.options import AsJson
from diagnose.cli.printing import answer
from diagnose.knowledge_files.seeds import read_seeds

app = typer.Typer(
    no_args_is_help=True,
    help="Keep what a retiring expert knows.\n\n"
    "An interview in his own words, drafts of knowledge made of it, and a review by a second "
    "person.\n\n"
    "Begin:  diagnose interview start --layout low-wing-single",
)

Name = Annotated[str, typer.Argument(help="The interview, as `diagnose interview list` names it.")]


@app.command("start")
def start(
    context: typer.Context,
    layout: Annotated[str, typer.Option("--layout", help="Layout id; asked when left out.")] = "",
) -> None:
    """Begin an interview.

    Example: diagnose interview start --layout low-wing-single

    Consent, one real case, its turns, what feels alike, what first, how often, the rule and its
    limits. Every answer is on disk before the next question.
    """
    from diagnose.cli.interview.opening import start as begin

    begin(knowledge_root(context), layout)


@app.command("resume")
def resume(context: typer.Context, name: Name) -> None:
    """Go on with an interview where it was left, or correct an answer.

    Example: diagnose interview resume NAME
    """
    from diagnose.cli.interview.opening import go_on

    go_on(knowledge_root(context), Interview.find(folder(), name))


@app.command("blind")
def blind(context: typer.Context, name: Name) -> None:
    """Ask a second expert the same counts.

    Example: diagnose interview blind NAME

    The first one's numbers are not shown.
    """
    from diagnose.cli.interview.opening import start as begin

    begin(knowledge_root(context), "", name)


@app.command("list")
def list_all(as_json: AsJson = False) -> None:
    """List the interviews kept on this machine.

    Example: diagnose interview list --json
    """
    from diagnose.cli.interview.view import list_lines

    rows = rows_listed()
    answer(as_json, {"interviews": rows}, lambda: list_lines(rows))


@app.command("show")
def show(context: typer.Context, name: Name, as_json: AsJson = False) -> None:
    """Print an interview word for word.

    Example: diagnose interview show NAME

    Each answer has its number in the record.
    """
    from diagnose.cli.interview.view import show_lines

    body = record_body(Interview.find(folder(), name))
    answer(as_json, body, lambda: show_lines(body))


@app.command("draft")
def draft(
    context: typer.Context,
    name: Name,
    out: Annotated[Path, typer.Option("--out", help="New folder for the drafts.")],
) -> None:
    """Write what was said as drafts of knowledge.

    Example: diagnose interview draft NAME --out drafts

    Each with the entry it was said in. What became no draft is listed with its reason.
    """
    from diagnose.cli.interview.drafting import draft as make

    make(knowledge_root(context), name, out)


@app.command("review")
def review(
    context: typer.Context,
    name: Name,
    drafts: Annotated[Path, typer.Option("--drafts", help="Folder the drafts are in.")],
    into: Annotated[
        Path, typer.Option("--into", help="Knowledge folder for what is accepted; copied if new.")
    ],
) -> None:
    """Accept, send back or refuse each draft.

    Example: diagnose interview review NAME --drafts drafts --into mine/knowledge

    A second person does, never the expert himself. He is shown the words, the changes, what lint
    finds and the invented cases before and after. What he accepts goes into a folder of your own
    and stays UNREVIEWED unless he gives a licence.
    """
    from diagnose.cli.interview.reviewing import review as go_through

    go_through(knowledge_root(context), name, drafts, into)


@app.command("differ")
def differ(context: typer.Context, name: Name, as_json: AsJson = False) -> None:
    """Show where experts differ most, and why.

    Example: diagnose interview differ NAME

    Each one's numbers and reasons, and their seed scores.
    """
    from diagnose.capture.counts import differences
    from diagnose.cli.interview.differing import differing_lines

    root = knowledge_root(context)
    interview = Interview.find_whole(folder(), name)
    body = differences(interview, read_seeds(root, library_at(root)))
    answer(as_json, body, lambda: differing_lines(body))
