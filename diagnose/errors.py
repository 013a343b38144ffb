"""Errors that tell where, what is wrong, what was meant and what to do; all problems at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches


@dataclass(frozen=True, order=True)
class Origin:
    """Where an item was written: file (relative to its root), line and column, both from 1."""

    file: str
    line: int = 0
    col: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.col}" if self.line else self.file


NOWHERE = Origin("")


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong in a file: ``file:line:col: what is wrong, what was meant, what to do``.

    ``kind`` sorts mistakes for those who count or explain them: name, sum, missing, state, steps,
    loop or contradiction; '' for any other.
    """

    origin: Origin
    text: str
    kind: str = field(default="", compare=False)

    def __str__(self) -> str:
        return f"{self.origin}: {self.text}" if self.origin.file else self.text


def did_you_mean(name: str, known: Iterable[str], otherwise: str = ".") -> str:
    """Return the end of a message on an unknown name: the nearest known one, else ``otherwise``."""
    near = get_close_matches(name, list(known), 1)
    return f"; did you mean '{near[0]}'?" if near else otherwise


class DiagnoseError(Exception):
    """Anything the user can mend; ``exit_code`` is what the command line leaves with."""

    exit_code = 1


class UsageError(DiagnoseError):
    """A command or an answer that cannot be understood as given."""

    exit_code = 2


class ProblemsError(DiagnoseError):
    """Several problems found in files, told together, in file order."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Keep ``problems`` sorted by place, without repeats."""
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(p) for p in self.problems))


class KnowledgeError(ProblemsError):
    """Knowledge or layout files that cannot be used."""

    exit_code = 3


class CaseError(ProblemsError):
    """A job or case file that cannot be read."""

    exit_code = 4


class ConflictError(DiagnoseError):
    """Findings that contradict each other (only with ``--exit-code``)."""

    exit_code = 5
