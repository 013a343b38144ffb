"""A fault-finding table of one layout: what is found, its likely causes in order, check and remedy.

Places where the same causes stand in the same relation (the strainer of that engine) share one
entry, so that four engines do not make four tables.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
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
from diagnose.model import CauseAt
from diagnose.planner.actions import NOTHING_DONE
from diagnose.planner.worth import check_minutes

CAUSES = 4
"""Causes printed for one finding."""

LEAST = 0.02
"""A cause with less belief than this is not printed."""


@dataclass(frozen=True)
class Likely:
    """One likely failure mode: its parts in words, how likely, what settles it, the remedy.

    check: id of the check that settles it soonest, '' where none does.  minutes: with its access.
    """

    cause: str
    title: str
    where: tuple[str, ...]
    word: str
    probability: float
    check: str
    minutes: float
    remedy: str


@dataclass(frozen=True)
class Entry:
    """What is found, where, and its likely causes, best first.

    name: of the first place, as a decision chart is asked for.  says: findings behind a symptom.
    limits: by which the figures in it are classed.  stops, warns: what the rules say of it, which
    is done and read before any check.
    """

    name: str
    title: str
    places: tuple[str, ...]
    says: tuple[str, ...]
    causes: tuple[Likely, ...]
    limits: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    warns: tuple[str, ...] = ()


@dataclass(frozen=True)
class FaultTable:
    """The table: what is found by one look or reading, and what several findings make together."""

    findings: tuple[Entry, ...]
    symptoms: tuple[Entry, ...]


Known = Sequence[tuple[CauseAt, float]]


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
    ranked: dict[str, list[tuple[Start, Known]]] = {}
    for k, start in enumerate([*single, *several]):
        told(k, total)
        belief = diagnosis.see(start.findings).posterior.ranking()
        known = [(c, p) for c, p in belief if p >= LEAST and c != UNKNOWN and spoken.for_(c, p)]
        if not known:  # nothing in the knowledge gives it: no line rather than a usual suspect
            continue
        ranked.setdefault(start.name.partition("@")[0], []).append((start, known))
    if about and not ranked:
        raise UsageError(
            f"nothing in the knowledge gives {', '.join(about)} on {bench.layout.id}: no cause "
            "stands out by it, so the table has no line for it."
        )
    entries = {name: tuple(_entries(bench, each)) for name, each in ranked.items()}
    return FaultTable(
        tuple(e for name, each in entries.items() if "=" in name for e in each),
        tuple(e for name, each in entries.items() if "=" not in name for e in each),
    )


def _subject(start: Start) -> str:
    """Return the question or symptom a start is about."""
    return start.name.partition("@")[0].partition("=")[0]


def _wanted(start: Start, about: Collection[str]) -> bool:
    return not about or _subject(start) in about


def _entries(bench: Bench, each: Sequence[tuple[Start, Known]]) -> Iterator[Entry]:
    """Yield the entries of one finding: places of which the same words are true together."""
    alike: dict[frozenset[tuple[str, str]], list[tuple[Start, Known]]] = {}
    for start, known in each:
        kinds = frozenset(
            (c.cause, _relation(bench, c.at, start.place)) for cs in _modes(known) for c, _ in cs
        )
        alike.setdefault(kinds, []).append((start, known))
    for group in alike.values():
        yield _entry(bench, group)


def _modes(known: Known) -> list[list[tuple[CauseAt, float]]]:
    """Return the failure modes that are printed, likeliest first, each with its parts."""
    causes = by_key((c.cause, (c, p)) for c, p in known)
    return sorted(causes.values(), key=lambda cs: -sum(p for _, p in cs))[:CAUSES]


def _entry(bench: Bench, group: Sequence[tuple[Start, Known]]) -> Entry:
    start, known = group[0]
    many = len(group) > 1
    summed = _modes(known)
    top = max((sum(p for _, p in cs) for cs in summed), default=1.0)
    title = start.title
    if many:  # the places stand by themselves
        title = title.replace(f", {bench.places.label(start.place)}", "")
    outcome = bench.plain.outcome(dict(enumerate(start.findings)))
    return Entry(
        start.name,
        title,
        tuple(bench.places.label(s.place) for s, _ in group),
        () if len(start.findings) == 1 else _says(bench, start, many),
        tuple(_likely(bench, cs, start.place if many else "", top) for cs in summed),
        limits_behind(bench, start.findings),
        tuple(dict.fromkeys(s.text for s in outcome.stops)),
        tuple(dict.fromkeys(c.text for c in outcome.cautions)),
    )


def _says(bench: Bench, start: Start, many: bool) -> tuple[str, ...]:
    label = bench.places.label(start.place)
    return tuple(s.replace(f", {label}", "") if many else s for s in start.says)


def _likely(
    bench: Bench, causes: Sequence[tuple[CauseAt, float]], place: str, top: float
) -> Likely:
    """Return one failure mode, at all the parts where it is likely: seen from ``place`` or not."""

    def words(part: str) -> str:
        return _relation(bench, part, place) if place else bench.places.label(part)

    known = as_fitted(bench, causes[0][0])
    p = sum(p for _, p in causes)
    settled = bench.planner.settles(causes[0][0], NOTHING_DONE)
    minutes = check_minutes(bench.net, *settled, frozenset()) if settled else 0.0
    outside = f" [{known.outside.replace('-', ' ')}]" if known.outside else ""
    return Likely(
        known.id,
        known.title + outside,
        tuple(dict.fromkeys(words(c.at) for c, _ in causes)),
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
