"""One aeroplane by its registration: what differs from its layout, and what its papers say of it.

Everything is as its owner typed it; nothing here is decided, least of all whether a defect may be
deferred.  Dates are ISO text (year-month-day), quantities SI.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from diagnose.errors import NOWHERE, Origin
from diagnose.model.cases import CauseAt
from diagnose.model.states import KnownBy, nothing


@dataclass(frozen=True)
class ApprovedData:
    """A document the figures come from, at the revision the owner holds now."""

    document: str
    revision: str
    on: str
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class OwnLimit:
    """Where an aeroplane's own limit was typed from; the figures stand in the layout's limits."""

    name: str
    document: str
    revision: str
    on: str
    page: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Modification:
    """A modification and whether it is embodied; ``sets``: (part, trait, value) it changes."""

    id: str
    title: str
    embodied: bool
    on: str = ""
    reference: str = ""
    sets: tuple[tuple[str, str, str], ...] = ()
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Fitted:
    """A part fitted: by number and serial, when, from where, what it had run and when it is due.

    hours, overhaul_at: seconds of running since overhaul, and at which it is due; None not said.
    overhaul_due, shelf_until: dates, '' when not said.
    """

    part: str
    number: str = ""
    serial: str = ""
    on: str = ""
    source: str = ""
    hours: float | None = None
    overhaul_at: float | None = None
    overhaul_due: str = ""
    shelf_until: str = ""
    reference: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Done:
    """Work done at a part on a day."""

    what: str
    at: str
    on: str
    reference: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Card:
    """The error card of one gauge or dip-stick: (shown, true) in SI, shown rising.

    ``error``: half-width of what the card itself may be out by, SI, None when not stated.
    """

    part: str
    dimension: str
    points: tuple[tuple[float, float], ...]
    shown: tuple[str, ...]  # each point as typed, for people
    on: str = ""
    by: str = ""
    due: str = ""
    error: float | None = None
    reference: str = ""
    origin: Origin = NOWHERE

    def true(self, shown: float) -> float:
        """Return the true figure for a ``shown`` one, SI, straight lines between the points.

        Beyond the card's ends the error of the nearest point is carried on: a card says nothing
        there, and a line carried on would invent an error nobody measured.
        """
        first, last = self.points[0], self.points[-1]
        if shown <= first[0] or len(self.points) == 1:
            return shown + first[1] - first[0]
        for (x, y), (x2, y2) in pairwise(self.points):
            if shown <= x2:
                return y + (y2 - y) * (shown - x) / (x2 - x)
        return shown + last[1] - last[0]

    @property
    def title(self) -> str:
        """Return the card's reference and date in words."""
        on = f"of {self.on}" if self.on else ""
        return ", ".join(p for p in (self.reference, on) if p) or "undated"


@dataclass(frozen=True)
class Quirk:
    """A known habit of this aeroplane, shown where it matters; never weighed."""

    text: str
    at: str
    question: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Deferred:
    """An open deferred defect as the aeroplane's papers list it.

    cause: what is wrong, as a cause of the knowledge; cause.cause '' when only told in words.
    known_by: a defect measured, read or seen is taken to be there; one told or assumed only lifts
    the odds.
    """

    id: str
    what: str
    cause: CauseAt
    since: str
    until: str
    limit: str
    reference: str
    known_by: KnownBy = "seen"
    origin: Origin = NOWHERE

    @property
    def is_proved(self) -> bool:
        """Return whether somebody saw, read or measured it, and it names a cause."""
        return bool(self.cause.cause) and self.known_by in ("measured", "read", "seen")


@dataclass(frozen=True)
class Uplift:
    """Fuel taken on: ``amount`` [m3] or None; ``source`` is bowser, pump or store, ``batch``."""

    on: str
    source: str
    batch: str = ""
    amount: float | None = None
    tanks: tuple[str, ...] = ()
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Aeroplane:
    """One aeroplane over its layout; ``edition`` is the hash of the file it was read from."""

    registration: str
    layout: str
    edition: str
    invented: bool
    layout_edition: str = ""
    laid_on: str = ""  # edition of the layout it is laid over now
    serial: str = ""
    hours: float | None = None
    notes: str = ""
    last_good_run: str = ""
    approved: tuple[ApprovedData, ...] = ()
    limits: Mapping[str, OwnLimit] = field(default_factory=dict)
    modifications: tuple[Modification, ...] = ()
    fitted: tuple[Fitted, ...] = ()
    work: tuple[Done, ...] = ()
    cards: Mapping[str, Card] = field(default_factory=dict)
    quirks: tuple[Quirk, ...] = ()
    deferred: tuple[Deferred, ...] = ()
    uplifts: tuple[Uplift, ...] = ()
    particulars: Mapping[str, str] = field(default_factory=nothing)
    origin: Origin = NOWHERE
