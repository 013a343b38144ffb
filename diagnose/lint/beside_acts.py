"""What stands beside an act, held across all of them: cautions, tools, what it costs and leaves."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection, Iterator
from typing import Final

from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.safety import AIR_USED, DENIED, going_with, in_states
from diagnose.model import Check, Question

NO_HAZARD = code(
    "SAFE-06",
    "hazard not listed",
    means="The state, the access, the tools or the words of a check or question call for a caution"
    " that it does not list: a running engine, power on, an open part or tank, drawn fuel, height.",
    matters="The caution is shown from the list only, so that it would not be shown.",
    do="List the hazard.",
)
NOT_SAID = code(
    "SAFE-10",
    "what an act takes or leaves, not listed",
    means="A check or question that opens a fuel part lists nothing to catch the fuel in, one that"
    " fits a test gauge does not leave test gear fitted, or one that opens a tank does not destroy"
    " what only a closed one shows.",
    matters="The container is not at hand when the joint is open, the gauge is not signed back, or"
    " the hiss at the cap is asked for after the cap was off.",
    do="List 'bonded container' under tools, 'test-gear' under disturbs, 'opening' under destroys.",
)
TOOL = code(
    "SHARED-04",
    "one tool under two names",
    means="The name of a tool holds all the words of another's, or holds a comma.",
    matters="Whoever says that it is not at hand takes out one of the two; a list of tools parts"
    " their names by commas.",
    do="Write one name in both; where they are two tools, name what sets them apart in each.",
)
ACCESS = code(
    "SHARED-05",
    "one access at two prices",
    means="Two checks open the same access and give it unlike minutes.",
    matters="It is paid for once: behind the cheap one the dear one costs nothing more.",
    do="Give the access its one price, and put what is left into the minutes of the check.",
)

Act = Check | Question

_CATCHES: Final = "bonded container"
_GAUGE: Final = re.compile(r"\b(?:master|vacuum|test) gauge\b")
_STATES: Final = (
    ("running-engine", re.compile(r"(?i)^(?:running|runs)"), "engine", "an engine runs"),
    ("no-leak-before-power", re.compile(r"(?i)^on\b|battery on"), "power", "power is on"),
)
_BEHIND: Final = {
    "cowling": ("hot-exhaust", "a cowling is opened"),
    "wing-panel": ("wing-height", "a wing panel is opened"),
}
"""What getting there calls for."""


@finds(NO_HAZARD, doing="safety: hazards listed")
def hazards(base: Base) -> Iterator[Found]:
    """Yield checks and questions that call for a caution they do not list."""
    running, powered = in_states(base)
    for item, act in _acts(base):
        of_state = _at_work(act) if isinstance(act, Check) else _as_read(act, running, powered)
        for name, why in (*_called_for(act), *of_state):
            if name in base.library.hazards and name not in act.hazards:
                text = f"{why}, and hazard '{name}' is not listed; list it"
                yield base.found(NO_HAZARD, item, text, act.origin, "hazards")


def _called_for(act: Act) -> Iterator[tuple[str, str]]:
    """Yield the hazards that belong beside an act by what it opens, takes or drains, and why."""
    if "line" in _leaves(act):
        yield "open-fuel-part", "a fuel line or part is opened"
    if any("dip-stick" in tool for tool in act.tools):
        yield "open-tank", "a filler cap is opened to dip"
        yield "wing-height", "a filler cap is opened to dip"
    yield from going_with(act.hazards)
    if "draining" in act.destroys:
        yield "bonding", "fuel is drained"
    if "bonding" in act.hazards and "open-tank" not in act.hazards:
        yield "lead-and-skin", "fuel is drawn"  # a cap is opened to look or dip with dry hands


def _as_read(
    question: Question, running: Collection[str], powered: Collection[str]
) -> Iterator[tuple[str, str]]:
    """Yield the hazards of the states a question is read in."""
    if question.id in running:
        yield "running-engine", "it is read with an engine running"
    if question.id in powered:
        yield "no-leak-before-power", "it is read with the booster on"


def _at_work(check: Check) -> Iterator[tuple[str, str]]:
    """Yield the hazards of the state a check is made in, and of the way to the part."""
    for name, state, key, why in _STATES:
        # before a run fuel and smell are asked for as gates, and the engine's caution is shown
        shown = name == "no-leak-before-power" and "running-engine" in check.hazards
        if state.search(check.aeroplane[key]) and not shown:
            yield name, why
    if check.access in _BEHIND:
        yield _BEHIND[check.access]
    tools = " ".join(check.tools)
    if AIR_USED.search(tools) and not DENIED.search(tools):
        yield "air-pressure", "air is used"


@finds(NOT_SAID, doing="safety: what an act takes and leaves")
def not_said(base: Base) -> Iterator[Found]:
    """Yield acts that do not list what they need at hand, leave fitted, or destroy."""
    tools = {t for _, act in _acts(base) for t in act.tools}
    for item, act in _acts(base):
        leaves = _leaves(act)
        if "line" in leaves and _CATCHES in tools and _CATCHES not in act.tools:
            text = f"a fuel part is opened, and '{_CATCHES}' is not among its tools; list it"
            yield base.found(NOT_SAID, item, text, act.origin, "tools")
        if any(_GAUGE.search(t) for t in act.tools) and "test-gear" not in leaves:
            text = "a test gauge is fitted, and 'test-gear' is not among what it disturbs; list it"
            yield base.found(NOT_SAID, item, text, act.origin, "disturbs")
        if "open-tank" in act.hazards and "opening" not in act.destroys:
            text = "a tank is opened, and 'opening' is not among what it destroys; list it"
            yield base.found(NOT_SAID, item, text, act.origin, "destroys")


@finds(TOOL, doing="tools under two names")
def tools_named(base: Base) -> Iterator[Found]:
    """Yield tools whose name holds another's, or a comma, at the first act that asks for each."""
    first: dict[str, tuple[str, Act]] = {}
    for item, act in _acts(base):
        for tool in act.tools:
            first.setdefault(tool, (item, act))
    for tool, (item, act) in first.items():
        if "," in tool:
            text = f"the tool '{tool}' has a comma, which parts one tool from the next; drop it"
            yield base.found(TOOL, item, text, act.origin, "tools")
    for one, two in itertools.permutations(first, 2):
        if set(one.split()) < set(two.split()):
            item, act = first[two]
            text = (
                f"the tool '{two}' is '{one}' of {first[one][0]} by its words; give both one name"
            )
            yield base.found(TOOL, item, text, act.origin, "tools")


@finds(ACCESS, doing="access at two prices")
def access(base: Base) -> Iterator[Found]:
    """Yield checks that give an access other minutes than most checks behind it do."""
    checks = [c for c in base.library.checks.values() if c.access]
    for word in dict.fromkeys(c.access for c in checks):
        prices = [c.access_minutes for c in checks if c.access == word]
        usual = max(prices, key=prices.count)
        for c in checks:
            if c.access == word and c.access_minutes != usual:
                text = (
                    f"'{word}' is opened in {c.access_minutes:g} min, in most checks in {usual:g};"
                    " give it one price and put the rest into 'minutes'"
                )
                yield base.found(ACCESS, f"checks/{c.id}", text, c.origin, "access-minutes")


def _acts(base: Base) -> Iterator[tuple[str, Act]]:
    yield from ((f"checks/{c.id}", c) for c in base.library.checks.values())
    yield from ((f"questions/{q.id}", q) for q in base.library.questions.values())


def _leaves(act: Act) -> frozenset[str]:
    return frozenset(act.leaves if isinstance(act, Check) else act.disturbs)
