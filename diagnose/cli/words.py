"""``diagnose words``: everything an outsider must know to write a case or read an answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Annotated, Any

import typer

from diagnose.cli.loading import knowledge_root, layout_at, library_at
from diagnose.cli.options import AsJson
from diagnose.cli.printing import print_json, say
from diagnose.errors import UsageError
from diagnose.knowledge_files import list_layouts


def words(
    context: typer.Context,
    holding: Annotated[
        list[str] | None,
        typer.Argument(help="Only what holds one of these words; a whole group by its name."),
    ] = None,
    layout: Annotated[
        str, typer.Option("--layout", help="Parts of this layout only, or of a layout file.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """List the words and keys that a case is written in.

    Layouts, parts, questions with their classes, checks with their results, causes, settings,
    keys of a case file: each with what it means.

    Example: diagnose words strainer --layout low-wing-single

    The keys of a case file alone: diagnose words keys
    """
    from diagnose.casebook.vocabulary import vocabulary

    root = knowledge_root(context)
    library = library_at(root)
    names = [layout] if layout else list_layouts(root)
    body = vocabulary(library, [layout_at(root, name) for name in names])
    if as_json and not holding:
        print_json(body)
        return
    if as_json:
        raise UsageError("--json lists everything; leave the words out.")
    wanted = [word.lower() for word in holding or ()]
    lines = list(_holding(_lines(body), wanted) if wanted else _lines(body))
    if not lines:
        raise UsageError(
            f"nothing here holds {' or '.join(wanted)}; leave the words out to see all."
        )
    say(lines)


def _holding(lines: Iterable[str], wanted: list[str]) -> Iterator[str]:
    """Yield the entries with one of the words in them, each group under its heading.

    A word of the heading itself ('keys', 'stages') brings the whole group.
    """
    heading, whole = "", False
    for line in lines:
        if not line.startswith(" "):
            heading = line
            whole = not {*wanted}.isdisjoint(line.rstrip(":").split())
        elif whole or any(word in line.lower() for word in wanted):
            yield from filter(None, (heading, line))
            heading = ""


_INNER = ("classes", "results", "tank_settings")
"""What is listed behind an item: what it may answer, or what its 'tank' may be."""


def _lines(body: Mapping[str, Any]) -> Iterator[str]:
    for group, items in body.items():
        if isinstance(items, list) and items and isinstance(items[0], Mapping):
            yield f"{group}:"
            told = []
            for item in items:
                inner = next((item[k] for k in _INNER if item.get(k)), ())
                told.append(
                    f"  {item['id']}: {item['label']}"
                    + (f"  [{', '.join(inner)}]" if inner else "")
                )
            yield from dict.fromkeys(told)  # a part that several layouts have is told once
    yield "stages of a state, and the power each means:"
    yield from (f"  {stage}: {power}" for stage, power in body["states"]["stages"].items())
    yield "settings of a state:"
    for name, values in body["states"]["settings"].items():
        listed = values if isinstance(values, str) else ", ".join(values)
        yield f"  {name}: {body['states']['meaning'][name]}  [{listed}]"
    yield "known-by:"
    yield from (f"  {word}: {meaning}" for word, meaning in body["known_by_meaning"].items())
    for table, keys in body["case_keys"].items():
        yield f"keys of {table}:" if table != "case" else "keys of a case file:"
        yield from (f"  {key}: {meaning}" for key, meaning in keys.items())
