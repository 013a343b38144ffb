"""The tank in use when it came: what is looked at in the tanks is read with it.

'Stopped on the left tank; left empty, right full' is one story.  A dip or a sample is taken
afterwards, with the engine standing, and says nothing itself of what fed; but whoever names the
tank on which the engine did wrong has said it for all the tanks.  A cause at a selector then acts
through that tank, not a little through each.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from diagnose.model import Effect, Finding, Layout, Library
from diagnose.signs import normal_class


def tank_in_use(findings: Sequence[Finding], library: Library, layout: Layout) -> str:
    """Return the one tank on which an engine did wrong, '' where none or several are named."""
    named = {
        f.state.settings["tank"]
        for f in findings
        if "tank" in f.state.settings and f.at in layout.parts and _wrong(f, library, layout)
    }
    return named.pop() if len(named) == 1 else ""


def _wrong(finding: Finding, library: Library, layout: Layout) -> bool:
    question = library.questions.get(finding.question)
    if question is None or finding.check or layout.parts[finding.at].kind != "engine":
        return False
    return finding.surely_not(normal_class(question, library.effects[question.reads]))


def with_tank(known: Mapping[str, str], effect: Effect, tank: str) -> dict[str, str]:
    """Return run-state settings with the ``tank`` in use, where it matters and they say none.

    ``tank`` '' changes nothing.
    """
    here = tank and "tank" not in known and effect.in_use
    return {**known, "tank": tank} if here else dict(known)


def read_in_use(
    findings: Sequence[Finding], library: Library, layout: Layout
) -> tuple[Finding, ...]:
    """Return ``findings``, in the same order and number, those of tanks with the tank in use."""
    tank = tank_in_use(findings, library, layout)
    return tuple(_told_of(f, tank, library) if tank and not f.check else f for f in findings)


def _told_of(finding: Finding, tank: str, library: Library) -> Finding:
    question = library.questions.get(finding.question)
    effect = library.effects[question.reads] if question else None
    if effect is None or not effect.in_use or "tank" in finding.state.settings:
        return finding
    settings = with_tank(finding.state.settings, effect, tank)
    return replace(finding, state=replace(finding.state, settings=settings), told=finding)
