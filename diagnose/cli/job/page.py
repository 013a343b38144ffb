"""The page before each action: what is known and what is still possible, and no line twice.

The first page of a session tells everything; later ones tell what is new, so that the eye finds
it.  Nothing is hidden: 'findings', 'ranking' and 'cautions' show the whole at any prompt.
"""

from __future__ import annotations

from diagnose.cli.job import screens
from diagnose.cli.job.before_run import closed_place, standing_block
from diagnose.cli.job.work_done import work_line
from diagnose.cli.room import wrap
from diagnose.grammar import number_of
from diagnose.job.at_hand import waits_on
from diagnose.job.danger import cautions, made_good
from diagnose.job.diagnosis import Step
from diagnose.job.job import Job
from diagnose.job.ranking import conflicts
from diagnose.job.wording import finding_line, finding_lines
from diagnose.model import Finding
from diagnose.signs import is_normal

FIRST = 12
"""Findings told on the first page; 'findings' lists all of them."""
RULE, CONFLICT, WAITS = "  rule: ", "  CONFLICT: ", "WAITS for what is not here: "
TOP = 5
"""Causes told on a page; 'ranking' lists more."""


class Page:
    """What one session has shown so far."""

    def __init__(self, job: Job) -> None:
        """Start with nothing shown."""
        self.job = job
        self._findings: dict[int, str] | None = None
        self._said: dict[str, tuple[str, ...]] = {}
        self._possible: list[str] = []

    def lines(self, step: Step, numbers: bool) -> list[str]:
        """Return the page after ``step``; [] where nothing is new."""
        job = self.job
        new = [
            *self._known(),
            *self._once(self._rules(step), RULE),
            *self._once([c.text for c in cautions(step, job.put_right)], "  CAUTION: "),
            *self._conflicts(conflicts(job.bench, step)),
            *self._once([*standing_block(job), *closed_place(job)], ""),
            *screens.joints_open(job),
            *self._waits(step),
        ]
        possible = screens.possible(job.bench, step, TOP, numbers)
        if possible != self._possible:
            self._possible = possible
            new += possible
        return new

    def _known(self) -> list[str]:
        job = self.job
        told = dict(sorted(job.state.findings.items()))
        rows = {n: finding_line(job.bench, f) for n, f in told.items()}
        before, self._findings = self._findings, rows
        count = number_of(len(rows), "finding")
        if before is None:
            shown = finding_lines(job.bench, self._first(list(told.values())))
            some = f", {FIRST} of them, what was amiss before what was well ('findings' lists all)"
            return [
                *wrap(f"Known, {count}{some if len(rows) > FIRST else ''}:"),
                *(f"  - {f}" for f in shown),
                # it lifts what may come of it, and whoever takes the job up was not asked of it
                *(f"  - work done before: {work_line(job.bench, w)}" for w in job.state.before),
            ]
        new = [told[n] for n, f in rows.items() if before.get(n) != f]
        gone = [f for n, f in before.items() if n not in rows]
        if not new and not gone:
            return []
        return [
            f"Known now, {count} ('findings' lists them); new:",
            *(f"  - {f}" for f in finding_lines(job.bench, new)),
            *(f"  - taken away: {f}" for f in gone),
        ]

    def _first(self, told: list[Finding]) -> list[Finding]:
        """Return what is told of many findings: the last amiss, and the last of the rest.

        After a run card all four engines' good readings would hide the bad one.
        """
        library = self.job.bench.library
        well = [not f.check and is_normal(f, library) for f in told]
        by_worth = sorted(range(len(told)), key=lambda k: (well[k], -k))
        return [told[k] for k in sorted(by_worth[:FIRST])]

    def _conflicts(self, said: list[str]) -> list[str]:
        lines = self._once(said, CONFLICT)
        settle = "    Settle it: 'findings' numbers them, then 'change N' or 'withdraw N'."
        return [*lines, settle] if lines and said else lines

    def waits(self, step: Step) -> list[str]:
        """Return what would settle the likeliest cause and cannot be done here, and why."""
        job = self.job
        unsafe = bool(job.refused_gates())
        if job.state.joints_open():
            return []  # what is open is told as such, and shuts much that is no want of anything
        return waits_on(job.bench, step, job.state, unsafe=unsafe)

    def _waits(self, step: Step) -> list[str]:
        lines = self._once(self.waits(step), WAITS)
        return [*lines, "    When it can be had, type: at hand"] if lines else []

    def _rules(self, step: Step) -> list[str]:
        places, library = self.job.bench.places, self.job.bench.library
        true = [
            s
            for s in step.outcome.symptoms.values()
            if s.verdict == "true" and not made_good(step, self.job.put_right, s.symptom, s.at)
        ]
        return [f"{library.symptoms[s.symptom].title}, {places.label(s.at)}" for s in true]

    def barred(self) -> None:
        """Hold what bars runs and pumps for told: it was, the moment it was found."""
        self._said[""] = tuple(dict.fromkeys([*standing_block(self.job), *closed_place(self.job)]))

    def _once(self, said: list[str], first: str) -> list[str]:
        """Return what of ``said`` was not said on the page before, each wrapped after ``first``."""
        before = self._said.get(first, ())
        self._said[first] = tuple(dict.fromkeys(said))
        new = [text for text in self._said[first] if text not in before]
        lines = [x for text in new for x in wrap(text, "    ", first)]
        if first in (RULE, CONFLICT):
            gone = [text for text in before if text not in said]
            lines += [x for text in gone for x in wrap(text, "    ", "  no longer: ")]
        return lines
