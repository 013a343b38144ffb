"""What an aeroplane's own file says of a job: dates passed, defects known, work done lately."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import Final

from diagnose.knowledge_files.cutting import card_of
from diagnose.model import AEROPLANE, Aeroplane, Card, CauseAt, Layout, Question, Work
from diagnose.places import Places
from diagnose.units import show

RECENT_DAYS: Final = 30
"""Work of so many days counts where no last good run is stated (common practice, no source)."""


def warnings(layout: Layout, today: date) -> tuple[str, ...]:
    """Return what a person must know before trusting the file laid over ``layout``."""
    own = layout.aeroplane
    if own is None:
        return ()
    return (
        *_revisions(own),
        *_figures(own, layout),
        *_due(own, Places(layout), today),
        *_cards_due(own, Places(layout), today),
        *_deferred_due(own, today),
    )


def _revisions(own: Aeroplane) -> Iterator[str]:
    if own.layout_edition and own.layout_edition != own.laid_on:
        yield (
            f"the file was written on edition {own.layout_edition} of layout '{own.layout}', which "
            f"is now {own.laid_on}: read both again before trusting places and figures"
        )
    held = {a.document: a for a in own.approved}
    quoted: dict[str, set[str]] = {}
    for limit in own.limits.values():
        quoted.setdefault(limit.document, set()).add(limit.revision)
        now = held.get(limit.document)
        if now is not None and now.revision != limit.revision:
            yield (
                f"limit '{limit.name}' was typed from {limit.document} revision {limit.revision}; "
                f"the revision held is {now.revision} of {now.on}: check the figure against it"
            )
        elif now is None and own.approved:
            yield f"limit '{limit.name}' quotes {limit.document}, not among the approved data"
    for document, revisions in quoted.items():
        if len(revisions) > 1:
            yield f"limits quote {document} at revisions {', '.join(sorted(revisions))}: one is old"


def _figures(own: Aeroplane, layout: Layout) -> Iterator[str]:
    if layout.invented and not own.invented:
        yield (
            "the layout's figures are invented: of its limits none is used, only those typed in "
            "the aeroplane's own file"
        )


def _due(own: Aeroplane, places: Places, today: date) -> Iterator[str]:
    for f in own.fitted:
        name = f"{places.label(f.part)}, serial {f.serial or 'not stated'}"
        for what, day in (("overhaul", f.overhaul_due), ("shelf life", f.shelf_until)):
            if day and date.fromisoformat(day) < today:
                yield f"{name}: {what} date {day} has passed"
        if f.hours is not None and f.overhaul_at is not None and f.hours >= f.overhaul_at:
            shown = f"{show(f.hours, 'h')} run, overhaul at {show(f.overhaul_at, 'h')}"
            yield f"{name}: overhaul hours reached ({shown})"


def _cards_due(own: Aeroplane, places: Places, today: date) -> Iterator[str]:
    for card in own.cards.values():
        if card.due and date.fromisoformat(card.due) < today:
            yield (
                f"error card of {places.label(card.part)} was due for renewal "
                f"on {card.due}; its corrections are used and this is said beside them"
            )


def _deferred_due(own: Aeroplane, today: date) -> Iterator[str]:
    for d in own.deferred:
        if d.until and date.fromisoformat(d.until) < today:
            yield (
                f"deferred defect {d.id} ran to {d.until} by its own entry, which has passed; "
                "whether and how long a defect may stay open is not decided here"
            )


# ---------------------------------------------------------------------- what counts


def known_defects(layout: Layout) -> Mapping[CauseAt, str]:
    """Return the open deferred defects that were seen, read or measured: cause -> entry in words.

    They are taken to be there whatever else is: what they alone would show tells nothing new.
    """
    own = layout.aeroplane
    return (
        {d.cause: _entry(d.id, d.since, d.reference) for d in own.deferred if d.is_proved}
        if own
        else {}
    )


def suspected_defects(layout: Layout) -> Mapping[CauseAt, str]:
    """Return the deferred defects only told or assumed: their odds are lifted, no more."""
    own = layout.aeroplane
    if own is None:
        return {}
    return {
        d.cause: _entry(d.id, d.since, d.reference)
        for d in own.deferred
        if d.cause.cause and not d.is_proved
    }


def _entry(name: str, since: str, reference: str) -> str:
    return f"deferred defect {name} of {since}, {reference}"


def open_defects(layout: Layout) -> tuple[tuple[str, str], ...]:
    """Return the part and the words of every open deferred defect in the aeroplane's file."""
    own = layout.aeroplane
    return tuple(
        (d.cause.at, f"{_entry(d.id, d.since, d.reference)}: {d.what}")
        for d in (own.deferred if own else ())
    )


def recent_work(own: Aeroplane, today: date) -> tuple[Work, ...]:
    """Return work done and parts fitted since the last good run, latest first.

    Without a date of the last good run the last ``RECENT_DAYS`` days count.
    """
    since = since_when(own, today)
    done = [(w.on, Work(_with(w.what, w.on, w.reference), w.at, w.origin)) for w in own.work]
    done += [
        (f.on, Work(_with(f"fitted, from {f.source or 'not stated'}", f.on, f.reference), f.part))
        for f in own.fitted
        if f.on
    ]
    late = [(on, w) for on, w in done if since <= on <= today.isoformat()]
    return tuple(w for _, w in sorted(late, key=lambda p: p[0], reverse=True))


def since_when(own: Aeroplane, today: date) -> str:
    """Return the day from which work counts as done since the last good run."""
    return own.last_good_run or (today - timedelta(days=RECENT_DAYS)).isoformat()


def _with(what: str, on: str, reference: str) -> str:
    return f"{what} ({', '.join(p for p in (on, reference) if p)})"


def remarks(
    layout: Layout, question: Question, place: str, *, brief: bool = False
) -> tuple[str, ...]:
    """Return what the aeroplane's file says where ``question`` is asked at ``place``.

    ``brief`` leaves out what stands in the file and is not needed to read the gauge.
    """
    own = layout.aeroplane
    if own is None:
        return ()
    here = {place, *(p.id for p in layout.parts.values() if p.of == place and place != AEROPLANE)}
    out = []
    for d in own.deferred:
        part = layout.parts[d.cause.at]
        read_on = part.kind in question.instruments and d.cause.at in here
        if d.cause.at == place or read_on:
            name = f"deferred defect {d.id}" if brief else _entry(d.id, d.since, d.reference)
            out.append(f"{name}: {d.what}")
    for q in own.quirks:
        if q.question in ("", question.id) and q.at in here and (q.question or q.at == place):
            out.append(f"known of this aeroplane: {q.text}")
    card = card_of(question, layout, place)
    if card is not None:
        name = f"its error card ({card.reference or 'no reference'})"
        out.append(f"{name}: {_points(card)}" if not brief else f"{name} corrects it")
    return tuple(out)


def _points(card: Card) -> str:
    unit = {"pressure": "psi", "volume": "l", "flow": "l/h"}[card.dimension]
    error = f"; itself within {show(card.error, unit)}" if card.error else ""
    return f"{'; '.join(card.shown)}{error}; figures are corrected by it"
