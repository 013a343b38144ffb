"""Hundreds of damaged files, seeded: each is told with file and line, quickly, or still valid."""

from __future__ import annotations

import gc
import random
import re
import time
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

import pytest
from tiny_library import FILES, tiny_layout, tiny_library, write_tiny

from diagnose.errors import CaseError, KnowledgeError, ProblemsError
from diagnose.knowledge_files import load_case, load_layout, load_library
from diagnose.model import Layout, Library

LAYOUT, CASE = "layouts/tiny-single.yaml", "cases/tiny-1.yaml"
KNOWLEDGE = tuple(name for name in FILES if name not in (LAYOUT, CASE))
ROUNDS = 12
"""Mutants per file and damage; with 20 files and the damages below some thousands in all."""
SLOWEST = 2.0
"""Longest one mutant may take [s]; most take some milliseconds."""

Damage = Callable[[random.Random, str], bytes]


def _line(draw: random.Random, text: str) -> tuple[list[str], int]:
    lines = text.splitlines(keepends=True)
    return lines, draw.randrange(len(lines))


def _token(draw: random.Random, text: str, new: str) -> bytes:
    """Put ``new`` in place of one word or figure."""
    found = draw.choice(list(re.finditer(r"[\w.-]+", text)))
    return (text[: found.start()] + new + text[found.end() :]).encode()


def wrong_type(draw: random.Random, text: str) -> bytes:
    """Put a list, a mapping, nothing, or an odd figure where a word stood."""
    odd = ("[]", "{}", "[a, b]", "{a: b}", "''", "~", "1e400", "-1", ".nan", "0", "1e-300", "yes")
    return _token(draw, text, draw.choice(odd))


def unknown_name(draw: random.Random, text: str) -> bytes:
    """Misspell one word."""
    return _token(draw, text, draw.choice(("zzz", "fuel-presure", "tanks", "x" * 5_000)))


def duplicate_key(draw: random.Random, text: str) -> bytes:
    """Write one line twice."""
    lines, at = _line(draw, text)
    return "".join([*lines[:at], lines[at], *lines[at:]]).encode()


def missing_line(draw: random.Random, text: str) -> bytes:
    """Delete one line."""
    lines, at = _line(draw, text)
    return "".join(lines[:at] + lines[at + 1 :]).encode()


def swapped_lines(draw: random.Random, text: str) -> bytes:
    """Move one line somewhere else."""
    lines, at = _line(draw, text)
    line = lines.pop(at)
    lines.insert(draw.randrange(len(lines) + 1), line)
    return "".join(lines).encode()


def truncated(draw: random.Random, text: str) -> bytes:
    """Cut the file off at any byte."""
    data = text.encode()
    return data[: draw.randrange(len(data))]


def flipped(draw: random.Random, text: str) -> bytes:
    """Change a few bytes to anything, as a failing disk would."""
    data = bytearray(text.encode())
    for _ in range(draw.randint(1, 4)):
        data[draw.randrange(len(data))] = draw.randrange(256)
    return bytes(data)


def not_utf8(draw: random.Random, text: str) -> bytes:
    """Put a byte that no UTF-8 text holds."""
    data = text.encode()
    at = draw.randrange(len(data))
    return data[:at] + b"\xff" + data[at:]


def control_character(draw: random.Random, text: str) -> bytes:
    """Put a character that YAML does not allow."""
    at = draw.randrange(len(text))
    return (text[:at] + draw.choice("\0\a\x1b\x7f") + text[at:]).encode()


def punctuation(draw: random.Random, text: str) -> bytes:
    """Put one sign of YAML's own anywhere."""
    at = draw.randrange(len(text))
    return (text[:at] + draw.choice("[]{},:&*!|>'\"%@`#-?\t\n") + text[at:]).encode()


def deep(draw: random.Random, text: str) -> bytes:
    """Nest one value thousands deep."""
    return _token(draw, text, draw.choice(("[" * 5_000, "[" * 30 + "]" * 30, "{a: " * 5_000)))


def huge(draw: random.Random, text: str) -> bytes:
    """Make one value, or the number of values, enormous."""
    new = ("w" * 600_000, "[" + "a, " * 60_000 + "a]", "[" + "{a: b}, " * 9_000 + "a]")
    return _token(draw, text, draw.choice(new))


def exploding(draw: random.Random, text: str) -> bytes:
    """Add aliases that would become half a thousand million nodes."""
    bomb = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    bomb += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, draw.randint(6, 9))]
    return (text + "\n".join(bomb) + "\n").encode()


def tagged(draw: random.Random, text: str) -> bytes:
    """Ask the parser to build an object."""
    return _token(draw, text, draw.choice(("!!python/name:os.system x", "!!binary aGk=", "!x y")))


def second_document(draw: random.Random, text: str) -> bytes:
    """Append another document."""
    return (text + "---\n" + text).encode()


ALWAYS_WRONG: tuple[Damage, ...] = (
    not_utf8,
    control_character,
    exploding,
    second_document,
)
"""Damages that no file survives."""
SOMETIMES_WRONG: tuple[Damage, ...] = (
    wrong_type,
    unknown_name,
    duplicate_key,
    missing_line,
    swapped_lines,
    truncated,
    flipped,
    punctuation,
    deep,
    huge,
    tagged,
)
"""Damages that may fall into a comment or free text and leave the file valid."""


def verdict(load: Callable[[], object], kind: type[ProblemsError]) -> ProblemsError | None:
    """Load one mutant: its problems, or None if it is still valid; anything else fails the test."""
    error: ProblemsError | None = None
    gc.disable()  # what other tests keep alive is no part of the time
    start = time.process_time()
    try:
        load()
    except kind as caught:
        error = caught
    finally:
        gc.enable()
    took = time.process_time() - start
    assert took < SLOWEST, f"took {took:.1f} s"
    return error


def check(error: ProblemsError) -> None:
    """Hold every problem to one line, at a file and a line, of printable length."""
    assert error.problems
    for problem in error.problems:
        assert problem.origin.file.endswith(".yaml")
        assert problem.origin.line >= 1
        assert problem.origin.col >= 1
        assert "\n" not in str(problem)
        assert len(str(problem)) < 1_500


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> tuple[Library, Layout]:
    """The undamaged library and layout, for cases."""
    folder = tmp_path_factory.mktemp("sound")
    return tiny_library(folder), tiny_layout(folder)


def damaged(
    damage: Damage,
    file: str,
    rounds: int,
    load: Callable[[bytes], object],
    kind: type[ProblemsError],
) -> int:
    """Damage ``file`` so often; return how many mutants were refused."""
    refused = 0
    for number in range(rounds):
        draw = random.Random(f"{damage.__name__} {file} {number}")
        error = verdict(partial(load, damage(draw, FILES[file])), kind)
        if error is not None:
            check(error)
            refused += 1
    return refused


def _loaders(
    folder: Path, sound: tuple[Library, Layout]
) -> Mapping[str, tuple[Callable[[str, bytes], object], type[ProblemsError]]]:
    """Return how a mutant of each sort of file is written and loaded."""
    root = write_tiny(folder)

    def knowledge(file: str, data: bytes) -> object:
        (root / file).write_bytes(data)
        try:
            return load_library(root, use_cache=False)
        finally:
            (root / file).write_text(FILES[file])

    def layout(file: str, data: bytes) -> object:
        (root / file).write_bytes(data)
        return load_layout(root / file)

    def case(file: str, data: bytes) -> object:
        (folder / file).write_bytes(data)
        return load_case(folder / file, *sound)

    return {
        "knowledge": (knowledge, KnowledgeError),
        "layout": (layout, KnowledgeError),
        "case": (case, CaseError),
    }


SORTS: Mapping[str, tuple[tuple[str, ...], int]] = {
    "knowledge": (KNOWLEDGE, 2),
    "layout": ((LAYOUT,), ROUNDS),
    "case": ((CASE,), ROUNDS),
}
"""Sort of file -> its files and the mutants of each per damage."""


@pytest.mark.parametrize("sort", SORTS)
@pytest.mark.parametrize("damage", ALWAYS_WRONG, ids=lambda damage: damage.__name__)
def test_damage_that_no_file_survives_is_always_refused(
    tmp_path: Path, sound: tuple[Library, Layout], sort: str, damage: Damage
) -> None:
    """Every single mutant is refused with file and line."""
    load, kind = _loaders(tmp_path, sound)[sort]
    files, rounds = SORTS[sort]
    for file in files:
        refused = damaged(damage, file, rounds, partial(load, file), kind)

        assert refused == rounds, f"a mutant of {file} was accepted"


@pytest.mark.parametrize("sort", SORTS)
@pytest.mark.parametrize("damage", SOMETIMES_WRONG, ids=lambda damage: damage.__name__)
def test_other_damage_is_refused_with_its_place_or_harmless(
    tmp_path: Path, sound: tuple[Library, Layout], sort: str, damage: Damage
) -> None:
    """Never another exception, never slow; and most of it is noticed."""
    load, kind = _loaders(tmp_path, sound)[sort]
    files, rounds = SORTS[sort]
    refused = sum(damaged(damage, file, rounds, partial(load, file), kind) for file in files)

    # free text and reordered lines are no mistakes, so only a part must be refused
    assert refused >= 0.1 * rounds * len(files)
