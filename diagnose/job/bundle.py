"""Several readings of one run answered together: '1: 9 psi, 2: normal, 3: -'."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from diagnose.errors import UsageError
from diagnose.job.answers import Answer, is_not_checked, read_answer
from diagnose.job.diagnosis import Bench
from diagnose.planner import Reading

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
    marks = list(_ENTRY.finditer(text))
    if not marks or text[: marks[0].start()].strip(" ,;"):
        raise UsageError(_unnumbered(text[: marks[0].start()] if marks else text, readings, bench))
    out: dict[int, Answer] = {}
    wrong: list[str] = []
    named: set[int] = set()
    ends = [*(m.start() for m in marks[1:]), len(text)]
    for mark, end in zip(marks, ends, strict=True):
        number, typed = int(mark[1]), text[mark.end() : end].strip(" ,;")
        if not 1 <= number <= len(readings):
            wrong.append(f"{number}: there is no such line; they go from 1 to {len(readings)}.")
        elif number in named:
            wrong.append(f"{number}: stands twice; which is right?")
        elif typed not in LEFT_OUT:
            try:
                out[number - 1] = _one(typed, readings[number - 1], bench)
            except UsageError as error:
                wrong.append(f"{number}: {error}")
        named.add(number)
    if wrong:
        raise UsageError("\n  ".join([*wrong, "Nothing of the line is kept; type it again."]))
    return {k: a for k, a in out.items() if a.is_given}


def _unnumbered(text: str, readings: Sequence[Reading], bench: Bench) -> str:
    """Return what to type for an answer that says no line: the line it fits, if it fits one."""
    piece = re.split(r"[,;]", text.strip(" ,;"))[0].strip()
    fits = [k for k, r in enumerate(readings, start=1) if _fits(piece, r, bench)]
    labels = bench.places.label
    if fits:
        first = readings[fits[0] - 1]
        title = bench.library.questions[first.question].title
        where = "" if len(fits) == 1 else f"; it could be any of the lines {_listed(fits)}"
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


def _listed(lines: Sequence[int]) -> str:
    return ", ".join(str(k) for k in lines)


def _fits(typed: str, reading: Reading, bench: Bench) -> bool:
    try:
        return _one(typed, reading, bench).is_given
    except UsageError:
        return False


def _one(typed: str, reading: Reading, bench: Bench) -> Answer:
    question = bench.library.questions[reading.question]
    return read_answer(typed, question, bench.layout, reading.place)
