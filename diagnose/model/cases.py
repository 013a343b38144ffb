"""Findings, and the cases they make when a job is done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.errors import NOWHERE, Origin
from diagnose.model.states import ANY_STATE, KnownBy, State

FROM_THE_MODEL = "from the model"
"""How the source of a job begins that was made with the fuel-system model."""
TOLD = "told in an interview"
"""How the source of a case begins that an expert told as his own."""


@dataclass(frozen=True)
class Finding:
    """One thing seen, heard, smelt, read or measured.

    ``value`` is a class of the question, or a check's result when ``check`` is set;
    '' means 'not checked / cannot tell'.  ``number`` keeps a typed figure in SI, ``typed`` as it
    was typed.

    Tried several times, ``value`` was seen ``seen`` times in ``tries`` and the normal class the
    other times; ``reached`` says whether the reported condition held then, because what did not
    show outside it says nothing.  ``chances``, where an instrument's error leaves the class open:
    (class, chance that the figure truly lies there), together 1, ``value`` the likeliest.
    ``told``: as it was told, where it is read as what it says of time; what it says of the others
    of its kind still holds.

    ``one_of``: the classes of which it was one, not known which ('lost power' is that it faded or
    that it stopped); at least two, ``value`` the first.  Empty where the class is known.

    ``one_of_places``: the places at one of which it was, not known which ('one of the two lamps on
    the port side'); at least two, and ``at`` is then the aeroplane: what reads a finding at one
    place reads none of them for it.  Empty where the place is known.
    """

    question: str  # question id, or check id when check is True
    at: str
    value: str
    state: State = ANY_STATE
    known_by: KnownBy = "seen"
    check: bool = False
    others_normal: bool = False
    number: float | None = None
    typed: str = ""
    after: str = ""
    epoch: int = 0
    origin: Origin = NOWHERE
    tries: int = 1
    seen: int = 1
    reached: bool = True
    chances: tuple[tuple[str, float], ...] = ()
    told: Finding | None = None
    one_of: tuple[str, ...] = ()
    one_of_places: tuple[str, ...] = ()

    @property
    def places(self) -> tuple[str, ...]:
        """Return the places it may be at: one where it is known."""
        return self.one_of_places or (self.at,)

    @property
    def classes(self) -> tuple[str, ...]:
        """Return the classes it may be: one where it is known, none where it was not checked."""
        return self.one_of or ((self.value,) if self.value else ())

    def surely(self, value: str) -> bool:
        """Return whether it is known to be ``value``."""
        return self.classes == (value,)

    def surely_not(self, value: str) -> bool:
        """Return whether something was told, and it is known not to be ``value``."""
        return bool(self.classes) and value not in self.classes


@dataclass(frozen=True)
class Work:
    """Work done since the last good run."""

    what: str
    at: str
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class CauseAt:
    """A cause of a layout: a failure mode at one named part."""

    cause: str
    at: str

    def __str__(self) -> str:
        return f"{self.cause}@{self.at}"


@dataclass(frozen=True)
class Case:
    """A finished job or a published occurrence, kept to test and to teach.

    A report that was only judged (``judged``) has no cause: nobody looked.
    """

    id: str
    source: str
    layout: str
    reported: str
    before: tuple[Work, ...]
    findings: tuple[Finding, ...]
    examination: tuple[Finding, ...]
    causes: tuple[CauseAt, ...]  # cause '' stands for not-in-the-knowledge
    also_accept: tuple[CauseAt, ...] = ()
    family: str = ""
    invented: bool = False
    title: str = ""
    notes: str = ""
    judged: tuple[Mapping[str, float], ...] = ()  # of a report: mode -> share, for each judgement
    origin: Origin = NOWHERE

    @property
    def drawn(self) -> bool:
        """Return whether the job was made with the fuel-system model; nobody ever saw it."""
        return self.source.startswith(FROM_THE_MODEL)

    @property
    def told(self) -> bool:
        """Return whether it is an expert's own case, told in an interview."""
        return self.source.startswith(TOLD)
