"""What one run card holds: everything worth reading in ONE engine run, and what goes around it.

A line of the card is one question in one run state, with a box for every engine, tank or pump it
can be read at: the neighbours cost a glance and make the comparison.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.aeroplane import remarks
from diagnose.by_key import by_key
from diagnose.errors import UsageError
from diagnose.job.day.before_run import asked_besides
from diagnose.job.day.last_good import LastGood, comparable, last_good
from diagnose.job.day.read_beside import read_beside
from diagnose.job.diagnosis import Bench
from diagnose.job.job import Job
from diagnose.job.keeping import disturbed
from diagnose.knowledge_files import limit_of
from diagnose.model import AEROPLANE, RunState
from diagnose.planner import Reading
from diagnose.planner.occasion import worth_in_one_run

MOST_READINGS = 48
"""Readings weighed for one card; what does not fit the page is listed below it."""

MOST_REPORTED = 4
"""Complaints whose own state is on the card in any case."""

LOOK_FIRST = 4
"""Things looked at first after shut-down."""


@dataclass(frozen=True)
class CardLine:
    """One question in one run state; ``places`` have a box each, in the order of the layout."""

    number: int
    question: str
    state: RunState | None
    places: tuple[str, ...]

    def readings(self) -> tuple[Reading, ...]:
        """Return the reading behind each box."""
        return tuple(Reading(self.question, p, self.state) for p in self.places)

    @property
    def set_up(self) -> str:
        """Return the id of the run state, '' when any will do."""
        return self.state.id if self.state else ""

    @property
    def set_up_title(self) -> str:
        """Return what the run state is called, for a line that is typed against the card."""
        return self.state.title if self.state else "any time"

    def as_kept(self) -> list[str]:
        """Return the line as the log keeps it: number, run state, question, places."""
        return [str(self.number), self.set_up, self.question, *self.places]


@dataclass(frozen=True)
class Card:
    """A card ready to print.

    lines: in the order they are read.  worth: the same lines, most telling first.  left_out: what
    did not fit, most telling first.  gates: what must be known safe before the start.  standing:
    what is disturbed, in words.  look_first: readings that cooling takes away.
    also_confirmed: what is confirmed before any run besides the usual.
    """

    bench: Bench
    job: str
    aeroplane: str
    lines: tuple[CardLine, ...]
    worth: tuple[CardLine, ...]
    left_out: tuple[CardLine, ...]
    gates: tuple[Reading, ...]
    standing: tuple[str, ...]
    look_first: tuple[Reading, ...]
    good: LastGood
    also_confirmed: tuple[str, ...]

    @property
    def minutes(self) -> float:
        """Return about how long the run takes: one start, each state held, each line read once."""
        return self.bench.planner.minutes_of([line.readings()[0] for line in self.lines])

    @property
    def hands(self) -> int:
        """Return how many people the readings take, the fire guard and the controls included."""
        questions = self.bench.library.questions
        return 2 + max((questions[line.question].hands for line in self.lines), default=1)

    def shorter(self) -> Card:
        """Return the card without its least telling line."""
        return arranged(self, self.worth[:-1], (self.worth[-1], *self.left_out))

    def fuller(self, line: CardLine) -> Card:
        """Return the card with a line that was left out, as the least telling of all."""
        rest = tuple(x for x in self.left_out if x is not line)
        return arranged(self, (*self.worth, line), rest)

    def hazards(self) -> tuple[str, ...]:
        """Return the hazards of all lines, each once."""
        questions = self.bench.library.questions
        return tuple(dict.fromkeys(h for x in self.lines for h in questions[x.question].hazards))

    def limits(self) -> Mapping[str, str]:
        """Return title -> band with its reference of every figure on the card."""
        out = {}
        for line in self.lines:
            q = self.bench.library.questions[line.question]
            limit = limit_of(q, self.bench.layout)
            if limit is not None:
                out[q.title] = f"{limit.shown} ({limit.reference})"
            elif q.unit and q.cut:
                out[q.title] = "no approved figure entered"
        return out


def card_of(job: Job) -> Card:
    """Return the card of the run that would tell most now.

    Raises:
        UsageError: If a joint is open, a handover is not confirmed, or no run would tell anything.
    """
    refuse(job)
    step = job.step()
    situation = job.situation()
    belief = job.diagnosis.belief
    planner = job.bench.planner
    telling = worth_in_one_run(planner, belief, step.posterior, situation, MOST_READINGS)
    reported = _reported(job)
    wanted = (*reported, *read_beside(job.bench, reported), *telling)
    if not telling:
        raise UsageError(
            "no engine run would tell anything now, or none can be made here; "
            "`diagnose job possible` says which."
        )
    label = job.bench.places.label
    standing = [d for d in job.state.disturbed.values() if not d.restored and not d.joint]
    card = Card(
        job.bench,
        job.name,
        job.aeroplane,
        (),
        (),
        (),
        situation.open_gates,
        (*(disturbed.words(d, label(d.place)) for d in standing), *_own(job.bench, wanted)),
        _look_first(job.bench, wanted, situation.asked),
        last_good(job),
        also_confirmed=asked_besides(job),
    )
    return arranged(card, lines_for(job.bench, wanted), ())


def _reported(job: Job) -> tuple[Reading, ...]:
    """Return the readings that show the report again: a report is seen before it is believed."""
    seen = job.amiss()
    out = [
        r
        for f in seen[:MOST_REPORTED]
        for r in job.bench.planner.catalogue.readings
        if r.is_run and (r.question, r.place) == (f.question, f.at) and comparable(f.state, r.state)
    ]
    return tuple(out) if job.situation().may_run else ()


def refuse(job: Job) -> None:
    """Say why no card may be printed now.

    Raises:
        UsageError: If a feed or control joint is open, or a handover line is not confirmed.
    """
    label = job.bench.places.label
    open_now = job.state.joints_open()
    if open_now:
        what = "; ".join(f"{d.id} {d.what}, {label(d.place)}" for d in open_now)
        raise UsageError(
            f"no run card while a line is open: {what}. Restore it by the approved data, then "
            "`diagnose job close`."
        )
    if job.state.handover:
        raise UsageError(
            f"no run card while {len(job.state.handover)} line(s) of the handover by "
            f"{job.state.giver} are not confirmed: `diagnose job handover --confirm`."
        )


def lines_for(bench: Bench, wanted: Sequence[Reading]) -> tuple[CardLine, ...]:
    """Return the lines that hold the readings ``wanted``, in the same order, not yet numbered."""
    boxes = by_key((r.look, r.place) for r in bench.planner.catalogue.readings)
    seen: dict[tuple[str, str], CardLine] = {}
    for r in wanted:
        key = r.look
        if key not in seen:
            seen[key] = CardLine(0, r.question, r.run_state, tuple(boxes[key]))
    return tuple(seen.values())


def arranged(card: Card, worth: Sequence[CardLine], left_out: Sequence[CardLine]) -> Card:
    """Return ``card`` with the lines ``worth`` (most telling first) numbered as they are read."""
    order = {s.id: k for k, s in enumerate(card.bench.layout.run_states)}
    first: dict[str, int] = {}
    for k, x in enumerate(worth):
        first.setdefault(x.question, k)
    ids = sorted({x.set_up for x in worth}, key=lambda i: order.get(i, -1))
    listed = [
        x for i in ids for x in sorted(worth, key=lambda x: first[x.question]) if x.set_up == i
    ]
    numbered = {(x.question, x.set_up): replace(x, number=n) for n, x in enumerate(listed, start=1)}
    return replace(
        card,
        lines=tuple(numbered[(x.question, x.set_up)] for x in listed),
        worth=tuple(numbered[(x.question, x.set_up)] for x in worth),
        left_out=tuple(left_out),
    )


def code_of(lines: Iterable[CardLine]) -> str:
    """Return four signs that tell a card from another: the same lines have the same."""
    said = "\n".join(" ".join(line.as_kept()) for line in lines)
    return hashlib.sha256(said.encode()).hexdigest()[:4].upper()


def kept_lines(bench: Bench, kept: Iterable[Sequence[str]]) -> tuple[CardLine, ...]:
    """Return the lines of a printed card as the log keeps them."""
    states = {s.id: s for s in bench.layout.run_states}
    return tuple(
        CardLine(int(number), question, states.get(state), tuple(places))
        for number, state, question, *places in kept
    )


def _own(bench: Bench, wanted: Sequence[Reading]) -> tuple[str, ...]:
    """Return what this aeroplane's own file says of what is read: deferred defects, error cards."""
    asked = dict.fromkeys(r.question for r in wanted)
    said = [
        f"{short_label(bench, place)}: {text}"
        for question in map(bench.library.questions.__getitem__, asked)
        # a line has a box for every place of its kind, wanted or not
        for place in bench.places.parts_of_kind(question.at)
        for text in remarks(bench.layout, question, place, brief=True)
    ]
    return tuple(dict.fromkeys(said))


def _look_first(
    bench: Bench, wanted: Sequence[Reading], asked: frozenset[tuple[str, str, str]]
) -> tuple[Reading, ...]:
    """Return what to look at first after shut-down: what cooling takes away.

    It is looked at where the run was about: each at the place that stands first in ``wanted``.
    """
    about = [*dict.fromkeys(r.place for r in wanted), AEROPLANE]
    found: dict[str, list[tuple[int, Reading]]] = {}
    for r in bench.planner.catalogue.readings:
        question = bench.library.questions[r.question]
        after = r.run_state is not None and r.run_state.stage == "after-shut-down"
        near = [k for k, at in enumerate(about) if at in (r.place, *bench.places.owners(r.place))]
        if near and r.key not in asked and (after or question.perishable == "cooling"):
            found.setdefault(r.question, []).append((near[0], r))
    best = [min(each, key=lambda x: x[0])[1] for each in found.values()]
    return tuple(best[:LOOK_FIRST])


def short_label(bench: Bench, place: str) -> str:
    """Return number and position in short, '2 PI' for no. 2 (port inner); the name if it has none.

    A part without them goes by its owner: the booster of the port inner tank is '3 PI'.
    """
    parts = bench.layout.parts
    part = parts.get(place)
    while part is not None:
        where = "".join(w[0].upper() for w in (part.side, part.position) if w)
        if part.number is not None:
            return f"{part.number} {where}".strip()
        if where:
            return where
        part = parts.get(part.of)
    return bench.places.label(place) if place in parts else place
