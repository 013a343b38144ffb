"""The tank in use when it came: what is looked at in the tanks is read with it.

'Stopped on the left tank; left empty, right full' is one story.  A dip or a sample is taken
afterwards, with the engine standing, and says nothing itself of what fed; but whoever names the
tank on which the engine did wrong has said it for all the tanks.  A cause at a selector then acts
through that tank, not a little through each.

'Fades on left, good on right' is another: what fails in one position of a cock was not there in
the others, so how the engine ran on right says nothing against it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from diagnose.model import ELSEWHERE, Effect, Finding, Layout, Library
from diagnose.signs import normal_class


@dataclass(frozen=True)
class InUse:
    """Which tanks fed when engines did wrong.

    tank: the one named of all engines, '' where none or several are.  wrong: engine -> the tanks
    on which it did wrong.
    """

    tank: str = ""
    wrong: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def settings(self, known: Mapping[str, str], effect: Effect, place: str) -> dict[str, str]:
        """Return run-state settings ``known`` with what the tanks named say of ``effect``.

        What shows in a tank is read with the tank in use, where that is not stated; an engine on
        another tank than the one it did wrong on is marked as ``ELSEWHERE``.
        """
        out = dict(known)
        named = self.wrong.get(place, frozenset())
        if effect.in_use and self.tank:
            out.setdefault("tank", self.tank)
        elif named and "tank" in known and "tank" in effect.depends_on:
            if len(named) > 1:
                out[ELSEWHERE] = "both"
            elif known["tank"] not in named:
                out[ELSEWHERE] = "yes"
        return out


def in_use(findings: Sequence[Finding], library: Library, layout: Layout) -> InUse:
    """Return which tanks fed when engines did wrong; a good run names none, and nobody guesses."""
    wrong: dict[str, frozenset[str]] = {}
    for f in findings:
        if "tank" in f.state.settings and f.at in layout.parts and _wrong(f, library, layout):
            wrong[f.at] = wrong.get(f.at, frozenset()) | {f.state.settings["tank"]}
    named = frozenset().union(*wrong.values())
    return InUse(next(iter(named)) if len(named) == 1 else "", wrong)


def _wrong(finding: Finding, library: Library, layout: Layout) -> bool:
    question = library.questions.get(finding.question)
    if question is None or finding.check or layout.parts[finding.at].kind != "engine":
        return False
    return finding.surely_not(normal_class(question, library))


def read_in_use(
    findings: Sequence[Finding], library: Library, layout: Layout
) -> tuple[Finding, ...]:
    """Return ``findings``, in the same order and number, read with the tanks in use."""
    used = in_use(findings, library, layout)
    return tuple(f if f.check else _read(f, used, library) for f in findings)


def _read(finding: Finding, used: InUse, library: Library) -> Finding:
    question = library.questions.get(finding.question)
    if question is None:
        return finding
    effect = library.effects[question.reads]
    settings = used.settings(finding.state.settings, effect, finding.at)
    if settings == finding.state.settings:
        return finding
    return replace(finding, state=replace(finding.state, settings=settings), told=finding)
