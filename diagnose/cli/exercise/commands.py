"""``diagnose exercise``: a simulated aeroplane with a hidden fault, and its debrief."""

from __future__ import annotations

import secrets
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from diagnose.cli.loading import (
    bench_at,
    bench_kept,
    knowledge_root,
    layouts_at,
    library_at,
    own_layout,
)
from diagnose.cli.options import AsJson
from diagnose.cli.printing import answer, counted, put, say, told_on_a_terminal
from diagnose.errors import NOWHERE, CaseError, Problem, UsageError, did_you_mean
from diagnose.knowledge_files import (
    find_cases,
    layout_of_case,
    list_layouts,
    load_exercise,
)
from diagnose.knowledge_files.exercises import is_exercise
from diagnose.model import CauseAt, SetExercise
from diagnose.training.events import Exercises

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.job.diagnosis import Bench
    from diagnose.training.attempt import Attempt
    from diagnose.training.drawing import Drawn

app = typer.Typer(
    no_args_is_help=True,
    help="Practise on a simulated aeroplane with a hidden fault.\n\n"
    "Start one:   diagnose exercise start low-wing-single\n\n"
    "What next:   diagnose exercise next",
)

Name = Annotated[str, typer.Argument(help="The exercise, as `diagnose exercise list` names it.")]
Apprentice = Annotated[str, typer.Option("--apprentice", help="Name or initials.")]
Seed = Annotated[
    int | None, typer.Option("--seed", min=0, max=10**6, help="The same seed, the same aeroplane.")
]
Family = Annotated[str, typer.Option("--family", help="Draw from this family of failure modes.")]
Level = Annotated[
    str, typer.Option("--level", help="easy, medium or hard: how many failures share the report.")
]


@app.command("start")
def start(
    context: typer.Context,
    layout: Annotated[str, typer.Argument(help="A layout, or an exercise file of an instructor.")],
    seed: Seed = None,
    family: Family = "",
    level: Level = "",
    fault: Annotated[
        str, typer.Option("--fault", metavar="CAUSE@PART", help="For the instructor: this fault.")
    ] = "",
    apprentice: Apprentice = "",
) -> None:
    """Hide a fault in a simulated aeroplane, and work it.

    Example: diagnose exercise start low-wing-single

    You ask in your own words, run engines, make checks, then name the part. What is not known safe
    is refused and counted; what is dangerous stops you at once. 'help' lists what can be typed.
    """
    from diagnose.cli.exercise.session import ExerciseSession
    from diagnose.training.keeping import begin, of_file

    root = knowledge_root(context)
    day = date.today().isoformat()
    file = _file_of(root, layout)
    if file is not None:
        if seed is not None or family or level or fault:
            raise UsageError("an exercise file says its own fault and seed; leave the options out.")
        bench, found = _set_exercise(root, file)
        drawn, at_hand = of_file(bench, found)
        typed = {"apprentice": apprentice, "title": found.title}
    else:
        bench, at_hand = bench_at(root, layout), {}
        drawn = _drawn(bench, seed, family, level, fault)
        typed = {"apprentice": apprentice, **own_layout(root, layout)}
    name, attempt = begin(Exercises(), bench, drawn, day, at_hand, **typed)
    ExerciseSession(name, attempt).run()


@app.command("resume")
def resume(context: typer.Context, exercise: Name) -> None:
    """Go on with an exercise where it was left.

    Example: diagnose exercise resume NAME
    """
    from diagnose.cli.exercise.session import ExerciseSession

    attempt = _take_up(knowledge_root(context), exercise)
    if attempt.state.over:
        raise UsageError(f"{exercise} is over; see `diagnose exercise debrief {exercise}`.")
    ExerciseSession(exercise, attempt).run()


@app.command("debrief")
def tell(context: typer.Context, exercise: Name, as_json: AsJson = False) -> None:
    """Hold a finished exercise against the planner's route.

    Example: diagnose exercise debrief NAME

    Each look is held against what was known then, not against the answer: whether it was worth its
    minutes, what was luck, which dangers and look-alikes were missed.
    """
    from diagnose.cli.exercise.debrief_view import debrief_lines
    from diagnose.training.debrief import as_json as as_data
    from diagnose.training.debrief import debrief

    attempt = _take_up(knowledge_root(context), exercise)
    if not attempt.state.over:
        raise UsageError(
            f"{exercise} is not over, and a debrief tells the fault. Go on with `diagnose exercise "
            f"resume {exercise}`, or give up there with 'stop'."
        )
    body = {"exercise": exercise, **as_data(debrief(attempt))}
    answer(as_json, body, lambda: debrief_lines(body))


@app.command("list")
def list_exercises(context: typer.Context, as_json: AsJson = False) -> None:
    """List your exercises.

    Example: diagnose exercise list --json

    What was hidden is told of those that are over.
    """
    from diagnose.cli.exercise.view import list_lines

    rows, damaged = _rows(knowledge_root(context))
    answer(as_json, {"exercises": rows, "unreadable": damaged}, lambda: list_lines(rows))
    if damaged:
        raise CaseError([Problem(NOWHERE, text) for text in damaged])


@app.command("next")
def next_up(context: typer.Context, apprentice: Apprentice = "", as_json: AsJson = False) -> None:
    """Say what to practise next, and on which layout.

    Example: diagnose exercise next

    What keeps going wrong first, then the commonest trouble on the simplest aeroplane, by a fixed
    ladder of days.
    """
    from diagnose.cli.exercise.view import next_lines
    from diagnose.training.practice import what_next

    root = knowledge_root(context)
    rows = [r for r in _rows(root)[0] if not apprentice or r["apprentice"] == apprentice]
    today = date.today()
    body = what_next(rows, library_at(root), layouts_at(root).values(), today)
    answer(as_json, body, lambda: next_lines(body, today.isoformat()))


@app.command("set")
def set_up(
    context: typer.Context,
    layout: Annotated[str, typer.Argument(help="A layout, or an exercise file to be looked at.")],
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Write the exercise file here.")
    ] = None,
    seed: Seed = None,
    family: Family = "",
    level: Level = "",
    fault: Annotated[
        str, typer.Option("--fault", metavar="CAUSE@PART", help="Hide this fault.")
    ] = "",
) -> None:
    """Draw an exercise as a file, or look at one.

    Example: diagnose exercise set low-wing-single -o exercise.yaml

    For the instructor, who hands it out to several apprentices.
    """
    from diagnose.cli.exercise.view import set_lines
    from diagnose.training.keeping import of_file
    from diagnose.training.writing import exercise_text

    root = knowledge_root(context)
    file = _file_of(root, layout)
    if file is not None:
        if seed is not None or family or level or fault or output is not None:
            raise UsageError("an exercise file is only looked at; the options draw a new one.")
        bench, found = _set_exercise(root, file)
        drawn, _ = of_file(bench, found)
        say(set_lines(bench, found, drawn))
        return
    bench = bench_at(root, layout)
    drawn = _drawn(bench, seed, family, level, fault)
    name = output.stem if output else "my-exercise"
    text = exercise_text(bench, drawn, name)
    put(text if output else text.rstrip("\n"), output)


# ------------------------------------------------------------------ shared


def _file_of(root: Path, name: str) -> Path | None:
    """Return the exercise file that is named, by its path or as one of those shipped.

    None for a layout.
    """
    path = Path(name)
    if name.endswith((".yaml", ".yml")):
        return path if not path.is_file() or is_exercise(path) else None
    shipped = {f.stem: f for f in sorted((find_cases() / "exercises").glob("[!.]*.yaml"))}
    there = list_layouts(root)
    if name not in shipped and name not in there:
        raise UsageError(
            f"'{name}' is neither a layout nor an exercise{did_you_mean(name, (*there, *shipped))} "
            f"Layouts: {', '.join(there)}. Exercises: {', '.join(shipped)}."
        )
    return shipped.get(name)


def _set_exercise(root: Path, file: Path) -> tuple[Bench, SetExercise]:
    bench = bench_at(root, layout_of_case(file, "exercise"))
    return bench, load_exercise(file, bench.library, bench.layout)


def _drawn(bench: Bench, seed: int | None, family: str, level: str, fault: str) -> Drawn:
    from diagnose.training.drawing import draw

    hidden = None
    if fault:
        cause, at_sign, at = fault.partition("@")
        if not at_sign:
            raise UsageError(
                f"'{fault}': a fault is written CAUSE@PART, strainer-plugged@strainer."
            )
        hidden = CauseAt(cause, at)
    number = secrets.randbelow(10**6) if seed is None else seed
    told = counted("drawing an exercise, {} of at most {}")
    drawn = draw(bench, number, family, level, hidden, told)
    told_on_a_terminal("")
    return drawn


def _take_up(root: Path, name: str) -> Attempt:
    from diagnose.training.keeping import opening, take_up

    log, first = opening(Exercises(), name)
    attempt = take_up(bench_kept(root, first, log.path), log)
    if log.set_aside:
        typer.echo(f"Note: {log.set_aside}", err=True)
    return attempt


def _rows(root: Path) -> tuple[list[dict[str, Any]], list[str]]:
    """Return every exercise that can be read as plain data, and what is wrong with the others."""
    from diagnose.training.keeping import row

    folder, rows, damaged = Exercises(), [], []
    for name in folder.ids():
        try:
            found = row(folder, name, library_at(root))
        except CaseError as error:
            damaged.append(str(error))
            continue
        if found is not None:
            rows.append(found)
    return rows, damaged
