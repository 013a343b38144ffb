"""From rules that fired to the outcome: traces, causes named, exclusions, cautions and stops."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from diagnose.model import CauseAt, Finding, Library, Symptom
from diagnose.rules.book import Book, Settings
from diagnose.rules.naming import causes_named
from diagnose.rules.outcome import (
    Caution,
    Evidence,
    Ground,
    Outcome,
    Points,
    SymptomAt,
    Trace,
    Verdict,
)
from diagnose.rules.standing import Slots, Standing, disputes_of
from diagnose.signs import Sign

Where = tuple[str, str, int]
"""(symptom, place, epoch)."""

StandingOf = Callable[[int, str, int], Standing]
"""(literal, place, epoch) -> its standing."""


def symptom_at(
    book: Book, where: Where, fired: Iterable[int], standing_of: StandingOf
) -> SymptomAt | None:
    """Return the symptom that the ways ``fired`` make known at ``where``; None if none did."""
    symptom, place, epoch = where
    traces = []
    for number in sorted(fired):
        way = book.ways[number]
        grounds = []
        for index, side, atom in way.wants:
            standing = standing_of(index, place, epoch)
            by = standing.by_true if side else standing.by_false
            pairs = tuple(item for item in by if isinstance(item, tuple))
            keys = tuple(item for item in by if isinstance(item, int))
            grounds.append(Ground(atom, side, keys, pairs))
        traces.append(Trace(symptom, place, epoch, way.shows, way.origin, tuple(grounds)))
    if not traces:
        return None
    sides = {trace.shows for trace in traces}
    verdict: Verdict = "conflict" if len(sides) == 2 else "true" if True in sides else "false"
    return SymptomAt(symptom, place, epoch, verdict, tuple(traces))


def evidence_of(book: Book, sign: Sign, rows: Iterable[int]) -> tuple[Evidence, ...]:
    """Return the evidence that ``rows`` give on ``sign``, row by row, one for each cause reached.

    Only settings that matter to the effect tell where and when a row applies.
    """
    place, known = sign.place, sign.instance[2]
    return tuple(
        Evidence(sign.index, place, cause, book.rows[row].origin)
        for row in sorted(rows)
        for cause in book.reached(row, place, known)
    )


@dataclass(frozen=True)
class Known:
    """Everything the rules recorded, before it is read for people."""

    findings: Mapping[int, Finding]
    slots: Slots
    symptoms: Iterable[SymptomAt]
    evidence: Iterable[Evidence]


def assemble(
    book: Book,
    known: Known,
    confirmed: Callable[[Where], bool],
    possible: Iterable[Where],
) -> Outcome:
    """Return the outcome; ``confirmed`` tells whether a symptom stands on confirmed findings alone.

    ``possible``: where a symptom may be true, depending on an answer left open; of those nothing is
    concluded but what they warn of and stop.

    Everything is ordered by ids and keys, never by the order in which rules fired.
    """
    latest: dict[tuple[str, str], SymptomAt] = {}
    earlier: list[SymptomAt] = []
    for item in sorted(known.symptoms, key=lambda s: (s.symptom, s.at, s.epoch)):
        old = latest.get((item.symptom, item.at))
        if old is not None:
            earlier.append(old)
        latest[item.symptom, item.at] = item
    bare = Outcome(
        findings=MappingProxyType({k: known.findings[k] for k in sorted(known.findings)}),
        disputes=disputes_of(known.slots),
        symptoms=MappingProxyType(latest),
        earlier=tuple(earlier),
        evidence=tuple(known.evidence),
    )
    shown = [s for s in latest.values() if s.verdict != "false"]
    feared = {
        (symptom, at): SymptomAt(symptom, at, epoch, "conflict", ())
        for symptom, at, epoch in sorted(possible)
        if (symptom, at) not in latest or latest[symptom, at].epoch < epoch
    }.values()
    return replace(
        bare,
        points=tuple(
            p for s in shown if s.verdict == "true" if (p := _points(book, bare, s, confirmed))
        ),
        cautions=_cautions(book.library, [*shown, *feared], lambda s: s.warns),
        before_run=_cautions(book.library, [*shown, *feared], lambda s: s.before_run),
        stops=_cautions(book.library, [*shown, *feared], lambda s: s.stops),
    )


def _cautions(
    library: Library, shown: Iterable[SymptomAt], text_of: Callable[[Symptom], str]
) -> tuple[Caution, ...]:
    # A symptom in conflict may well be true: it still warns and still stops.
    out = []
    for item in shown:
        symptom = library.symptoms[item.symptom]
        if text := text_of(symptom):
            disputed = item.verdict == "conflict"
            out.append(Caution(item.symptom, item.at, text, symptom.origin, disputed, item.epoch))
    return tuple(out)


def _points(
    book: Book, outcome: Outcome, item: SymptomAt, confirmed: Callable[[Where], bool]
) -> Points | None:
    symptom = book.library.symptoms[item.symptom]
    if not (symptom.points_to or symptom.against or symptom.never_with):
        return None
    known = _feed_settings(outcome, item)

    def at(causes: Iterable[str]) -> tuple[CauseAt, ...]:
        return tuple(c for name in causes for c in causes_named(book, name, item.at, known))

    sure = bool(symptom.never_with) and confirmed((item.symptom, item.at, item.epoch))
    return Points(
        item.symptom,
        item.at,
        to=at(symptom.points_to),
        against=at(symptom.against),
        never=at(symptom.never_with) if sure else (),
    )


def _feed_settings(outcome: Outcome, item: SymptomAt) -> Settings:
    """Return the feed settings on which the findings behind ``item`` agree.

    The tank is a setting of one place's own supply, so only findings at the place itself tell it.
    """
    seen: dict[str, set[str]] = {}
    for key in outcome.leaves(item.symptom, item.at):
        finding = outcome.findings[key]
        settings = finding.state.known()
        if "crossfeed" in settings:
            seen.setdefault("crossfeed", set()).add(settings["crossfeed"])
        if "tank" in settings and finding.at == item.at:
            seen.setdefault("tank", set()).add(settings["tank"])
    return tuple(sorted((d, min(v)) for d, v in seen.items() if len(v) == 1))
