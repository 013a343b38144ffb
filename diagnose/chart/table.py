"""A fault-finding table of one layout: what is found, its likely causes in order, check and remedy.

All places of a finding share one entry, its causes told as seen from there (the strainer of that
engine), so that four engines do not make four tables; what is likely at some of them only says at
which.  What is seldom behind a finding is only named.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from diagnose.belief import UNKNOWN
from diagnose.by_key import by_key
from diagnose.chart.labels import kind_words
from diagnose.chart.limits import limits_behind
from diagnose.chart.spoken import Spoken
from diagnose.chart.start import Start, finding_starts, symptom_starts
from diagnose.errors import UsageError
from diagnose.how_far import HowFar, untold
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.job.elsewhere import as_fitted
from diagnose.job.explain import word_for
from diagnose.model import AEROPLANE, CauseAt
from diagnose.planner.actions import NOTHING_DONE
from diagnose.planner.worth import check_minutes

CAUSES, MOST = 3, 4
"""Causes told with their check for one finding: at one place, and for all its places together."""

SELDOM = 3
"""Further causes that are named."""

LEAST = 0.02
"""A failure mode with less belief than this, at all its parts together, is not printed."""

BESIDE = 0.25
"""A part of it is named where it is at least this share of its likeliest part."""


@dataclass(frozen=True)
class Likely:
    """One likely failure mode: its parts in words, how likely, what settles it, the remedy.

    where: its parts; nothing where it is likely at every part that can have it, or at the one that
    belongs to the place of the entry.
    only: of the places of its entry those at which it is likely, empty for all.
    check: id of the check that settles it soonest, '' where none does.  minutes: with its access.
    """

    cause: str
    title: str
    where: tuple[str, ...]
    only: tuple[str, ...]
    word: str
    probability: float
    check: str
    minutes: float
    remedy: str


@dataclass(frozen=True)
class Entry:
    """What is found, where, and its likely causes, best first.

    name: of the first place, as a decision chart is asked for.  says: findings behind a symptom.
    seldom: causes after those, best first.  limits: by which the figures in it are classed.  stops,
    warns: what the rules say of it, which is done and read before any check.
    """

    name: str
    title: str
    places: tuple[str, ...]
    says: tuple[str, ...]
    causes: tuple[Likely, ...]
    seldom: tuple[Likely, ...] = ()
    limits: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    warns: tuple[str, ...] = ()


@dataclass(frozen=True)
class FaultTable:
    """The table: what is found by one look or reading, and what several findings make together.

    whole: it is about everything that can be found.
    """

    findings: tuple[Entry, ...]
    symptoms: tuple[Entry, ...]
    whole: bool


Mode = Sequence[tuple[CauseAt, float]]
"""One failure mode at the parts where it is likely, each with its chance."""


def fault_table(bench: Bench, about: Collection[str], told: HowFar = untold) -> FaultTable:
    """Return the table of ``bench``'s layout.

    ``about``: only these questions and symptoms; empty: all.  A cause stands in it where the
    finding speaks for it; a finding that speaks for none has no entry.  ``told`` hears how
    many findings of how many are ranked.

    Raises:
        UsageError: If there is no such question or symptom on the layout, or no cause gives it.
    """
    single = [s for s in finding_starts(bench) if _wanted(s, about)]
    several = [s for s in symptom_starts(bench, about) if len(s.findings) > 1]
    names = {_subject(s) for s in (*single, *several)}
    unknown = [name for name in about if name not in names]
    if unknown:
        raise UsageError(
            f"the table of {bench.layout.id} has nothing about {', '.join(unknown)}; "
            "`diagnose chart starts` lists what it has."
        )
    total = len(single) + len(several)
    diagnosis = Diagnosis(bench, engine=False)
    spoken = Spoken(diagnosis)
    ranked: dict[
        str, list[tuple[Start, list[Mode]]]
    ] = {}  # by finding or symptom, without its place
    for k, start in enumerate([*single, *several]):
        told(k, total)
        belief = diagnosis.see(start.findings).posterior.ranking()
        known = _modes([(c, p) for c, p in belief if c != UNKNOWN and spoken.for_(c, p)])
        if not known:  # nothing in the knowledge gives it: no line rather than a usual suspect
            continue
        ranked.setdefault(start.name.partition("@")[0], []).append((start, known))
    if about and not ranked:
        raise UsageError(
            f"nothing in the knowledge gives {', '.join(about)} on {bench.layout.id}: no cause "
            "stands out by it, so the table has no line for it."
        )
    entries = {name: _entry(bench, each) for name, each in ranked.items()}
    return FaultTable(
        tuple(e for name, e in entries.items() if "=" in name),
        tuple(e for name, e in entries.items() if "=" not in name),
        not about,
    )


def _subject(start: Start) -> str:
    """Return the question or symptom a start is about."""
    return start.name.partition("@")[0].partition("=")[0]


def _wanted(start: Start, about: Collection[str]) -> bool:
    return not about or _subject(start) in about


def _modes(spoken: Sequence[tuple[CauseAt, float]]) -> list[Mode]:
    """Return the failure modes that are printed, likeliest first, each at its likelier parts."""
    causes = by_key((c.cause, (c, p)) for c, p in spoken)
    modes = sorted(
        (cs for cs in causes.values() if _chance(cs) >= LEAST), key=lambda cs: -_chance(cs)
    )
    return [[(c, p) for c, p in cs if p >= BESIDE * cs[0][1]] for cs in modes]


def _chance(mode: Mode) -> float:
    return sum(p for _, p in mode)


def _in_full(modes: Sequence[Mode]) -> Sequence[Mode]:
    """Return those told with their check: the first, and what is not unlikely beside it."""
    top = _chance(modes[0])
    return [m for m in modes[:CAUSES] if m is modes[0] or word_for(_chance(m), top) != "unlikely"]


def _everywhere(bench: Bench, mode: Mode) -> bool:
    """Return whether a mode is likely at every part that can have it."""
    return set(bench.parts_of(mode[0][0].cause)) == {c.at for c, _ in mode}


def _where(bench: Bench, mode: Mode, place: str) -> tuple[str, ...]:
    """Return where a mode is likely, seen from ``place``, '' for from nowhere.

    Nothing: at every part that can have it, or at the one that belongs to the place.
    """
    if _everywhere(bench, mode):
        return ()
    label = bench.places.label
    told = (_relation(bench, c.at, place) if place else label(c.at) for c, _ in mode)
    where = tuple(dict.fromkeys(told))
    return () if len(where) == 1 and where[0].startswith(("its ", "that ")) else where


def _entry(bench: Bench, group: Sequence[tuple[Start, Sequence[Mode]]]) -> Entry:
    start, many = group[0][0], len(group) > 1
    label = bench.places.label
    # what is told in full, by cause and where it is, with the places of the finding that have it
    full: dict[tuple[str, tuple[str, ...]], dict[str, Mode]] = {}
    leading: set[str] = set()
    named: dict[str, Mode] = {}
    top = 0.0
    for at, modes in group:
        told = _in_full(modes)
        top = max(top, _chance(modes[0]))
        leading.add(modes[0][0][0].cause)
        for m in modes:
            cause = m[0][0].cause
            if m in told:
                where = _where(bench, m, at.place if many else "")
                full.setdefault((cause, where), {})[label(at.place)] = m
            elif cause not in named or _chance(m) > _chance(named[cause]):
                named[cause] = m
    causes = [
        _likely(
            bench, next(iter(at.values())), where, top, tuple(at) if len(at) < len(group) else ()
        )
        for (_, where), at in full.items()
    ]
    causes.sort(key=lambda c: (c.cause not in leading, -c.probability))
    kept = [c for k, c in enumerate(causes) if k < MOST or c.cause in leading]
    kept.sort(key=lambda c: -c.probability)
    in_full = {c.cause for c in kept}
    named |= {m[0][0].cause: m for at in full.values() for m in at.values()}
    seldom = [_likely(bench, m, (), top, ()) for c, m in named.items() if c not in in_full]
    title = start.title
    if many:  # the places stand by themselves
        title = title.replace(f", {label(start.place)}", "")
    outcome = bench.plain.outcome(dict(enumerate(start.findings)))
    return Entry(
        start.name,
        title,
        tuple(label(at.place) for at, _ in group),
        () if len(start.findings) == 1 else _says(bench, start),
        tuple(kept),
        tuple(sorted(seldom, key=lambda c: -c.probability)[:SELDOM]),
        limits_behind(bench, start.findings),
        tuple(dict.fromkeys(s.text for s in outcome.stops)),
        tuple(dict.fromkeys(c.text for c in outcome.cautions)),
    )


def _says(bench: Bench, start: Start) -> tuple[str, ...]:
    """Return the findings behind a symptom, without the place that the entry names."""
    labels = (bench.places.label(start.place), bench.places.label(AEROPLANE))
    says = start.says
    for label in labels:
        says = tuple(s.replace(f", {label}:", ":") for s in says)
    return says


def _likely(
    bench: Bench, mode: Mode, where: tuple[str, ...], top: float, only: tuple[str, ...]
) -> Likely:
    first = mode[0][0]
    known = as_fitted(bench, first)
    p = _chance(mode)
    settled = bench.planner.settles(first, NOTHING_DONE)
    minutes = check_minutes(bench.net, *settled, frozenset()) if settled else 0.0
    outside = f" [{known.outside.replace('-', ' ')}]" if known.outside else ""
    return Likely(
        known.id,
        known.title + outside,
        where,
        only,
        word_for(p, top),
        p,
        settled[0] if settled else "",
        minutes,
        known.rectify,
    )


def _relation(bench: Bench, part: str, place: str) -> str:
    """Return where ``part`` is, seen from ``place``, in words that hold for every such place."""
    places, parts = bench.places, bench.layout.parts
    kind = kind_words(parts[part].kind)
    if part == place:
        return f"that {kind}"
    above = places.owners(part)
    here = places.owners(place)
    if place in above:
        return f"its {kind}"
    for owner in (part, *above):
        if owner in here:
            return f"its {kind}"
        if owner in places.fed_by(place, {}):
            return f"{kind} of a tank that feeds it" if owner != part else "a tank that feeds it"
    if place in places.related(part, "engines-fed-through-it", {}):
        return f"{kind} on its way of the fuel"
    return places.label(part)
