"""Rules held against the fuel-system model: asked for, because solving a layout takes a while."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator

from diagnose.lint.base import Base, OnLayout, listed
from diagnose.lint.codes import Found, code, finds
from diagnose.predict.compare import (
    Compared,
    compared,
    disagreements,
    gaps,
    grades_apart,
    over_layouts,
)
from diagnose.predict.silence import SAID, SHOWS, Silence, silences
from diagnose.signs import InstanceKey, instance_of

CONTRADICTS = code(
    "MODEL-01",
    "row that the fuel-system model contradicts",
    means="A cause is said to give a value of an effect, and on no layout on which the two can be"
    " compared does the model show it in any severity grade; differs.yaml does not list it.",
    matters="Either the row is a mistake, or the physical form of the cause is, or the model cannot"
    " show it and the reason should be written down.",
    do="Correct the row or the 'model' of the cause; the line tells what the model gives instead."
    " Where both may stand, list the row in differs.yaml with the reason.",
    asked_for=True,
)
SILENT = code(
    "MODEL-04",
    "value that the model shows and the knowledge is silent on",
    means="In a run state of a layout in which a question asks for it the model gives a value of an"
    f" effect with this cause {SHOWS:.0%} of the time or more, grades weighed as the cause has"
    f" them, while its rows leave normal there less than {SAID:.0%} of the time; differs.yaml does"
    " not list it as 'unsaid'.",
    matters="What a cause does not speak of counts against it. A finding that the fault itself"
    " makes then clears the fault and blames a sound part.",
    do="Where it follows from another effect whatever the cause, say so once under 'follows' in the"
    " file of the effect. Where it belongs to this cause, add a row. Where the model or the cause's"
    " 'model' is wrong, mend that. Where the model shows what no aeroplane would, list it under"
    " 'unsaid' in differs.yaml with the reason.",
    asked_for=True,
)
STALE = code(
    "MODEL-03",
    "listed difference that is none",
    means="differs.yaml lets a row of a cause stand against the model, but somewhere, or on the"
    " mean of the layouts, the two agree, or there is no such row; or it lets a value be unsaid"
    " that rows speak of by now or the model no longer shows.",
    matters="It would hide a real contradiction later.",
    do="Take the cause out of that entry.",
    asked_for=True,
)
GAP = code(
    "MODEL-02",
    "word more than one step from the model",
    means="On every layout on which the two can be compared, and on the mean of them, the word of a"
    " row lies more than one step of the frequency scale from the model's figure; differs.yaml does"
    " not list it.",
    matters="One of the two is off by a factor that moves the ranking.",
    do="Weigh the source of the word against the figures of the invented layouts; change the one"
    " that has less behind it. Where both may stand, list the row in differs.yaml with the reason.",
    asked_for=True,
)


@finds(CONTRADICTS, GAP, STALE, doing="rows against the fuel-system model")
def against_the_model(base: Base) -> Iterator[Found]:
    """Yield rows on which knowledge and model differ wherever they can be compared."""
    if base.predict is None:
        return
    beside: dict[tuple[object, str], list[Compared]] = defaultdict(list)
    wrong: dict[tuple[object, str], list[Compared]] = defaultdict(list)
    far: dict[tuple[object, str], set[str]] = defaultdict(set)
    for on in base.on.values():
        predictions = base.predict(on.places)
        for c in compared(predictions, base.library, on.places):
            beside[c.origin, c.cause].append(c)
        for c, _ in disagreements(predictions, base.library, on.places):
            wrong[c.origin, c.cause].append(c)
        for c, _ in gaps(predictions, base.library, on.places):
            far[c.origin, c.cause].add(c.layout)
    off: list[Compared] = []
    for key, every in beside.items():
        contradicted = {c.layout for c in wrong[key]} == {c.layout for c in every}
        mean = over_layouts(every)
        apart = far[key] == {c.layout for c in every} and grades_apart(mean, base.library)
        if not contradicted and not apart:
            continue
        off.append(mean)
        if any(
            d.holds(mean.cause, mean.row.effect, mean.row.value) for d in base.library.differences
        ):
            continue
        if contradicted:
            remedy = "correct the row or its 'model', or list it in differs.yaml"
            yield _found(CONTRADICTS.id, wrong[key][0], remedy)
        else:
            remedy = "change the one that has less behind it, or list the row in differs.yaml"
            yield _found(GAP.id, mean, remedy)
    if base.whole:
        yield from _stale(base, off)


def _stale(base: Base, off: list[Compared]) -> Iterator[Found]:
    """Yield each listed cause none of whose rows lies off the model on every layout."""
    for entry in base.library.differences:
        for cause in entry.causes:
            if not any(
                c.cause == cause and entry.holds(cause, c.row.effect, c.row.value) for c in off
            ):
                text = f"no row of '{cause}' on {entry.effect} differs; take it out of the entry"
                yield Found(entry.origin, STALE.id, text, f"causes/{cause}")


def _found(code_id: str, c: Compared, remedy: str) -> Found:
    text = c.text().removeprefix(f"{c.origin}: {c.cause}: ")
    return Found(c.origin, code_id, f"{text}; {remedy}", f"causes/{c.cause}")


@finds(SILENT, STALE, doing="what the fuel-system model shows and no row speaks of")
def left_unsaid(base: Base) -> Iterator[Found]:
    """Yield values that the model shows for a cause on some layout and the knowledge leaves out."""
    if base.predict is None:
        return
    shown: dict[tuple[str, str, str], list[Silence]] = defaultdict(list)
    for on in base.on.values():
        for s in silences(base.predict(on.places), on.net, _asked(on)):
            shown[s.cause.cause, s.effect, s.value].append(s)
    for (cause, effect, value), every in shown.items():
        if any(d.holds(cause, effect, value) for d in base.library.unsaid):
            continue
        layouts = listed(s.layout for s in every)
        text = (
            f"the model shows {effect} {value} and no row says so, on {layouts}; e.g."
            f" {max(every, key=lambda s: s.states).text()}; say it in a row or under 'follows' of"
            " the effect, or list it as 'unsaid' in differs.yaml"
        )
        yield Found(base.library.causes[cause].origin, SILENT.id, text, f"causes/{cause}")
    if base.whole:
        for entry in base.library.unsaid:
            for what in itertools.product(entry.causes, [entry.effect], entry.values):
                if what not in shown:
                    text = (
                        f"the model shows no {what[1]} {what[2]} with '{what[0]}' that rows leave"
                        " out; take it out of the entry"
                    )
                    yield Found(entry.origin, STALE.id, text, f"causes/{what[0]}")


def _asked(on: OnLayout) -> Iterator[InstanceKey]:
    """Yield what the readings that can be asked for on a layout speak of."""
    for r in on.catalogue.readings:
        effect = on.library.effect_of(r.question)
        yield instance_of(effect, r.place, r.state.known(), 0)
