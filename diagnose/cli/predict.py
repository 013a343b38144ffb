"""``diagnose predict``: solves the fuel-system model for layouts ahead of use, and keeps it."""

from __future__ import annotations

from time import perf_counter

import typer

from diagnose.cli.loading import knowledge_root, layout_at, library_at, solving
from diagnose.cli.options import AnyLayout, AsJson
from diagnose.cli.printing import print_json, told_on_a_terminal
from diagnose.knowledge_files import list_layouts
from diagnose.places import Places


def predict(
    context: typer.Context,
    layout: AnyLayout = "",
    as_json: AsJson = False,
) -> None:
    """Solve the fuel-system model ahead of '--evidence both'.

    Every failure with a physical form, in every standard run state.

    Example: diagnose predict low-wing-single

    What is kept holds until a figure of the layout, a physical form or the model changes.
    """
    from diagnose.predict import Store, predictions, solvable
    from diagnose.predict.store import key_of

    root, store = knowledge_root(context), Store()
    library = library_at(root)
    done: list[dict[str, object]] = []
    for name in [layout] if layout else list_layouts(root):
        places = Places(layout_at(root, name), library.words.unstated)
        asked = solvable(library, places.layout, places.cause_instances(library))
        there = store.has(key_of(asked))
        started = perf_counter()
        tables = predictions(library, places, store=store, progress=solving(places.layout)).tables
        told_on_a_terminal("")
        done.append(
            {
                "layout": places.layout.id,
                "made_now": not there,
                "causes": len(tables.causes),
                "run_states": len(tables.cells),
                "solved": tables.solved,
                "without_steady_state": tables.unsolved,
                "seconds": round(perf_counter() - started, 2),
            }
        )
        if not as_json:
            typer.echo(_line(done[-1]))
    if as_json:
        print_json({"command": "predict", "layouts": done})


def _line(one: dict[str, object]) -> str:
    how = "solved" if one["made_now"] else "kept from before"
    return (
        f"{one['layout']}: {how}: {one['solved']} states with a failure, {one['causes']} causes in "
        f"{one['run_states']} run states, {one['without_steady_state']} without a steady state and "
        f"left out; {one['seconds']} s"
    )
