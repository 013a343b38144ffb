"""Rows of causes that contradict each other, add nothing, or reach no place."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Final

from diagnose.belief.hypotheses import CEILING
from diagnose.by_key import by_key
from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.model import DIMENSIONS, GRADES, Cause, Produces, fits, narrower, overlap

CONTRADICT = code(
    "ROW-01",
    "rows of one cause that contradict each other",
    means="Two rows give the same value of an effect at the same place different chances in a state"
    " that fits both, and one of them is 'never', or neither state is within the other.",
    matters="Which of the two belief uses depends on how they overlap, not on what is known.",
    do="Keep the states of the two rows apart, or make one row of them.",
)
TWICE = code(
    "ROW-02",
    "row written twice",
    means="Two rows of one cause give the same value at the same place in the same state, for the"
    " same traits.",
    matters="One of them will be corrected and the other forgotten.",
    do="Keep one, with the chances that are meant.",
)
TOO_MUCH = code(
    "ROW-03",
    "rows that give more than everything",
    means="In one state and severity grade the values that a cause gives one effect add up to more"
    f" than the {CEILING:g} there can be.",
    matters="An effect has one value at a time; belief cuts the words down, and they no longer mean"
    " what they say.",
    do="Lower the words, or keep their states apart, so that they sum to less than 1.",
)
BELOW = code(
    "ROW-04",
    "word below the background rate",
    means="A row says an effect value comes less often than it comes by itself, without any cause.",
    matters="The row is taken as evidence for the cause and is nothing of the kind.",
    do="Give a higher word, or drop the row, or correct the background rate of the effect.",
)
NEVER = code(
    "ROW-05",
    "'never' that makes a thing likelier",
    means="A row says 'never', which stands for a small chance above the background rate; leaving"
    " the row out gives less.",
    matters="The row does the contrary of what it says.",
    do="Drop the row: what a cause is not said to do it is not taken to do.",
)
NOWHERE = code(
    "ROW-06",
    "row that reaches no place",
    means="On no layout does the relation of the row lead from the cause to a place of the effect"
    " in the state it names.",
    matters="The row is never evidence, though it was meant to be.",
    do="Correct 'at' or 'when', or drop the row.",
)
NO_CAUSE = code(
    "CAUSE-01",
    "cause that no layout can have",
    means="No layout has a part of the kind with the traits the cause asks for.",
    matters="It is never ranked, on any aeroplane.",
    do="Correct part-kind or only-if, add a layout that has it, or retire the cause.",
)
ORPHAN_CHECK = code(
    "CAUSE-02",
    "cause whose checks lead nowhere",
    means="On a layout that can have the cause none of its checks is done at a part that it has.",
    matters="The job can suspect the cause and never settle it.",
    do="Give the cause a check, or a relation under 'at', that exists on that layout.",
)
UNSEEN = code(
    "CAUSE-03",
    "cause that no question shows",
    means="On a layout that can have the cause no question reads any effect it gives.",
    matters="It can be found by opening parts only, and nothing ever suggests to open them.",
    do="Add the effect that betrays it, or a question that reads the effect.",
)

_SAME: Final = 0.021
"""Chances nearer than this mean the same word."""


@finds(CONTRADICT, TWICE, TOO_MUCH, doing="causes: rows against rows")
def row_against_row(base: Base) -> Iterator[Found]:
    """Yield rows of one cause that cannot stand beside each other."""
    for cause in base.library.causes.values():
        item = f"causes/{cause.id}"
        for one, two in itertools.combinations(cause.own_rows, 2):
            if (one.effect, one.at, one.value) != (two.effect, two.at, two.value):
                continue
            if (one.when, one.only_if) == (two.when, two.only_if):
                text = f"gives {_said(two)} as line {one.origin.line} does; keep one of the two"
                yield base.found(TWICE, item, text, two.origin)
            elif overlap(one.when, two.when) and _quarrel(one, two):
                text = (
                    f"gives {_said(two)}, and so does line {one.origin.line} with other chances in"
                    " a state that fits both; keep the states apart"
                )
                yield base.found(CONTRADICT, item, text, two.origin)
        yield from _too_much(base, cause)


def _quarrel(one: Produces, two: Produces) -> bool:
    """Return whether two rows that overlap say different things of the grades both speak of."""
    differ = any(
        abs(one.how_often[g] - two.how_often[g]) > _SAME
        for g in one.how_often.keys() & two.how_often.keys()
    )
    never = ("never" in one.said.values()) != ("never" in two.said.values())
    # a row for a state within the other's state adds detail; rows that cross leave it open
    within = narrower(one.when, two.when) or narrower(two.when, one.when)
    return differ and (never or not within)


def _too_much(base: Base, cause: Cause) -> Iterator[Found]:
    groups = by_key(((row.effect, row.at), row) for row in cause.produces)
    for (effect, at), rows in groups.items():
        if len({row.value for row in rows}) < 2:
            continue
        for known, grade in itertools.product(_states(rows), GRADES):
            best: dict[str, Produces] = {}
            for row in rows:
                if fits(known, row.when) and row.how_often.get(grade, 0.0) > 0.0:
                    old = best.get(row.value)
                    if old is None or old.how_often[grade] < row.how_often[grade]:
                        best[row.value] = row
            total = sum(row.how_often[grade] for row in best.values())
            if total > 1.0 + 1e-9:
                state = ", ".join(f"{d} {v}" for d, v in known.items())
                text = (
                    f"gives '{effect}' at {at} {total:.2f} in all when {grade}"
                    f"{f' ({state})' if state else ''}: "
                    + " and ".join(f"{v} {r.how_often[grade]:g}" for v, r in sorted(best.items()))
                    + "; lower the words or keep their states apart"
                )
                yield base.found(TOO_MUCH, f"causes/{cause.id}", text, rows[0].origin)
                break  # one line an effect: the next state says the same again


def _states(rows: list[Produces]) -> Iterator[Mapping[str, str]]:
    """Yield every setting of the dimensions the rows name."""
    dims = sorted({d for row in rows for d in row.when})
    values = [DIMENSIONS[d] or tuple({v for r in rows for v in r.when.get(d, ())}) for d in dims]
    for combination in itertools.product(*values):
        yield dict(zip(dims, combination, strict=True))


def _said(row: Produces) -> str:
    return f"'{row.effect}' {row.value} at {row.at}"


@finds(BELOW, NEVER, doing="causes: words against background")
def below_background(base: Base) -> Iterator[Found]:
    """Yield rows whose word is no more than what comes by itself."""
    for cause in base.library.causes.values():
        for row in cause.own_rows:
            background = base.library.effects[row.effect].background.get(row.value, 0.0)
            worst = max(row.how_often.values())
            item = f"causes/{cause.id}"
            if set(row.said.values()) == {"never"}:
                if worst > background:
                    text = (
                        f"'never' stands for {worst:g}, above the background rate {background:g} of"
                        f" {_said(row)}; drop the row"
                    )
                    yield base.found(NEVER, item, text, row.origin)
            elif worst < background:
                text = (
                    f"gives {_said(row)} {worst:g} at the most, below its background rate"
                    f" {background:g}; give a higher word or drop the row"
                )
                yield base.found(BELOW, item, text, row.origin)


@finds(NOWHERE, NO_CAUSE, doing="causes: rows and causes no layout has")
def out_of_place(base: Base) -> Iterator[Found]:
    """Yield causes, and rows of them, that no layout has a place for."""
    if not base.whole:
        return
    for cause in base.library.causes.values():
        item = f"causes/{cause.id}"
        if cause.id not in base.used_causes:
            kinds = " or ".join(cause.part_kinds)
            only = "".join(f", {k} {v}" for k, v in cause.only_if.items())
            text = f"no layout has a {kinds}{only}; correct it, add a layout or retire the cause"
            yield base.found(NO_CAUSE, item, text, cause.origin, "part-kind")
            continue
        for row in cause.produces:
            if not any(
                on.places.reach(row, c.at, {})
                for on in base.on.values()
                for c in on.net.instances
                if c.cause == cause.id
            ):
                text = f"{_said(row)} is reached on no layout; correct 'at' or 'when'"
                yield base.found(NOWHERE, item, text, row.origin)


@finds(ORPHAN_CHECK, UNSEEN, doing="causes: what shows and settles them")
def unsettled(base: Base) -> Iterator[Found]:
    """Yield causes that some layout can have but neither show nor settle."""
    no_check: dict[str, list[str]] = {}
    unseen: dict[str, list[str]] = {}
    read_at = {
        on.layout.id: {
            (base.library.questions[r.question].reads, r.place) for r in on.catalogue.readings
        }
        for on in base.on.values()
    }
    bent = {
        on.layout.id: {(r.question, r.place) for r in on.catalogue.readings}
        for on in base.on.values()
    }
    for on in base.on.values():
        checks = set(on.catalogue.checks)
        here = by_key((c.cause, c.at) for c in on.net.instances)
        for name, parts in here.items():
            cause = base.library.causes[name]
            done = (
                (k.check, place)
                for part in parts
                for k in cause.checks
                for place in on.places.related(part, k.at, {})
            )
            if cause.checks and not any(d in checks for d in done):
                no_check.setdefault(name, []).append(on.layout.id)
            shown = any(
                (row.effect, place) in read_at[on.layout.id]
                for part in parts
                for row in cause.produces
                for place in on.places.reach(row, part, {})
            ) or any(
                q == d.question and on.places.is_instrument_of(part, place)
                for d in cause.distorts
                for part in parts
                for q, place in bent[on.layout.id]
            )
            if not shown and (cause.produces or cause.distorts):
                unseen.setdefault(name, []).append(on.layout.id)
    for name, layouts in no_check.items():
        text = f"none of its checks can be done on {', '.join(layouts)}; give it one that can"
        cause = base.library.causes[name]
        yield base.found(ORPHAN_CHECK, f"causes/{name}", text, cause.origin, "checks")
    for name, layouts in unseen.items():
        text = (
            f"no question shows it on {', '.join(layouts)}; add the effect that betrays it or a"
            " question that reads it"
        )
        yield base.found(
            UNSEEN, f"causes/{name}", text, base.library.causes[name].origin, "produces"
        )
