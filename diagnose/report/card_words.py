"""What the card of one engine run says, whatever it is printed as.

It is filled in with a pencil in the cockpit: a box for each engine, tank or pump, what was read
when it was last in order beside it, and letters to write for answers that are no figures.
"""

from __future__ import annotations

from collections.abc import Iterable
from string import ascii_lowercase

from diagnose.by_key import by_key
from diagnose.job.day.before_run import FOR_A_RUN, STOP_AT_ONCE, set_up_words
from diagnose.job.day.card import Card, CardLine, code_of, short_label
from diagnose.job.day.last_good import beside
from diagnose.job.wording import warnings_first
from diagnose.model import Question, State
from diagnose.paper.words import page_labels

SIGNALS = (
    "Signals, agreed before: STOP, arms crossed above the head. CUT ENGINE, hand across the "
    "throat. FIRE, one hand fans, the other points (from memory of ICAO Annex 2, appendix 1)."
)

AFTER = (
    "Shut down by the approved drill; propellers still before anybody goes near.",
    "Leak, smell, damage, oil, colour of the exhaust: written down before anything is wiped.",
)

STOPPED = "what needs a stopped or cold engine is done before the start"

NAMED = 4
"""Questions named of those that did not fit; they stand in the order of their worth."""

FILLED_IN = ("Date, UTC", "Place", "Wind, air", "Read by")


def labels(card: Card) -> tuple[str, ...]:
    """Return the labels of the page."""
    layout = card.bench.layout
    edition = card.bench.library.edition
    return page_labels(card.job, card.aeroplane, layout.id, layout.invented, edition)


def heading(card: Card) -> str:
    """Return what the card is in one line."""
    return (
        f"Run card: one run, {len(card.lines)} lines to read, about {card.minutes:.0f} min, "
        f"card {code_of(card.lines)}"
    )


def stops(card: Card) -> tuple[str, ...]:
    """Return the stop limits and signals."""
    bands = tuple(f"Limit, {title}: {band}" for title, band in card.limits().items())
    return (*STOP_AT_ONCE, *bands, SIGNALS)


def cautions(card: Card) -> tuple[str, ...]:
    """Return the hazards of what is read, what can hurt people first."""
    hazards = warnings_first(card.bench, card.hazards())
    return tuple(f"{h.headed}: {h.text}" for h in hazards)


def before(card: Card) -> tuple[str, ...]:
    """Return what is ticked before the start: who stands where, gates, what stands disturbed."""
    people = (
        f"{card.hands} people: one at the controls, {card.hands - 2} reading and writing, the fire "
        "guard outboard of the engine being started; nobody in line with a propeller"
    )
    return (
        *FOR_A_RUN,
        *card.also_confirmed,
        people,
        *_gates(card),
        *(f"known to all: {x}" for x in card.standing),
    )


def _gates(card: Card) -> Iterable[str]:
    """Yield what must be known safe, the same question once for all its places, in short."""
    questions = card.bench.library.questions
    for q in dict.fromkeys(g.question for g in card.gates):
        at = ", ".join(short_label(card.bench, g.place) for g in card.gates if g.question == q)
        yield f"{questions[q].title}: {questions[q].classes[questions[q].gate]} - {at}"


def after(card: Card) -> tuple[str, ...]:
    """Return what is done after shut-down, what cools first."""
    questions = card.bench.library.questions
    cools = "; ".join(
        f"{questions[r.question].title} ({short_label(card.bench, r.place)})"
        for r in card.look_first
    )
    first = (f"What cools, looked at first: {cools}",) if cools else ()
    return (AFTER[0], *first, AFTER[1])


def groups(card: Card) -> Iterable[tuple[str, tuple[CardLine, ...]]]:
    """Yield (run state and how to set it, its lines) in the order they are read."""
    ids = dict.fromkeys(x.set_up for x in card.lines)
    for i in ids:
        within = tuple(x for x in card.lines if x.set_up == i)
        title, how = set_up_words(card.bench, within[0].state)
        yield (f"{title} ({how})" if how else title), within


def answer_words(question: Question) -> str:
    """Return what may be written for a question: a figure, or letters with their meaning."""
    letters = " ".join(
        f"({c}) {x}" for c, x in zip(ascii_lowercase, question.classes.values(), strict=False)
    )
    return f"figure with its unit, or {letters}" if question.unit else letters


def answers(card: Card) -> tuple[str, ...]:
    """Return title and what may be written for every question of the card, each once."""
    questions = card.bench.library.questions
    used = dict.fromkeys(x.question for x in card.lines)
    # a line number leads to its box; the letters stand here once for all of them
    return tuple(
        f"{questions[q].title}: {answer_words(questions[q])}"
        + (f" - {questions[q].hands} people" if questions[q].hands > 1 else "")
        for q in used
    )


def box_labels(card: Card, line: CardLine) -> tuple[str, ...]:
    """Return a label for each box: number and position; the whole name where that is not enough."""
    short = [short_label(card.bench, p) for p in line.places]
    whole = [card.bench.places.label(p) for p in line.places]
    return tuple(s if short.count(s) == 1 else w for s, w in zip(short, whole, strict=True))


def good_beside(card: Card, line: CardLine, place: str) -> tuple[str, str]:
    """Return (what was read when it was last in order, when); empty when that is not known."""
    state = line.state.state if line.state else State()
    good = beside(card.good, line.question, place, state)
    return (good.figure, good.when) if good else ("", "")


def how_to_read(card: Card) -> str:
    """Return how the readings are taken, and what stands beside the boxes where something does."""
    known = any(good_beside(card, x, place)[0] for x in card.lines for place in x.places)
    return "in this order" + (
        "; the last good reading and its day stand by its box" if known else ""
    )


def legend(card: Card) -> str:
    """Return what the labels of the boxes stand for."""
    said: dict[str, dict[str, None]] = {}
    for line in card.lines:
        for short, place in zip(box_labels(card, line), line.places, strict=True):
            label = card.bench.places.label(place)
            if short != label:
                said.setdefault(short, {})[label] = None
    return "; ".join(f"{short} = {' or '.join(x)}" for short, x in said.items())


def left_out(card: Card) -> str:
    """Return what would also tell something and did not fit, in one line; '' when all fits."""
    questions = card.bench.library.questions
    states = by_key((x.question, set_up_words(card.bench, x.state)[0]) for x in card.left_out)
    said = [
        f"{questions[q].title} [{s[0]}" + (f" and {len(s) - 1} more states]" if s[1:] else "]")
        for q, s in states.items()
    ]
    more = [f"{len(said) - NAMED} more of less worth"] if said[NAMED:] else []
    return "; ".join([*said[:NAMED], *more])
