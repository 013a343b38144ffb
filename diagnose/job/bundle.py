"""Several readings of one run answered together: '1: 9 psi, 2: normal, 3: -'."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from diagnose.errors import UsageError
from diagnose.job.answers import Answer, is_not_checked, read_answer
from diagnose.job.diagnosis import Bench
from diagnose.planner import Reading
from diagnose.signs import normal_class

T = TypeVar("T")

LEFT_OUT = ("", "-")
"""What stands for a reading that was not taken."""

_ENTRY = re.compile(r"(?:^|(?<=[\s,;]))(\d{1,2})\s*[:=]")


def read_together(text: str, readings: Sequence[Reading], bench: Bench) -> Mapping[int, Answer]:
    """Return the answers in ``text`` by place in ``readings``; who is left out is not in it.

    Raises:
        UsageError: With a line for everything that cannot be read; nothing is kept then.
    """
    if is_not_checked(text):
        return {}
    before, said = by_number(text)
    if before and not said and before == all_well(readings, bench):
        return {k: _one(before, r, bench) for k, r in enumerate(readings)}
    if before or not said:
        raise UsageError(_unnumbered(before, readings, bench))
    answers = each_read(said, len(readings), lambda k, typed: _one(typed, readings[k], bench))
    return {k: a for k, a in answers.items() if a.is_given}


def all_well(readings: Sequence[Reading], bench: Bench) -> str:
    """Return the one word that says of each of ``readings`` at rest that it is well; '' for none.

    A run shows one thing at each instrument, and is written down by its lines.
    """
    library = bench.library
    words = {normal_class(library.questions[r.question], library) for r in readings}
    running = any(r.is_run for r in readings)
    return "" if running or len(words) > 1 else words.pop()


def by_number(text: str) -> tuple[str, list[tuple[int, str]]]:
    """Return what stands before the first number of a line, and what is typed behind each."""
    marks = list(_ENTRY.finditer(text))
    if not marks:
        return text, []
    ends = [*(m.start() for m in marks[1:]), len(text)]
    said = [(int(m[1]), text[m.end() : e].strip(" ,;")) for m, e in zip(marks, ends, strict=True)]
    return text[: marks[0].start()].strip(" ,;"), said


def each_read(
    said: Sequence[tuple[int, str]], lines: int, read: Callable[[int, str], T]
) -> dict[int, T]:
    """Return what ``read`` makes of each line that is not left out, by place; there are ``lines``.

    Raises:
        UsageError: With a line for everything that cannot be read; nothing is kept then.
    """
    out: dict[int, T] = {}
    wrong: list[str] = []
    named: set[int] = set()
    for number, typed in said:
        if not 1 <= number <= lines:
            wrong.append(f"{number}: there is no such line; they go from 1 to {lines}.")
        elif number in named:
            wrong.append(f"{number}: stands twice; which is right?")
        elif typed not in LEFT_OUT:
            try:
                out[number - 1] = read(number - 1, typed)
            except UsageError as error:
                wrong.append(f"{number}: {error}")
        named.add(number)
    if wrong:
        raise UsageError("\n  ".join([*wrong, "Nothing of the line is kept; type it again."]))
    return out


def _unnumbered(text: str, readings: Sequence[Reading], bench: Bench) -> str:
    """Return what to type for an answer that says no line: the line it fits, if it fits one."""
    piece = re.split(r"[,;]", text.strip(" ,;"))[0].strip()
    fits = [k for k, r in enumerate(readings, start=1) if _fits(piece, r, bench)]
    labels = bench.places.label
    if fits:
        first = readings[fits[0] - 1]
        title = bench.library.questions[first.question].title
        where = (
            "" if len(fits) == 1 else f"; it could be any of the lines {', '.join(map(str, fits))}"
        )
        do = (
            f"for {title}, {labels(first.place)}, type '{fits[0]}: {piece}'{where}. "
            "Nothing is kept yet."
        )
    else:
        do = (
            "it is no answer to any line either. Begin with the number of a line. Enter alone: "
            "they are asked one by one, each with its answers."
        )
    return f"'{piece}' stands without the number of its line: {do}"


def _fits(typed: str, reading: Reading, bench: Bench) -> bool:
    try:
        return _one(typed, reading, bench).is_given
    except UsageError:
        return False


def _one(typed: str, reading: Reading, bench: Bench) -> Answer:
    question = bench.library.questions[reading.question]
    return read_answer(typed, question, bench.layout, reading.place)
