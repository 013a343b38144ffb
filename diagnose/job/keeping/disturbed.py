"""What is disturbed on the aeroplane: opened, moved, drained, fitted, lying about; until restored.

The list fills itself from the checks as they are done; a person adds what no check tells.  Each
item is shut by the initials of who restored it, and a feed or control joint once more by another
person who looked at it (AMC to 145.A.48: an error-catching method for critical tasks).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.errors import UsageError
from diagnose.model import AEROPLANE, DISTURBED, JOINTS, Check, Layout, Question

MAY_STAY_FOR_A_RUN = ("panel", "test-gear")
"""What an engine may be run with: an open cowling shows a leak, fitted gauges are read."""

_DRY = ("panel", "tool", "breaker", "test-gear", "part")
"""What can be disturbed without fuel being able to get out."""

TANK_PANEL = "tank-panel"
"""The access of what sits in a tank, or in a line where a layout has it there."""

_READ_OR_FAR = (
    "record", "docket", "data sheet", "drawing", "diagram", "parts list", "overhaul data",
    "start drill", "overhaul shop", "pump bench",
)  # fmt: skip
"""How the names of papers and of places away from the aeroplane end."""

_USED_UP = (
    "locking wire", "seal kit", "marking paint", "talc or dye", "water paste", "clean water",
    "known fuel", "proved bulb",
)  # fmt: skip
"""What stays on the aeroplane or is used up; a rag and a blank are counted."""

MOST_INITIALS = 6
_SAID_WITH_THEM = ("DRY", "LEAK", "CLEAR", "AGAIN")
"""Said before initials at other prompts; where only initials are asked, it was meant there."""
_NO_INITIALS = ("NONE", "NOBODY", "LATER", "YES", "NO", "NOT", "YET", "DONE", "SKIP", "OK", "READ")
"""Answers of other prompts, as typed: 'OK' is none, 'O.K.' may be somebody's."""

_LETTERS_APART = 2
"""Most letters of each word where initials are typed in several: 'A B', never 'not yet'."""


@dataclass(frozen=True)
class Disturbed:
    """One thing disturbed.

    id: event number and place in it, ``12.1``.  restored, inspected: initials, '' while open.
    dry: whether a leak check found it so after that.
    """

    id: str
    kind: str
    what: str
    place: str
    restore: str
    restored: str = ""
    inspected: str = ""
    dry: bool = False

    @property
    def told_in(self) -> str:
        """Return the number of the event that disturbed it, with others of the same act."""
        return self.id.partition(".")[0]

    @property
    def joint(self) -> bool:
        """Return whether a second person must look at it."""
        return self.kind in JOINTS

    @property
    def bars_a_run(self) -> bool:
        """Return whether no engine is run before it is restored: a cap off, a lock undone."""
        return self.open and self.kind not in MAY_STAY_FOR_A_RUN

    @property
    def open(self) -> bool:
        """Return whether something is still to be done or seen about it."""
        return not self.restored or (self.joint and not self.inspected)


def entry(kind: str, what: str, place: str, restore: str) -> dict[str, str]:
    """Return one thing disturbed as an event keeps it."""
    return {"kind": kind, "what": what, "place": place, "restore": restore}


def told_by(event: Mapping[str, Any]) -> tuple[Disturbed, ...]:
    """Return what an event says was disturbed; an older log has words alone, taken as a line."""
    out = []
    for k, d in enumerate(event.get("disturbs", ()), start=1):
        said = entry("line", d, AEROPLANE, "") if isinstance(d, str) else d
        name = f"{event['n']}.{k}"
        out.append(Disturbed(name, said["kind"], said["what"], said["place"], said["restore"]))
    return tuple(out)


def may_leak(event: Mapping[str, Any]) -> bool:
    """Return whether an event disturbed something fuel could come out of."""
    return any(d.kind not in _DRY for d in told_by(event))


def access_to(check: Check, layout: Layout, at: str) -> str:
    """Return what is opened to get at a part; a pump in a line at its engine has no tank panel."""
    return "cowling" if check.access == TANK_PANEL and _at_engine(layout, at) else check.access


def _at_engine(layout: Layout, at: str) -> bool:
    owner = layout.parts[at].of if at in layout.parts else ""
    return owner in layout.parts and layout.parts[owner].kind == "engine"


def has_power(layout: Layout) -> bool:
    """Return whether a layout has anything on its fuel system to be switched on, or tagged off."""
    return any(p.kind in ("bus", "hand-pump") for p in layout.parts.values())


def by_reading(question: Question, at: str, standing: Iterable[Disturbed]) -> list[dict[str, str]]:
    """Return what a reading taken at part ``at`` leaves open, beyond what stands open already."""
    opened = [entry(kind, what, at, question.close_out) for kind, what in question.disturbs.items()]
    return _not_yet(opened, standing)


def by_check(
    check: Check, at: str, layout: Layout, standing: Iterable[Disturbed], opened: bool = True
) -> list[dict[str, str]]:
    """Return what a check at part ``at`` disturbs, beyond what stands disturbed already.

    Its own ``disturbs``, the panel of its access, power it has tagged off, its tools; ``opened``:
    and what it disturbs only where it came to that.
    """
    access, in_no_tank = access_to(check, layout, at), _at_engine(layout, at)
    out = [
        entry(kind, what, at, check.close_out)
        for kind, what in (check.leaves if opened else check.disturbs).items()
        if not (kind == "tank" and check.access == TANK_PANEL and in_no_tank)
    ]
    owner = layout.parts[at].of if at in layout.parts else ""
    if access not in ("", "none"):
        out.append(entry("panel", f"{access.replace('-', ' ')} off", owner or at, "closed"))
    if has_power(layout) and check.aeroplane.get("power", "").startswith("off and tagged"):
        out.append(entry("breaker", "electrical power", AEROPLANE, "tag removed, power as found"))
    lying = {t for d in standing if d.kind == "tool" and not d.restored for t in d.what.split(", ")}
    # a gauge that is fitted is taken off as such, and lies about nowhere
    fitted = check.disturbs.get("test-gear", "").split()
    tools = [
        t
        for t in check.tools
        if t not in lying and not _stays_where_it_is(t) and t.split()[-1] not in fitted
    ]
    if tools:
        out.append(entry("tool", ", ".join(tools), AEROPLANE, "counted back"))
    return _not_yet(out, standing)


def _not_yet(found: list[dict[str, str]], standing: Iterable[Disturbed]) -> list[dict[str, str]]:
    """Return what of ``found`` does not stand disturbed already."""
    there = {(d.kind, d.what, d.place) for d in standing if not d.restored}
    return [d for d in found if (d["kind"], d["what"], d["place"]) not in there]


def _stays_where_it_is(tool: str) -> bool:
    """Return whether what a check needs is nothing to be counted back.

    A fitted gauge, what is read (a record, a drawing), a bench in a shop, a new seal.
    """
    used = tool in _USED_UP or tool.startswith("new ")
    return used or tool.endswith(("where fitted", *_READ_OR_FAR))


def words(d: Disturbed, place: str) -> str:
    """Return an item in one line; ``place`` is the label of its place."""
    # 'tools out: can, watch, aeroplane' would read as one tool more
    said = f"{DISTURBED[d.kind]}: {d.what}{'' if d.place == AEROPLANE else f', {place}'}"
    if not d.restored:
        return f"{said}: NOT RESTORED"
    if d.joint and not d.inspected:
        return f"{said}: restored by {d.restored}, NOT YET INSPECTED by another"
    seen = f", inspected by {d.inspected}" if d.inspected else ""
    return f"{said}: restored by {d.restored}{seen}"


def initials(text: str) -> str:
    """Return initials as typed, upper case.

    Raises:
        UsageError: If they are none.
    """
    said = "".join(c for c in text if c.isalnum()).upper()
    words = text.upper().replace(",", " ").split()
    said_otherwise = any(w in (*_SAID_WITH_THEM, *_NO_INITIALS) for w in words) or "/" in text
    sentence = len(words) > 1 and any(len(w.strip(".")) > _LETTERS_APART for w in words)
    none = not said or len(said) > MOST_INITIALS or said.isdigit()
    if none or said_otherwise or sentence:
        wrong = f"'{text}' are no initials" if text.strip() else "no initials yet"
        raise UsageError(f"{wrong}; type the one to {MOST_INITIALS} letters you sign with.")
    return said
