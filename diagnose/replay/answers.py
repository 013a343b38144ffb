"""What a case answers when it is asked: its findings, its examination, and else 'not checked'."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.model import Case, Finding, Layout, Library, agree
from diagnose.planner import Reading
from diagnose.signs import normal_class


class CaseAnswers:
    """The findings of a case that were not told at once, ready to be asked for."""

    def __init__(self, case: Case, library: Library, layout: Layout) -> None:
        """Split ``case`` into what is told with the report and what comes when asked."""
        self._library = library
        self._layout = layout
        self.told: tuple[Finding, ...] = tuple(f for f in case.findings if not f.after)
        self._later = [
            *[f for f in case.findings if f.after],
            *[f for f in case.examination if not f.check],
        ]
        self._checks: Mapping[tuple[str, str], Finding] = {
            (f.question, f.at): f for f in case.examination if f.check
        }

    def reading(self, reading: Reading) -> Finding | None:
        """Return the finding the case gives for ``reading``, or None for 'not checked'."""
        asked = reading.state.known()
        for f in self._later:
            if f.question != reading.question or not agree(asked, f.state.known()):
                continue
            if f.at == reading.place:
                return f
            kinds = {self._layout.parts[at].kind for at in (f.at, reading.place)}
            if f.others_normal and len(kinds) == 1:
                usual = normal_class(self._library.questions[f.question], self._library)
                return Finding(f.question, reading.place, usual, reading.state, f.known_by)
        return None

    def check(self, check: str, at: str) -> Finding | None:
        """Return what the examination showed for a check, or None for 'not checked'."""
        return self._checks.get((check, at))
