"""``diagnose cases``: the case library, jobs drawn with the model, proofs, and cases alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.cli.cases.judged import judged
from diagnose.cli.cases.told import told
from diagnose.cli.loading import bench_at, knowledge_root, layouts_at, library_at
from diagnose.cli.options import AsJson, CaseFile, CaseFolder, Written
from diagnose.cli.printing import answer, put, tell_warnings, told_on_a_terminal
from diagnose.errors import UsageError, did_you_mean
from diagnose.knowledge_files import (
    case_folders,
    find_knowledge,
    layout_of_case,
    list_layouts,
    load_case,
    load_library,
    load_shelf,
)
from diagnose.knowledge_files.yaml_writing import write_proof
from diagnose.model import Case, Layout, Library

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.job.diagnosis import Bench

app = typer.Typer(
    no_args_is_help=True,
    help="Cases: finished jobs that test and teach.\n\nExample: diagnose cases prove "
    "strainer-plugged",
)

Causes = Annotated[
    list[str] | None, typer.Argument(help="Causes by id; all when left out.", metavar="CAUSE")
]


def _sound(
    root: Path, folder: Path | None, library: Library, layouts: Mapping[str, Layout]
) -> Sequence[Case]:
    """Return the cases that go with the knowledge; every one must be readable.

    But for shipped ones, where the knowledge is a folder of one's own: an older copy may lack what
    a newer case speaks of, and that must not stop work on it.  How many is told.
    """
    shipped, *own = case_folders(root, folder)
    if folder is not None or root.resolve() == find_knowledge().resolve():
        return load_shelf([shipped, *own], library, layouts).sound()
    shelf, mine = load_shelf([shipped], library, layouts), load_shelf(own, library, layouts)
    if shelf.problems:
        many = f"{len(shelf.problems)} problem(s) in shipped cases"
        tell_warnings([f"{many} that this knowledge cannot read; left out: {shelf.problems[0]}"])
    return tuple({c.id: c for c in (*shelf.cases, *mine.sound())}.values())


@app.command("list")
def list_all(
    context: typer.Context,
    cause: Annotated[str, typer.Option("--cause", help="Only cases of this cause.")] = "",
    folder: CaseFolder = None,
    as_json: AsJson = False,
) -> None:
    """List the cases: published, invented, drawn with the model.  Example: diagnose cases list"""
    from diagnose.cli.cases.casebook_view import list_body, list_text

    root = knowledge_root(context)
    library = library_at(root)
    _known(library, [cause] if cause else [])
    cases = _sound(root, folder, library, layouts_at(root))
    body = list_body([c for c in cases if not cause or cause in {x.cause for x in c.causes}])
    answer(as_json, body, lambda: list_text(body))


@app.command()
def begin(
    context: typer.Context,
    layout: Annotated[str, typer.Option("--layout", help="The layout it happened on.")],
    report: Annotated[str, typer.Option("--report", help="What was reported, verbatim.")],
    source: Annotated[
        str, typer.Option("--source", help="Where it is published, by its number.")
    ] = "own record",
    output: Written = None,
) -> None:
    """Begin a case file from a report.

    What is heard in it stands as findings, each beside its words; what it leaves open as comments.
    Read every line before it counts.

    Example: diagnose cases begin --layout low-wing-single --report "Quit on the left tank"
    """
    from diagnose.casebook import begun

    if not report.split():
        raise UsageError("the report is empty; say what was reported with --report.")
    if output is not None and output.exists():
        raise UsageError(f"{output} is there already; name another file with --output.")
    name = output.stem if output is not None else "my-case"
    put(begun(report, bench_at(knowledge_root(context), layout), name, source), output)


@app.command("draw")
def draw_cases(
    context: typer.Context,
    causes: Causes = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="Write the case files here instead of printing.")
    ] = None,
    each: Annotated[int, typer.Option("--each", min=1, max=99, help="Jobs for each cause.")] = 2,
    seed: Annotated[int, typer.Option("--seed", min=0, help="Seed of everything random.")] = 1,
) -> None:
    """Make jobs with the fuel-system model and noise.  Example: diagnose cases draw vent-nest

    The same seed gives the same jobs.  Failures without a physical form are passed over.
    """
    from diagnose.casebook import case_text, draw_all

    root = knowledge_root(context)
    library, benches = library_at(root), _benches(root)
    _known(library, causes or [])
    drawn = draw_all(
        library, benches, each=each, seed=seed, only=causes or (), progress=told_on_a_terminal
    )
    for case in drawn.cases:
        if out is None:
            typer.echo(f"# {case.id}.yaml\n{case_text(case)}")
        else:
            _kept(out, f"{case.id}.yaml", case_text(case))
    typer.echo(f"{len(drawn.cases)} jobs drawn.", err=True)
    formless = [c for c in causes or () if library.causes[c].physical is None]
    if formless:
        typer.echo(f"No physical form in the model: {', '.join(formless)}.", err=True)
    if drawn.silent:
        typer.echo(f"The model shows nothing of: {', '.join(drawn.silent)}.", err=True)


@app.command("prove")
def prove(
    context: typer.Context,
    causes: Causes = None,
    folder: CaseFolder = None,
    write: Annotated[
        bool,
        typer.Option("--write", help="Choose the proofs anew and write them into the causes."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Replay the proof of every cause.  Example: diagnose cases prove strainer-plugged

    On a case named under fires-on the findings alone must raise the cause; on one under
    settled-on the check that was done must put it first; on one under silent-on, a case of
    another cause, the findings must not raise it.
    """
    from diagnose.cli.cases.casebook_view import prove_body, prove_text
    from diagnose.replay.proof import Ranked, replayed
    from diagnose.replay.proof_choice import choose

    root = knowledge_root(context)
    library, benches = library_at(root), _benches(root)
    _known(library, causes or [])
    cases = _sound(root, folder, library, layouts_at(root))
    ranked = Ranked(cases, benches, told_on_a_terminal)
    if write:
        chosen = choose(library, ranked.all())
        for name in causes or library.causes:
            file = root / "causes" / library.causes[name].family / f"{name}.yaml"
            write_proof(file, chosen[name].fires, chosen[name].silent, chosen[name].settled)
        library = load_library(root)
    wanted = [c for c in library.causes.values() if not causes or c.id in causes]
    body = prove_body(wanted, *replayed(wanted, ranked))
    answer(as_json, body, lambda: prove_text(body))


@app.command("similar")
def similar(
    context: typer.Context,
    case: CaseFile,
    most: Annotated[int, typer.Option("--most", min=1, help="How many to show.")] = 5,
    folder: CaseFolder = None,
    as_json: AsJson = False,
) -> None:
    """Show finished cases like this one, your own jobs too.  Example: diagnose cases similar X.yaml

    For comparison only: the ranking takes no notice of them.
    """
    from diagnose.cli.cases.alike_view import alike_body, alike_lines
    from diagnose.cli.job.past import Past

    root = knowledge_root(context)
    bench = bench_at(root, layout_of_case(case))
    loaded = load_case(case, bench.library, bench.layout)
    past = Past(root, folder)
    body = alike_body(bench, past.like(bench, loaded.findings, most, but=loaded.id), past)
    answer(as_json, {"case": loaded.id, **body}, lambda: alike_lines(body))


app.command("judged")(judged)
app.command("told")(told)


def _kept(folder: Path, name: str, text: str) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    except OSError as error:
        raise UsageError(
            f"'{folder}' cannot be written to ({error.strerror}); name another folder with --out."
        ) from None


def _benches(root: Path) -> Mapping[str, Bench]:
    return {name: bench_at(root, name) for name in list_layouts(root)}


def _known(library: Library, causes: Sequence[str]) -> None:
    for name in causes:
        if name not in library.causes:
            hint = did_you_mean(name, library.causes)
            raise UsageError(f"'{name}' is not a cause{hint} `diagnose words` lists them.")
