"""Questions, effects, checks, hazards and sources that nothing uses."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.lint.base import Base, listed
from diagnose.lint.codes import Found, code, finds
from diagnose.model import SourceRef, literals_of

QUESTION = code(
    "USE-01",
    "question that nothing uses",
    means="No cause gives or bends what it shows, no symptom reads it, and it is no gate.",
    matters="A person spends minutes on an answer that changes nothing.",
    do="Add the rows or the rule it was made for, or delete it.",
)
ASKED_NOWHERE = code(
    "USE-02",
    "question that can be asked nowhere",
    means="No layout has a place of its kind in a run state in which it can be got.",
    matters="It is kept up and never asked.",
    do="Correct 'at', 'stages' or 'needs', add the run state to a layout, or delete it.",
)
EFFECT = code(
    "USE-03",
    "effect that no question reads",
    means="No question reads the effect, so that no finding can ever speak of it.",
    matters="Rows about it are never evidence.",
    do="Add the question, or drop the effect and its rows.",
)
VALUE = code(
    "USE-04",
    "effect value that no cause gives",
    means="A value of an effect, other than normal, stands in no row of any cause.",
    matters="Whoever sees it learns nothing: it counts as chance.",
    do="Add the row to the cause that gives it, or drop the value.",
)
CHECK = code(
    "USE-05",
    "check that no cause asks for",
    means="No cause names the check and no symptom reads it.",
    matters="It is never offered.",
    do="Name it in the cause it settles, or delete it.",
)
RESULT = code(
    "USE-06",
    "check result that says nothing",
    means="A result other than the first, 'nothing found', is named by no cause and no symptom.",
    matters="Whoever finds it is told nothing.",
    do="Name it under 'checks' of the cause it confirms, under 'also-shows' of a cause that it only"
    " speaks for, or drop the result.",
)
HAZARD = code(
    "USE-07",
    "hazard that no work names",
    means="No check, no question and no mending lists the hazard.",
    matters="The caution is never shown, perhaps where it should be.",
    do="List it where it belongs, or delete it.",
)
SOURCE = code(
    "USE-08",
    "source that nothing cites",
    means="A source stands in sources.yaml and no item cites it.",
    matters="The list of what the knowledge rests on claims more than is true.",
    do="Cite it where it is used, or delete it.",
)
UNHEARD = code(
    "USE-09",
    "answer that no report gives",
    means="A question has an answer for which neither 'told' nor 'heard' lists how people say it.",
    matters="Whoever reports it in his own words is not understood, and is asked for it once more.",
    do="List under 'heard' how the trade says that answer.",
)


@finds(QUESTION, ASKED_NOWHERE, UNHEARD, doing="questions: used, askable and heard")
def questions(base: Base) -> Iterator[Found]:
    """Yield questions that nothing uses, that can be asked nowhere, or that no report answers."""
    library = base.library
    given = {row.effect for c in library.causes.values() for row in c.produces}
    bent = {d.question for c in library.causes.values() for d in c.distorts}
    ruled = {x.name for s in library.symptoms.values() for x in literals_of(s.when)}
    asked = {r.question for on in base.on.values() for r in on.catalogue.readings}
    for q in library.questions.values():
        if q.reads not in given and q.id not in bent and q.id not in ruled and not q.gate:
            text = "no cause and no rule uses what it shows; add what it was made for or delete it"
            yield base.found(QUESTION, f"questions/{q.id}", text, q.origin)
        if base.whole and q.id not in asked:
            text = (
                f"no layout has a {' or '.join(q.at)} in a state in which it can be got; correct"
                " 'at', 'stages' or 'needs'"
            )
            yield base.found(ASKED_NOWHERE, f"questions/{q.id}", text, q.origin, "at")
        unheard = [c for c in q.classes if not q.heard.get(c) and not q.told.get(c)]
        if unheard:
            text = f"no report gives {listed(unheard)}; list under 'heard' how people say it"
            yield base.found(UNHEARD, f"questions/{q.id}", text, q.origin)


@finds(EFFECT, VALUE, doing="effects: read and given")
def effects(base: Base) -> Iterator[Found]:
    """Yield effects that nothing reads, and values that nothing gives."""
    library = base.library
    read = {q.reads for q in library.questions.values()}
    rows = {(row.effect, row.value) for c in library.causes.values() for row in c.produces}
    for e in library.effects.values():
        if e.id not in read:
            text = "no question reads it; add the question or drop the effect and its rows"
            yield base.found(EFFECT, f"effects/{e.id}", text, e.origin)
        for number, value in enumerate(e.values[1:], 1):
            if (e.id, value) not in rows:
                text = f"no cause gives '{value}'; add the row to the cause that does, or drop it"
                yield base.found(VALUE, f"effects/{e.id}", text, e.origin, "values", number)


@finds(CHECK, RESULT, HAZARD, doing="checks and hazards: used")
def checks(base: Base) -> Iterator[Found]:
    """Yield checks, results of checks and hazards that nothing names."""
    library = base.library
    named = {(k.check, k.result) for c in library.causes.values() for k in c.at_checks}
    ruled = {
        (x.name, v)
        for s in library.symptoms.values()
        for x in literals_of(s.when)
        if x.kind == "sign"
        for v in x.value
    }
    used = named | ruled
    offered = {k.check for c in library.causes.values() for k in c.checks} | {n for n, _ in ruled}
    for check in library.checks.values():
        item = f"checks/{check.id}"
        if check.id not in offered:
            text = "no cause names it; name it in the cause it settles or delete it"
            yield base.found(CHECK, item, text, check.origin)
            continue
        for result in list(check.results)[1:]:
            if (check.id, result) not in used:
                text = f"no cause gives result '{result}'; name it in a cause or drop it"
                yield base.found(RESULT, item, text, check.origin, "results", result)
    shown = {h for c in library.checks.values() for h in c.hazards}
    shown |= {h for q in library.questions.values() for h in q.hazards}
    shown |= {h for c in library.causes.values() for h in c.rectify_hazards}
    for hazard in library.hazards.values():
        if hazard.id not in shown:
            text = "no check, question or mending lists it; list it where it belongs or delete it"
            yield base.found(HAZARD, f"hazards/{hazard.id}", text, hazard.origin)


@finds(SOURCE, doing="sources: cited")
def sources(base: Base) -> Iterator[Found]:
    """Yield listed sources that no item cites."""
    library = base.library
    folders = (
        library.effects,
        library.questions,
        library.symptoms,
        library.causes,
        library.checks,
        library.hazards,
    )
    refs: list[SourceRef] = [r for folder in folders for x in folder.values() for r in x.sources]
    refs += [row.source for c in library.causes.values() for row in c.own_rows if row.source]
    cited = {ref.id for ref in refs} | {seed.source for seed in base.seeds}
    for source in library.sources.values():
        always = source.kind in ("practice", "memory")
        if source.id not in cited and source.origin.file and not always:
            text = f"'{source.id}' is cited by nothing; cite it where it is used or delete it"
            yield base.found(SOURCE, f"sources/{source.id}", text, source.origin)
