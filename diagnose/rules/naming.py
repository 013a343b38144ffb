"""At which parts a symptom means the causes it names: the nearest that can have them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.by_key import by_key
from diagnose.model import AEROPLANE, CauseAt
from diagnose.rules.book import ITSELF, MOST, Book, Settings


def causes_named(book: Book, cause: str, place: str, known: Settings) -> tuple[CauseAt, ...]:
    """Return where ``cause`` is meant when a symptom at ``place`` names it.

    The place itself if it can have the cause.  Otherwise, for each kind of part that can, the
    nearest: what belongs to the place; what shows its effects there; what goes with it; what
    belongs to a neighbouring tank.  A symptom of the whole aeroplane means all of them.

    ``known`` are the feed settings in force, which decide what reaches what.
    """
    key = (cause, place, known)
    found = book.named.get(key)
    if found is None:
        found = tuple(CauseAt(cause, part) for part in _parts(book, cause, place, known))
        book.named[key] = found
    return found


def _parts(book: Book, cause: str, place: str, known: Settings) -> list[str]:
    parts = book.parts_with.get(cause, [])
    if place == AEROPLANE:
        return parts
    if place in parts:
        return [place]
    kinds = by_key((book.layout.parts[part].kind, part) for part in parts)
    near = {
        p for kind, some in kinds.items() for p in _nearest(book, cause, kind, some, place, known)
    }
    return [part for part in parts if part in near]


def _nearest(
    book: Book, cause: str, kind: str, parts: Iterable[str], place: str, known: Settings
) -> list[str]:
    above = _owners(book, place)
    own = [p for p in parts if p in above or place in _owners(book, p)]
    if own:
        return own
    routes = sorted({r.at for r in book.library.causes[cause].produces if r.at != ITSELF})
    shown = {
        part: max((book.related(part, r, known).get(place, 0.0) for r in routes), default=0.0)
        for part in parts
    }
    if any(shown.values()):
        return _best(shown)
    beside = book.related(place, f"its-{kind}", known)
    if any(beside.get(part) for part in parts):
        return _best({part: beside.get(part, 0.0) for part in parts})
    neighbours = set(book.related(place, "neighbour-tank", known))
    return [part for part in parts if neighbours & _owners(book, part)]


def _best(scores: Mapping[str, float]) -> list[str]:
    """Return those related at least half as much as the best: a rare setting names nothing."""
    least = MOST * max(scores.values())
    return [part for part, score in scores.items() if score > 0.0 and score >= least]


def _owners(book: Book, part: str) -> set[str]:
    """Return the parts that ``part`` belongs to, the aeroplane excepted: everything is of it."""
    out: set[str] = set()
    at = book.layout.parts[part].of
    while at and at != AEROPLANE and at not in out:
        out.add(at)
        at = book.layout.parts[at].of
    return out
