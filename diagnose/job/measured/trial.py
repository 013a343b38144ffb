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
from diagnose.model import RunState, State
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


class Trial:
    """One form being worked out.

    says: its result in a line.  lines: how it came to it.  found: what the job keeps of it.
    """

    def __init__(self, bench: Bench, form: Filled, place: str, today: date) -> None:
        self.bench, self.form, self.place = bench, form, place
        self.figures, self.words, self.typed = form.figures, form.words, form.typed
        due = form.words.get("due", "")
        self.out_of_date = bool(due) and date.fromisoformat(due) < today
        self.says = ""
        self.lines: list[str] = []
        self.found: list[Found] = []
        if self.out_of_date:
            self.lines.append(
                f"KIT OUT OF DATE: {form.words['kit']} was due {due}; its error counts twice and "
                "the result is 'read', not 'measured'"
            )

    def sigma(self, name: str) -> float:
        """Return the standard deviation of the half-width in field ``name``."""
        widen = 2.0 if self.out_of_date else 1.0
        return widen * abs(self.figures.get(name, 0.0)) / 2.0

    def unit(self, name: str) -> str:
        """Return the unit field ``name`` was typed in."""
        return unit_of(self.typed[name])

    def find(
        self,
        question: str,
        state: RunState | None,
        chances: Chances,
        number: float | None,
        typed: str,
        stage: str = "",
    ) -> None:
        """Keep what was found at the place, in a run state of the layout where it has such a one.

        ``stage``: when it was, where the layout has none.
        """
        at = state.state if state else State(stage)
        key = (question, self.place, state.id) if state else None
        self.found.append(Found(question, self.place, at, chances, number, typed, reading=key))

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

    def judged(self, said: str, value: float, sigma: float, name: str, *, most: bool) -> str:
        """Return a result held against the limit in field ``name``; without one it is kept."""
        limit = self.figures.get(name)
        if limit is None:
            self.lines.append(f"{said}: {NO_FIGURE}; kept, called neither good nor bad")
            return f"{said}, {NO_FIGURE}"
        if not self.words.get("reference"):
            raise UsageError(f"'{name}' needs 'reference': document, revision and date it is from.")
        beyond = tail(value - limit, sigma) if most else tail(limit - value, sigma)
        word = "within" if beyond < 0.5 else "BEYOND"
        sure = f"{max(beyond, 1.0 - beyond):.0%} sure by the kit's error"
        told = f"{said}: {word} {self.typed[name]} ({self.words['reference']}), {sure}"
        self.lines.append(told)
        return told


def in_words(labels: Mapping[str, str], got: Chances) -> str:
    """Return answers with their chances in words: 'in the band', or 'below the band 70 %, ...'."""
    if len(got) == 1:
        return labels[got[0][0]]
    return ", ".join(f"{labels[c]} {p:.0%}" for c, p in got)
