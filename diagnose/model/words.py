"""Sources and words: what knowledge rests on, and what its words are worth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diagnose.errors import NOWHERE, Origin
from diagnose.model.states import nothing


@dataclass(frozen=True)
class Source:
    """A text or practice that knowledge rests on; ``kind`` says how much weight it bears."""

    id: str
    title: str
    kind: str  # as SOURCE_KINDS lists them: regulation, handbook, practice, interview ...
    cite: str = ""
    origin: Origin = NOWHERE


Evidence = Literal["stated", "model", "both"]
"""What the rates of causes rest on: the knowledge, the fuel-system model, or the two together."""
EVIDENCE: tuple[Evidence, ...] = ("stated", "model", "both")


@dataclass(frozen=True)
class SourceRef:
    """One use of a source: which part of it, and what it gives."""

    id: str
    part: str = ""
    gives: str = ""


@dataclass(frozen=True)
class TradeWord:
    """A word of the trade or slang; ``asks`` are the questions that tell its meanings apart.

    ``one_of``: the classes of which it suggests one, not known which; ``value`` is the first.
    """

    word: str
    means: str
    finding: str = ""  # question id it speaks of, '' when it only names a place or is a trap
    value: str = ""  # class of that question it suggests; '' = ask
    one_of: tuple[str, ...] = ()
    place: str = ""  # part kind or side word it names
    asks: tuple[str, ...] = ()
    trap: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Words:
    """Scales and vocabulary: the only place where a word is turned into a number."""

    how_often: Mapping[str, float]
    how_common: Mapping[str, float]
    trust: Mapping[str, float]  # known-by -> weight of what was said against a sound answer, 0..1
    work_lift: float  # factor on prior odds where work was done since the last good run
    fuelling_lift: float  # the same where it was fuelled: nearly every flight comes after that
    shares: Mapping[str, float]  # prior share of not-fuel, not-in-the-knowledge, no-fault
    unstated: Mapping[str, Mapping[str, float]]  # dimension -> value -> weight when not stated
    trade: tuple[TradeWord, ...] = ()
    common_weight: float = 1.0  # power to which how-common is raised before causes are compared
    forms: Mapping[str, str] = field(default_factory=nothing)  # another common form -> our word
    elsewhere: tuple[str, ...] = ()  # names of things of other systems
    # kind of part -> what people say was done at it, where they name no part of ours
    works: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    ordinary: tuple[str, ...] = ()  # words that are near one of ours and mean themselves
    # name -> its words; '<name>' in a phrase of a question stands for each of them
    amounts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class ToldAs:
    """An answer that a report told, and the clauses of it that told it, as far as known."""

    question: str
    value: str
    clauses: tuple[str, ...] = ()
