"""Several complaints of one flight: in clock order, and first of all what they share.

The tool lays the facts side by side and says which is likelier, one cause or two; whether they
are worked together is the engineer's word.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from diagnose.aeroplane.fuelling import last_uplift
from diagnose.belief import UNKNOWN
from diagnose.by_key import by_key
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Bench, Step
from diagnose.job.keeping.events import live
from diagnose.job.keeping.log import Event
from diagnose.model import AEROPLANE, TANKS, Finding, Work

_TIME = re.compile(r"(?:(\d{4}-\d\d-\d\d) )?([01]?\d|2[0-3])[:.]([0-5]\d)")


@dataclass(frozen=True)
class Complaint:
    """One complaint: ``number`` is its event (1 for the report the job was opened with).

    time: '' or 'HH:MM', with the day before it where it was said.  job: where it was split to.
    """

    number: int
    text: str
    place: str
    time: str
    stage: str
    heat: str
    job: str


@dataclass(frozen=True)
class Shared:
    """One thing that several complaints share: what kind, in words, and which complaints."""

    kind: str
    words: str
    numbers: tuple[int, ...]


def clock(text: str) -> str:
    """Return a time as it is kept, 'HH:MM' or 'year-month-day HH:MM'.

    Raises:
        UsageError: If it is no time of day.
    """
    match = _TIME.fullmatch(" ".join(text.split()))
    if match is None:
        raise UsageError(f"'{text}' is no time; write it 14:32, or 2026-01-31 14:32.")
    day = f"{match[1]} " if match[1] else ""
    return f"{day}{int(match[2]):02}:{match[3]}"


def complaints_of(events: Iterable[Event]) -> tuple[Complaint, ...]:
    """Return the complaints of a job in clock order; those without a time come last, as told."""
    listed = live(events)
    split = {e["complaint"]: str(e["job"]) for e in listed if e["event"] == "split-off"}
    placed = {e["of"]: e for e in listed if e["event"] == "complaint-placed"}
    out = []
    for e in listed:
        if e["event"] not in ("opened", "complaint"):
            continue
        said = placed.get(e["n"])
        if said is None:
            # the report has no place of its own until somebody says one
            said = e if e["event"] == "complaint" else {"place": AEROPLANE}
        out.append(
            Complaint(
                e["n"],
                str(e["text"] if e["event"] == "complaint" else e["reported"]),
                str(said["place"]),
                str(said.get("time", "")),
                str(said.get("stage", "")),
                str(said.get("heat", "")),
                split.get(e["n"], ""),
            )
        )
    return tuple(sorted(out, key=lambda c: (not c.time, c.time, c.number)))


def shared(
    bench: Bench, complaints: Sequence[Complaint], before: Sequence[Work], today: date
) -> tuple[Shared, ...]:
    """Return what two or more of the complaints share, what all share first.

    Tanks, side, electrical bus, last uplift, heat, and work done since the last good run.
    """
    facts = by_key(
        (fact, c.number)
        for c in complaints
        if not c.job
        for fact in _facts(bench, c, before, today)
    )
    out = [Shared(k, w, tuple(n)) for (k, w), n in facts.items() if len(n) > 1]
    return tuple(sorted(out, key=lambda s: (-len(s.numbers), _ORDER.index(s.kind), s.words)))


def untold(
    bench: Bench, complaints: Sequence[Complaint], amiss: Sequence[Finding]
) -> tuple[Complaint, ...]:
    """Return the complaints about a part of which nothing ``amiss`` was found, nor of its owner."""
    parts = bench.layout.parts
    there = {p for f in amiss for p in f.places}
    return tuple(
        c
        for c in complaints
        if not c.job and c.place != AEROPLANE and not there & {c.place, parts[c.place].of}
    )


_ORDER = ("tank", "uplift", "work", "bus", "side", "heat")


def _facts(
    bench: Bench, c: Complaint, before: Sequence[Work], today: date
) -> Mapping[tuple[str, str], None]:
    """Return (kind, words) of everything that may be shared, each once."""
    places, parts = bench.places, bench.layout.parts
    part = parts[c.place]
    out: dict[tuple[str, str], None] = {}
    tanks = _tanks(bench, c.place)
    for t in tanks:
        out["tank", places.label(t)] = None
    own = bench.layout.aeroplane
    for t in tanks if own else ():
        uplift = last_uplift(own, t, today.isoformat()) if own else None
        if uplift is not None:
            batch = f", batch {uplift.batch}" if uplift.batch else ""
            out["uplift", f"{uplift.source}{batch}, {uplift.on}"] = None
    near = {c.place, part.of, *(p.id for p in parts.values() if p.of == c.place)} - {AEROPLANE, ""}
    for w in before:
        if w.at == AEROPLANE or w.at in near or parts[w.at].of in near:
            out["work", f"{w.what}, {places.label(w.at)}"] = None
    for p in sorted(near, key=list(parts).index):
        if parts[p].bus:
            out["bus", places.label(parts[p].bus)] = None
    if part.side and part.side != "centre":
        out["side", f"{part.side} side"] = None
    if c.heat == "hot":
        out["heat", "hot"] = None
    return out


def _tanks(bench: Bench, place: str) -> tuple[str, ...]:
    part = bench.layout.parts[place]
    if part.kind in TANKS:
        return (place,)
    if place == AEROPLANE:
        return ()
    relation = "tanks-feeding-it" if part.kind == "engine" else "its-tank"
    return tuple(bench.places.related(place, relation, {"crossfeed": "shut"}))


@dataclass(frozen=True)
class OneOrTwo:
    """How much belief one listed cause holds alone, and how much two together (shares of both)."""

    one: float
    two: float

    @property
    def word(self) -> str:
        """Return which is likelier, in words; within a factor of three nothing is said."""
        if self.one >= 3.0 * self.two:
            return "one cause is likelier"
        if self.two >= 3.0 * self.one:
            return "two causes are likelier"
        return "the findings do not tell whether it is one cause or two"


def one_or_two(step: Step) -> OneOrTwo:
    """Return the belief in one listed cause against two, from all findings together."""
    p = step.posterior
    alone = sum(float(p.single[i]) for i, c in enumerate(p.causes) if c != UNKNOWN)
    pairs = max(0.0, 1.0 - float(p.single.sum()))
    whole = max(alone + pairs, 1e-300)
    return OneOrTwo(alone / whole, pairs / whole)
