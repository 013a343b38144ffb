"""One measured test being worked out: its figures, its kit, and what it is held against.

Half-widths are taken as two standard deviations (coverage factor 2, JCGM 100:2008).  A kit past
its date is marked and its error counts twice.  Without an approved figure the result is kept and
called neither good nor bad.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench
from diagnose.job.measured.fields import Filled
from diagnose.knowledge_files.cutting import NO_FIGURE, Chances, chances, limit_of, tail
from diagnose.model import State
from diagnose.units import unit_of


@dataclass(frozen=True)
class Found:
    """One finding a test gives, as the job keeps it."""

    question: str
    at: str
    state: State
    chances: Chances  # empty: kept, nothing concluded
    number: float | None
    typed: str
    check: bool = False
    reading: tuple[str, str, str] | None = None


class Work:
    """One form being worked out."""

    def __init__(self, bench: Bench, form: Filled, place: str, today: date) -> None:
        self.bench, self.form, self.place = bench, form, place
        self.f, self.w, self.typed = form.figures, form.words, form.typed
        due = form.words.get("due", "")
        self.late = bool(due) and date.fromisoformat(due) < today
        self.widen = 2.0 if self.late else 1.0
        self.lines: list[str] = []
        self.found: list[Found] = []
        if self.late:
            self.lines.append(
                f"KIT OUT OF DATE: {form.words['kit']} was due {due}; its error counts twice and "
                "the result is 'read', not 'measured'"
            )

    def sigma(self, name: str) -> float:
        """Return the standard deviation of the half-width in field ``name``."""
        return self.widen * abs(self.f.get(name, 0.0)) / 2.0

    def unit(self, name: str) -> str:
        """Return the unit field ``name`` was typed in."""
        return unit_of(self.typed[name])

    def class_of(self, question: str, value: float, sigma: float, shown: str) -> str:
        """Return a figure's class in words, noting why there is none."""
        q = self.bench.library.questions[question]
        got = chances(q, self.bench.layout, value, sigma)
        if not got:
            self.lines.append(f"{shown}: {NO_FIGURE}; kept, neither low nor high")
            return f"{shown}, {NO_FIGURE}"
        limit = limit_of(q, self.bench.layout)
        assert limit is not None  # or nothing had told the classes apart
        said = in_words(q.classes, got)
        self.lines.append(f"{shown}: {said}, against {limit.shown} ({limit.reference})")
        return f"{shown}: {said}"


def in_words(labels: Mapping[str, str], got: Chances) -> str:
    """Return answers with their chances in words: 'in the band', or 'below the band 70 %, ...'."""
    if len(got) == 1:
        return labels[got[0][0]]
    return ", ".join(f"{labels[c]} {p:.0%}" for c, p in got)


def judged(
    w: Work, said: str, value: float, sigma: float, limit: float | None, name: str, *, most: bool
) -> str:
    """Return a result held against a limit typed with its reference; without one it is kept."""
    if limit is None:
        w.lines.append(f"{said}: {NO_FIGURE}; kept, called neither good nor bad")
        return f"{said}, {NO_FIGURE}"
    if not w.w.get("reference"):
        raise UsageError(f"'{name}' needs 'reference': document, revision and date it is from.")
    beyond = tail(value - limit, sigma) if most else tail(limit - value, sigma)
    word = "within" if beyond < 0.5 else "BEYOND"
    sure = max(beyond, 1.0 - beyond)
    told = (
        f"{said}: {word} {w.typed[name]} ({w.w['reference']}), {sure:.0%} sure by the kit's error"
    )
    w.lines.append(told)
    return told
