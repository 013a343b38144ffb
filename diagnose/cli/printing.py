"""How a command answers: lines or one JSON object, warnings and progress on stderr, files."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import typer

from diagnose.cli.room import unbroken
from diagnose.errors import Problem, UsageError
from diagnose.how_far import HowFar

SCHEMA_VERSION = 1
"""Version of every JSON object printed by the commands."""


def answer(
    as_json: bool, body: Mapping[str, object], lines: Callable[[], Iterable[str] | str]
) -> None:
    """Print ``body`` as JSON, or ``lines`` for people."""
    if as_json:
        print_json(body)
    else:
        say(lines())


def say(lines: Iterable[str] | str) -> None:
    """Print one line or several."""
    for line in [lines] if isinstance(lines, str) else lines:
        typer.echo(line)


def wrap(text: str, indent: int = 0) -> list[str]:
    """Return ``text`` in lines of at most 79 characters, further lines indented; else unbroken."""
    if unbroken():
        return [text]
    return textwrap.wrap(
        text, 79, subsequent_indent=" " * indent, break_on_hyphens=False, break_long_words=False
    )


def wrapped(texts: Iterable[str], indent: int) -> list[str]:
    """Return several texts in lines, each as ``wrap`` sets it."""
    return [line for text in texts for line in wrap(text, indent)]


def items(texts: Iterable[str]) -> list[str]:
    """Return texts as indented lines."""
    return wrapped((f"  {text}" for text in texts), 6)


def print_json(body: Mapping[str, object]) -> None:
    """Print one JSON object, ``schema_version`` first."""
    typer.echo(json.dumps({"schema_version": SCHEMA_VERSION, **body}, ensure_ascii=False, indent=1))


def put(text: str, output: Path | None) -> None:
    """Print ``text``, or write it to the file the user named."""
    if output is None:
        typer.echo(text)
        return
    write(output, text)
    typer.echo(f"written: {output}", err=True)


def write(path: Path, content: str | bytes, option: str = "") -> None:
    """Write a file the user named; ``option`` is the one he named it with, if it is to be told."""
    try:
        path.write_bytes(content.encode() if isinstance(content, str) else content)
    except OSError as error:
        why = error.strerror
        told = f"{option} {path}: cannot be written ({why})." if option else ""
        raise UsageError(told or f"{path} cannot be written: {why}.") from None


def tell_warnings(warnings: Iterable[str]) -> None:
    """Say on stderr what a case file says that may not count as meant, one line each."""
    for warning in warnings:
        typer.echo(f"warning: {warning}", err=True)


def told_on_a_terminal(line: str) -> None:
    """Say how far long work has come, on stderr and only to a person; '' clears what was said."""
    if sys.stderr.isatty():
        typer.echo(f"\r\033[K{line}", err=True, nl=False)


def counted(words: str) -> HowFar:
    """Return what says how far long work is, as 'solving: {} of {} run states'."""
    return lambda done, total: told_on_a_terminal(words.format(done, total))


def problem_rows(problems: Iterable[Problem]) -> list[dict[str, object]]:
    """Return problems found in files as plain data."""
    return [
        {"file": p.origin.file, "line": p.origin.line, "col": p.origin.col, "text": p.text}
        for p in problems
    ]
