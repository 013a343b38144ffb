"""``diagnose words``: everything an outsider must know to write a case or read an answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Annotated, Any

import typer

from diagnose.cli.case_keys import CASE_KEYS, KNOWN_BY_MEANS, SETTINGS_MEAN
from diagnose.cli.loading import knowledge_root, layout_at, library_at, print_json
from diagnose.model import TANKS

if TYPE_CHECKING:
    from diagnose.model import Layout, Library


def words(
    context: typer.Context,
    holding: Annotated[
        list[str] | None,
        typer.Argument(help="Only what holds one of these words; a whole group by its name."),
    ] = None,
    layout: Annotated[
        str, typer.Option("--layout", help="Parts of this layout only, or of a layout file.")
    ] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """List the words and keys that a case is written in.

    Layouts, parts, questions with their classes, checks with their results, causes, settings,
    keys of a case file: each with what it means.

    Example: diagnose words strainer --layout low-wing-single

    The keys of a case file alone: diagnose words keys
    """
    from diagnose.errors import UsageError
    from diagnose.knowledge_files import list_layouts

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
    typer.echo("\n".join(lines))


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


def vocabulary(library: Library, layouts: list[Layout]) -> Mapping[str, object]:
    """Return the vocabulary as plain data, ids beside labels."""
    from diagnose.model import DIMENSIONS, KNOWN_BY, STAGES
    from diagnose.places import Places, joint_positions
    from diagnose.rules import words_of

    return {
        "knowledge_edition": library.edition,
        "layouts": [
            {
                "id": x.id,
                "label": x.title,
                "traits": dict(x.traits),
                "tank_settings": [
                    *(p.id for p in x.parts.values() if p.kind in TANKS),
                    *joint_positions(x),
                ],
                "run_states": [
                    {"id": s.id, "label": s.title, "stage": s.stage, "settings": dict(s.settings)}
                    for s in x.run_states
                ],
            }
            for x in layouts
        ],
        "parts": [
            {
                "id": p.id,
                "label": names.label(p.id),
                "kind": p.kind,
                "layout": x.id,
                "side": p.side,
                "position": p.position,
                "of": p.of,
            }
            for x in layouts
            for names in [Places(x, library.words.unstated)]
            for p in x.parts.values()
        ],
        "questions": [
            {
                "id": q.id,
                "label": q.title,
                "ask": q.ask,
                "at": list(q.at),
                "classes": dict(q.classes),
                "unit": q.unit,
                "stages": list(q.stages),
                "needs": dict(q.needs),
                "reads": q.reads,
            }
            for q in library.questions.values()
        ],
        "signs": [
            {"id": f"{q.id}:{c}", "label": f"{q.title}: {label}"}
            for q in library.questions.values()
            for c, label in q.classes.items()
        ],
        "symptoms": [
            {"id": s.id, "label": s.title, "at": list(s.at), "when": words_of(s.when)}
            for s in library.symptoms.values()
        ],
        "causes": [
            {
                "id": c.id,
                "label": c.title,
                "family": c.family,
                "part_kinds": list(c.part_kinds),
                "outside": c.outside,
                "because": c.because,
            }
            for c in library.causes.values()
        ],
        "families": [
            {"id": f, "label": f.replace("-", " ")}
            for f in sorted({c.family for c in library.causes.values()})
        ],
        "checks": [
            {"id": c.id, "label": c.title, "at": list(c.at), "results": dict(c.results)}
            for c in library.checks.values()
        ],
        "effects": [
            {"id": e.id, "label": e.title, "at": list(e.at), "values": list(e.values)}
            for e in library.effects.values()
        ],
        "states": {
            "stages": dict(STAGES),
            "settings": {
                d: list(v) or "one of tank_settings of the layout" for d, v in DIMENSIONS.items()
            },
            "meaning": dict(SETTINGS_MEAN),
        },
        "known_by": list(KNOWN_BY),
        "known_by_meaning": dict(KNOWN_BY_MEANS),
        "case_keys": {table: dict(keys) for table, keys in CASE_KEYS.items()},
    }
