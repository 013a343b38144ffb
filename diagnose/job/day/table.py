"""A run card read back: what was typed or pasted for each box, before any of it counts.

One line a card line: its number, then an answer for each box in the order of the boxes, or named::

    3: 16, 11, 16, 15.5 psi
    4: a, b, a, a
    5: 2 PI = lit, 3 SI = -

A header row ``line; 1 PO; 2 PI; ...`` names the boxes of pasted columns.  ``card: 3F2A`` says which
card it is.  ``start: AB`` says who
ticked everything before the start, ``by: CD`` who read.  '-' is 'not read'; an empty cell says
nothing; 'sure' behind an answer says that it was read twice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from string import ascii_lowercase

from diagnose.errors import UsageError
from diagnose.job.answers import Answer, read_answer
from diagnose.job.day.card import CardLine, code_of, short_label
from diagnose.job.diagnosis import Bench
from diagnose.job.keeping.disturbed import initials
from diagnose.knowledge_files import limit_of
from diagnose.model import Question
from diagnose.units import parse

NOT_READ = ("-", "–", "not read", "not checked")
SURE = "sure"

_NUMBERED = re.compile(r"\s*(\d{1,3})\s*[:;,|\t]\s*(.*)$|\s*(\d{1,3})\s+(.*)$")
_START_AND_BY = re.compile(
    r"(start\s*:\s*[^\s:]+).*?\s(by\s*:\s*[^\s:]+)(?:\s*\(.*\))?", re.IGNORECASE
)
"""Both initials on one line, as the sheet shows them."""

_FIGURE = re.compile(r"([-+−]?(?:\d+\.?\d*|\.\d+))\s*(.*)$")
_COMMA = re.compile(r"\d,\d")


@dataclass(frozen=True)
class Cell:
    """One box read back; ``answer`` is None when it was not read.  ``figure``: as typed."""

    line: CardLine
    place: str
    typed: str
    answer: Answer | None
    figure: float | None = None
    unit: str = ""
    sure: bool = False

    @property
    def key(self) -> tuple[int, str]:
        """Return (card line, place)."""
        return self.line.number, self.place

    @property
    def value(self) -> str:
        """Return the class read, '' for none."""
        return self.answer.value if self.answer else ""

    @property
    def number(self) -> float | None:
        """Return the figure read [SI], None for none."""
        return self.answer.number if self.answer else None


@dataclass(frozen=True)
class Table:
    """Everything read back.

    start: initials of who ticked what must be known before the start, '' when not said.
    """

    cells: Mapping[tuple[int, str], Cell] = field(default_factory=dict)
    start: str = ""
    by: str = ""

    def with_cell(self, cell: Cell) -> Table:
        """Return the table with one cell put in or typed again."""
        return replace(self, cells={**self.cells, cell.key: cell})

    def in_card_order(self) -> Table:
        """Return the table with its cells as the card has them, however they were typed."""
        placed = sorted(
            self.cells.values(), key=lambda c: (c.line.number, c.line.places.index(c.place))
        )
        return replace(self, cells={c.key: c for c in placed})

    def of_line(self, number: int) -> tuple[Cell, ...]:
        """Return the cells of one card line that were read."""
        return tuple(c for (n, _), c in self.cells.items() if n == number and c.answer)


def read_table(text: str, lines: Sequence[CardLine], bench: Bench, name: str = "table") -> Table:
    """Return what ``text`` reads back for the ``lines`` of a card.

    Raises:
        UsageError: With every problem, one a line as ``name:line:col: what is wrong``; nothing is
            guessed and nothing is left out silently.
    """
    by_number = {line.number: line for line in lines}
    table, problems, columns = Table(), [], None
    for at, said in _rows(text):
        if not said or said.startswith("#"):
            continue
        try:
            word, _, rest = said.partition(":")
            if word.strip().lower() == "start":
                table = replace(table, start=initials(rest))
                continue
            if word.strip().lower() == "card":
                _is_the_card(rest.strip(), lines)
                continue
            if word.strip().lower() == "by":
                table = replace(table, by=initials(rest))
                continue
            if said.lower().startswith("line"):
                columns = [c.strip() for c in re.split(r"[;\t|,]", said)[1:]]
                continue
            table = _with_row(table, said, by_number, columns, bench)
        except UsageError as error:
            problems += [f"{name}:{at}:1: {p}" for p in str(error).splitlines()]
    if problems:
        raise UsageError("\n".join(problems))
    if not table.cells:
        raise UsageError("nothing was read back; type like: 3: 16, 11, 16, 15.5 psi")
    return table


def _rows(text: str) -> Iterator[tuple[int, str]]:
    """Yield the number and words of each row; 'start: AB  by: CD' on one line is two."""
    for at, row in enumerate(text.splitlines(), start=1):
        both = _START_AND_BY.fullmatch(row.strip())
        yield from ((at, said) for said in (both.groups() if both else (row.strip(),)))


def _is_the_card(code: str, lines: Sequence[CardLine]) -> None:
    """Refuse a table of another card than the one printed last: its numbers mean other lines."""
    if code.upper() != code_of(lines):
        raise UsageError(
            f"this is card {code.upper()}, and card {code_of(lines)} was printed after it; type "
            "what was read by the lines of the later one."
        )


def read_cell(text: str, line: CardLine, place: str, bench: Bench, unit: str = "") -> Cell:
    """Return one cell; ``unit`` is that of its row where the cell states none.

    Raises:
        UsageError: When it is no answer to the question.
    """
    question = bench.library.questions[line.question]
    said = " ".join(text.split())
    sure = said.lower().endswith(f" {SURE}")
    said = said[: -len(SURE)].strip() if sure else said
    if said.lower() in NOT_READ:
        return Cell(line, place, said, None, sure=sure)
    figure = _FIGURE.match(said)
    if figure and question.unit:
        return _figure(figure, line, place, bench, unit, sure)
    return Cell(
        line,
        place,
        said,
        read_answer(_letter(said, question), question, bench.layout, place),
        sure=sure,
    )


def box_of(name: str, line: CardLine, bench: Bench) -> str:
    """Return the place a box's name means: short label, number, part or label.

    Raises:
        UsageError: If it is none of the line's boxes, or fits several.
    """
    low = " ".join(name.lower().split())
    parts = bench.layout.parts
    fits = [
        p
        for p in line.places
        if low in (p, short_label(bench, p).lower(), bench.places.label(p).lower())
        or (low.isdigit() and short_label(bench, p).split()[0] == low)
        or (
            low.startswith("no") and low.strip("no. ") == str(parts[p].number if p in parts else "")
        )
    ]
    if len(fits) != 1:
        there = ", ".join(short_label(bench, p) for p in line.places)
        raise UsageError(f"'{name}' is no box of card line {line.number}; its boxes: {there}.")
    return fits[0]


def _with_row(
    table: Table,
    said: str,
    by_number: Mapping[int, CardLine],
    columns: Sequence[str] | None,
    bench: Bench,
) -> Table:
    match = _NUMBERED.match(said)
    if match is None:
        raise UsageError(f"'{said[:40]}' does not begin with the number of a card line.")
    number, rest = int(match[1] or match[3]), (match[2] if match[1] else match[4])
    line = by_number.get(number)
    if line is None:
        raise UsageError(f"the card has no line {number}; it has 1 to {max(by_number)}.")
    cells = _of_every_box(_cells(rest), line) if columns is None else _cells(rest)
    question = bench.library.questions[line.question]
    if columns is None and not any("=" in c for c in cells) and len(cells) != len(line.places):
        there = ", ".join(short_label(bench, p) for p in line.places)
        hint = " A decimal is written with a point." if _COMMA.search(rest) else ""
        if len(line.places) == 1:
            raise UsageError(
                f"card line {number} has one box ({there}) and {len(cells)} answers; each card "
                f"line is typed on a line of its own.{hint}"
            )
        raise UsageError(
            f"card line {number} has {len(line.places)} boxes ({there}) and {len(cells)} answers; "
            f"write '-' for a box not read, or name the boxes: 2 PI = ...{hint}"
        )
    names = columns or [short_label(bench, p) for p in line.places]
    unit = _unit_of(cells, question)
    problems = []
    for k, cell in enumerate(cells):
        name, equals, value = cell.partition("=")
        value = value.strip() if equals else cell
        try:
            if not value:
                continue
            if not equals and k >= len(names):
                raise UsageError(f"'{value}' stands under no column.")
            if equals:
                place = box_of(name, line, bench)
            else:
                place = box_of(names[k], line, bench) if columns else line.places[k]
            if (number, place) in table.cells:
                at = short_label(bench, place)
                raise UsageError(f"card line {number}, {at} is read back twice; keep one.")
            table = table.with_cell(read_cell(value, line, place, bench, unit))
        except UsageError as error:
            problems.append(f"card line {number}: {error}")
    if problems:
        raise UsageError("\n".join(problems))
    return table


def _of_every_box(cells: list[str], line: CardLine) -> list[str]:
    """Return the answer of each box where one is said of all of them: 'all out'."""
    word, _, answer = cells[0].partition(" ")
    all_of_them = word.rstrip("=:").lower() in ("all", "both", "each")
    every = len(cells) == 1 and all_of_them and answer
    return [answer.strip(" =:")] * len(line.places) if every else cells


def _cells(rest: str) -> list[str]:
    """Split the answers of a row: at ; | tab, else at commas, else plain figures at spaces."""
    for sign in ("\t", ";", "|"):
        if sign in rest:
            return [c.strip() for c in rest.split(sign)]
    if "," in rest:
        return [c.strip() for c in rest.split(",")]
    words = rest.split()
    bare = [re.fullmatch(r"[-+−]?[\d.]+", w) is not None for w in words]
    letters = all(len(w) == 1 and w.isalpha() for w in words)
    if len(words) > 1 and (all(bare) or letters):
        return words
    if len(words) > 2 and all(bare[:-1]):
        return [*words[:-2], f"{words[-2]} {words[-1]}"]
    return [rest.strip()]


def _unit_of(cells: Sequence[str], question: Question) -> str:
    """Return the unit of the figures in a row that have none: the last one's, or the only one."""
    if not question.unit:
        return ""
    units = []
    for cell in cells:
        found = _FIGURE.match(cell.partition("=")[2].strip() or cell)
        if found:
            units.append(_bare_unit(found[2], question)[0])
    named = dict.fromkeys(u for u in units if u)
    if not units or units[-1]:
        return units[-1] if units else ""
    return next(iter(named)) if len(named) == 1 else ""


def _bare_unit(text: str, question: Question) -> tuple[str, str]:
    """Return (unit, class word) of what stands behind a figure: 'psi', 'psi a', 'psi low'."""
    words = [w for w in text.split() if w.lower() != SURE]
    if words and (len(words[-1]) == 1 or words[-1] in question.classes) and len(words) > 1:
        return " ".join(words[:-1]), words[-1]
    return " ".join(words), ""


def _figure(
    match: re.Match[str], line: CardLine, place: str, bench: Bench, unit: str, sure: bool
) -> Cell:
    question = bench.library.questions[line.question]
    own, word = _bare_unit(match[2], question)
    unit = own or unit
    if not unit:
        raise UsageError(
            f"{match[1]} has no unit; write it behind the figure, or once behind the last: "
            "16, 11, 16 psi"
        )
    typed = f"{match[1]} {unit}"
    if word and limit_of(question, bench.layout) is None:
        # no approved figure: the person says what it is against its neighbour
        value = read_answer(_letter(word, question), question, bench.layout).value
        answer = Answer(value, None, parse(typed, question.unit).value_si, typed)
    else:
        answer = read_answer(typed, question, bench.layout, place)
        if (
            word
            and read_answer(_letter(word, question), question, bench.layout).value != answer.value
        ):
            said = question.classes.get(answer.value, "not classed")
            raise UsageError(f"{typed} is '{said}' here, not '{word}'; which of them was read?")
    return Cell(line, place, typed, answer, float(match[1].replace("−", "-")), unit, sure)


def _letter(text: str, question: Question) -> str:
    """Return the answer a letter of the card stands for; anything else as typed."""
    low = text.strip("() ").lower()
    if len(low) == 1 and low in ascii_lowercase[: len(question.classes)]:
        return list(question.classes)[ascii_lowercase.index(low)]
    return text
