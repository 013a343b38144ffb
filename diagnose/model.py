"""The words of the project as frozen dataclasses: what knowledge, layouts, cases and findings are.

Nothing here reads files, reasons or prints.  Every item remembers the ``Origin`` (file, line,
column) it was read from, so that any conclusion can be traced back to the line that said it.
All quantities are SI floats; units live at the edges (``diagnose.units``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal as Choice

from diagnose.errors import NOWHERE, Origin

GRADES = ("slight", "half", "severe")
"""Severity grades of a cause, mildest first."""

AEROPLANE = "aeroplane"
"""Id of the place that stands for the whole aeroplane; every layout has it."""

STAGES: Mapping[str, str] = MappingProxyType(
    {
        "parked": "none",
        "refuelling": "none",
        "static": "none",
        "after-shut-down": "none",
        "cranking": "cranking",
        "idle": "low",
        "taxi": "low",
        "run-up": "high",
        "take-off": "high",
        "climb": "high",
        "cruise": "mid",
        "descent": "low",
        "approach": "low",
        "go-around": "high",
    }
)
"""Stage of operation -> power band.  Knowledge speaks of power; people report stages."""

DIMENSIONS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "power": ("none", "cranking", "low", "mid", "high"),
        "booster": ("off", "on"),
        "crossfeed": ("shut", "open"),
        "heat": ("cool", "hot"),
        "attitude": ("level", "disturbed"),
        "level": ("full", "part", "low"),
        "tank": (),  # values are tank ids of the layout: the tank that feeds
    }
)
"""Dimensions of a run state and their values; an unstated dimension is averaged over, never guessed."""

KnownBy = Choice["measured", "read", "seen", "told", "assumed"]
KNOWN_BY: tuple[KnownBy, ...] = ("measured", "read", "seen", "told", "assumed")


def _empty() -> Mapping[str, str]:
    return MappingProxyType({})


# --------------------------------------------------------------------------- sources and words


@dataclass(frozen=True)
class Source:
    """A text or practice that knowledge rests on; ``kind`` says how much weight it bears."""

    id: str
    title: str
    kind: str  # regulation | circular | handbook | report | paper | standard | practice | memory | model
    cite: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class SourceRef:
    """One use of a source: which part of it, and what it gives."""

    id: str
    part: str = ""
    gives: str = ""


@dataclass(frozen=True)
class TradeWord:
    """A word of the trade or slang; ``asks`` are the questions that tell its meanings apart."""

    word: str
    means: str
    finding: str = ""  # question id it speaks of, '' when it only names a place or is a trap
    value: str = ""  # class of that question it suggests; '' = ask
    place: str = ""  # part kind or side word it names
    asks: tuple[str, ...] = ()
    trap: str = ""
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Words:
    """Scales and vocabulary: the only place where a word is turned into a number."""

    how_often: Mapping[str, float]
    how_common: Mapping[str, float]
    trust: Mapping[str, float]  # known-by -> weight of the finding against a flat answer, 0..1
    work_lift: float  # factor on prior odds where work was done since the last good run
    shares: Mapping[str, float]  # prior share of not-fuel, not-in-the-knowledge, no-fault
    unstated: Mapping[str, Mapping[str, float]]  # dimension -> value -> weight when not stated
    trade: tuple[TradeWord, ...] = ()


# --------------------------------------------------------------------------- effects and questions


@dataclass(frozen=True)
class Effect:
    """A physical condition at a place in a run state; hidden, never itself observed.

    ``values[0]`` is the normal value.  ``background`` is the rate of each other value per report
    when none of our causes is at work.  ``depends_on`` names the run-state dimensions that can
    change it: two findings that differ in no such dimension speak of the same instance.
    ``reading`` names the fuel-model reading that gives it, '' when the model cannot.
    """

    id: str
    title: str
    at: tuple[str, ...]  # part kinds, or ('aeroplane',)
    values: tuple[str, ...]
    background: Mapping[str, float]
    depends_on: tuple[str, ...] = ()
    reading: str = ""
    because: str = ""
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Question:
    """How to get one finding about one effect.

    ``shows[value][class]`` is P(class | effect value); rows sum to 1.  ``cut`` names the layout
    limit that turns a typed number into a class (below its low edge ``low``, above ``high``).
    """

    id: str
    title: str
    ask: str
    reads: str  # effect id
    at: tuple[str, ...]  # same part kinds as the effect
    classes: Mapping[str, str]  # class -> label shown to the user, in neutral order
    shows: Mapping[str, Mapping[str, float]]
    how: str = ""
    why: str = ""
    instruments: tuple[str, ...] = ()  # part kinds whose faults distort this reading
    unit: str = ""  # dimension of a typed number: pressure, volume, temperature, flow ...
    cut: str = ""
    stages: tuple[str, ...] = ()  # stages in which it can be got; () = any time, from memory or papers
    needs: Mapping[str, str] = field(default_factory=_empty)  # further run-state settings it is read in
    minutes: float = 1.0
    hands: int = 1
    tools: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    opening: bool = False  # asked before anything is done
    perishable: str = ""  # what destroys it: 'cooling', 'draining', 'refuelling', 'rectifying'
    gate: str = ""  # class that must be KNOWN before an engine is run ('' = not a gate)
    also_called: tuple[str, ...] = ()
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE


# --------------------------------------------------------------------------- rules (symptoms)


@dataclass(frozen=True)
class Literal:
    """'this sign is / that symptom holds', at a place related to the symptom's own place.

    ``at``: ``itself``, or a relation of ``diagnose.places``.  With a relation to many places
    ``every`` says whether all must have it or one is enough.  ``state`` limits which findings
    count, e.g. ``{"booster": ("off",)}``.
    """

    kind: Choice["sign", "symptom"]
    name: str
    value: tuple[str, ...]  # classes of the sign, any of which satisfies; ('true',) for a symptom
    at: str = "itself"
    every: bool = False
    state: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Combination:
    """``all`` / ``any`` / ``not`` over conditions (``not`` has exactly one)."""

    op: Choice["all", "any", "not"]
    parts: tuple[Condition, ...]
    origin: Origin = NOWHERE


Condition = Literal | Combination


@dataclass(frozen=True)
class Symptom:
    """What a rule concludes from signs and other symptoms; it names, points, excludes, warns, stops.

    A symptom never multiplies into belief.
    """

    id: str
    title: str
    at: tuple[str, ...]
    when: Condition
    because: str
    points_to: tuple[str, ...] = ()  # cause ids
    against: tuple[str, ...] = ()  # cause ids it speaks against (shown, not weighed)
    never_with: tuple[str, ...] = ()  # cause ids made impossible: odds divided, visibly
    warns: str = ""
    stops: str = ""  # what to do at once; interrupts the job
    sources: tuple[SourceRef, ...] = ()
    status: str = "draft"
    origin: Origin = NOWHERE


# --------------------------------------------------------------------------- causes


@dataclass(frozen=True)
class Produces:
    """``effect`` takes ``value`` at the places related to the cause's part, when the state fits.

    ``how_often`` is P(value | this cause alone, grade), net of background, per grade;
    a grade not stated is absent.  ``when[dimension]`` lists the values that fit.
    """

    effect: str
    value: str
    at: str
    how_often: Mapping[str, float]
    said: Mapping[str, str]  # grade -> the word as written
    when: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Distorts:
    """An instrument fault: what the question shows (class) for what a sound one would show."""

    question: str
    shows: Mapping[str, Mapping[str, float]]  # sound class -> shown class -> P; absent row = unchanged
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class LookAlike:
    """A cause that looks the same, and what tells it apart."""

    cause: str
    told_apart_by: str


@dataclass(frozen=True)
class CauseCheck:
    """A check that settles this cause: the result that confirms it and the chance of finding it."""

    check: str
    result: str
    chance: float = 0.95
    at: str = "itself"  # relation from the cause's part to the part the check is done at


@dataclass(frozen=True)
class Provenance:
    """Who said it, when and how well it is known."""

    said_by: str
    on: str
    how: str  # published | interview | own case | common practice
    confidence: str = ""


@dataclass(frozen=True)
class Physical:
    """What the failure does to an element of the fuel-system model, per severity grade."""

    change: str  # e.g. blocked, leaks, output, relief-set, stuck-at, ...
    grades: Mapping[str, float]
    unit: str = ""


@dataclass(frozen=True)
class Cause:
    """A failure mode of a kind of part; with a part of a layout it becomes a *cause* there."""

    id: str
    title: str
    family: str
    part_kinds: tuple[str, ...]
    mode: str
    code: str
    how_common: float
    common_word: str
    because: str
    severity: Mapping[str, float]
    produces: tuple[Produces, ...]
    distorts: tuple[Distorts, ...] = ()
    only_if: Mapping[str, str] = field(default_factory=_empty)  # part or layout attribute -> value
    after_work: tuple[str, ...] = ()
    pattern: str = "steady"
    look_alikes: tuple[LookAlike, ...] = ()
    checks: tuple[CauseCheck, ...] = ()
    rectify: str = ""
    root_question: str = ""
    also_look: str = ""
    verify: str = ""
    harm: str = ""
    physical: Physical | None = None
    outside: str = ""  # '', 'not-fuel' or 'no-fault'
    provenance: Provenance | None = None
    status: str = "draft"
    fires_on: tuple[str, ...] = ()
    silent_on: tuple[str, ...] = ()
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Hazard:
    """A caution shown before a step; ``level`` warning = people, caution = damage."""

    id: str
    title: str
    level: str
    text: str
    sources: tuple[SourceRef, ...] = ()
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Check:
    """An action that confirms or clears causes at one part.

    ``results``: result -> label; the first means 'nothing found'.  ``aeroplane`` states what the
    aeroplane must be like: power, engine, line-pressure, ventilation.  ``access`` names what must
    be opened; opened access is paid for once.
    """

    id: str
    title: str
    at: tuple[str, ...]
    results: Mapping[str, str]
    aim: str
    minutes: float
    aeroplane: Mapping[str, str]
    false_find: float = 0.05
    hands: int = 1
    tools: tuple[str, ...] = ()
    access: str = ""
    access_minutes: float = 0.0
    hazards: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    good: str = ""
    bad: str = ""
    close_out: str = ""
    disturbs: tuple[str, ...] = ()  # what it leaves open, moved or drained
    destroys: tuple[str, ...] = ()  # perishable evidence it destroys ('cooling', 'draining', ...)
    sources: tuple[SourceRef, ...] = ()
    status: str = "draft"
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Library:
    """All knowledge of one edition, frozen; ``edition`` is the hash of every file read."""

    root: str
    edition: str
    effects: Mapping[str, Effect]
    questions: Mapping[str, Question]
    symptoms: Mapping[str, Symptom]
    causes: Mapping[str, Cause]
    checks: Mapping[str, Check]
    hazards: Mapping[str, Hazard]
    sources: Mapping[str, Source]
    words: Words


# --------------------------------------------------------------------------- layouts


@dataclass(frozen=True)
class Part:
    """A named part of a layout.

    ``of`` is the part it belongs to (a cap's tank, a gauge's engine).  ``numbers`` are SI values
    of the part's figures (capacity [m3], height [m], displacement [m3/s] ...), keys as written
    in the layout file; ``traits`` its words.
    """

    id: str
    kind: str
    name: str
    side: str = ""
    position: str = ""
    number: int | None = None
    of: str = ""
    bus: str = ""
    traits: Mapping[str, str] = field(default_factory=_empty)
    numbers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    positions: Mapping[str, tuple[tuple[str, str], ...]] = field(
        default_factory=lambda: MappingProxyType({})
    )  # cocks: position -> joined (port, port) pairs
    ports: Mapping[str, str] = field(default_factory=_empty)  # port -> neighbour part id
    normal: str = ""  # cocks: position in normal running
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Line:
    """A run of pipe from ``start`` to ``end`` ('part' or 'part.port'), fuel normally that way."""

    id: str
    start: str
    end: str
    bore: float  # [m]
    length: float  # [m]
    loss: float  # sum of fitting loss coefficients K [-]
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Limit:
    """A figure of the layout with the approved-data reference it was typed from."""

    name: str
    low: float | None
    high: float | None
    unit: str  # dimension
    reference: str
    shown: str  # as typed, for people
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class RunState:
    """A standard state in which readings are taken, and what it costs."""

    id: str
    title: str
    stage: str
    settings: Mapping[str, str]
    minutes: float  # to set up and hold, once the engine is in the right mood
    start_minutes: float = 0.0  # start, warm-up and shut-down, paid once a run
    engine_running: bool = False
    needs: tuple[str, ...] = ()
    origin: Origin = NOWHERE


@dataclass(frozen=True)
class Layout:
    """The fuel system of one kind of aeroplane."""

    id: str
    title: str
    invented: bool
    notes: str
    traits: Mapping[str, str]
    parts: Mapping[str, Part]
    lines: tuple[Line, ...]
    limits: Mapping[str, Limit]
    run_states: tuple[RunState, ...]
    edition: str
    origin: Origin = NOWHERE


# --------------------------------------------------------------------------- findings and cases


@dataclass(frozen=True)
class State:
    """A run state as stated: ``settings`` holds only the dimensions that are known."""

    stage: str = ""
    settings: Mapping[str, str] = field(default_factory=_empty)

    def known(self) -> Mapping[str, str]:
        """Return the known dimensions, with power taken from the stage unless it was stated."""
        out = dict(self.settings)
        if "power" not in out and self.stage in STAGES:
            out["power"] = STAGES[self.stage]
        return out


@dataclass(frozen=True)
class Finding:
    """One thing seen, heard, smelt, read or measured.

    ``value`` is a class of the question, or a check's result when ``check`` is set;
    '' means 'not checked / cannot tell'.  ``number`` keeps a typed figure in SI, ``typed`` as typed.
    """

    question: str  # question id, or check id when check is True
    at: str
    value: str
    state: State = State()
    known_by: KnownBy = "seen"
    check: bool = False
    others_normal: bool = False
    number: float | None = None
    typed: str = ""
    after: str = ""
    epoch: int = 0
    origin: Origin = NOWHERE


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
    """A finished job or a published occurrence, kept to test and to teach."""

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
    origin: Origin = NOWHERE
