"""Rules that contradict each other, or the rows of the causes they name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.conditions import Expanded, Way
from diagnose.model import Cause, Distorts, Library, Literal, overlap
from diagnose.rules.conditions import key_of
from diagnose.signs import normal_class

EACH_OTHER = code(
    "RULE-09",
    "rules that contradict each other about a cause",
    means="Whenever one symptom is true a wider one is true as well, and the wider one speaks"
    " against a cause that the narrower one points to. The other way round a narrow rule corrects a"
    " wide one, which is what it is for.",
    matters="The reader is told both and can act on neither; what the wider rule says is untrue in"
    " the narrower case.",
    do="Take the cause out of one of the two, or add to the wider rule the condition that sets it"
    " apart.",
)
GIVES_NONE = code(
    "RULE-10",
    "rule that points to a cause which gives none of its signs",
    means="In no way of the condition does the cause it points to give a single unusual sign.",
    matters="The rule names the cause and belief does not follow: they cannot both be right.",
    do="Add the missing row to the cause, or take the cause out of the rule.",
)
GIVES_ALL = code(
    "RULE-11",
    "rule against a cause that gives all its signs",
    means="A symptom speaks against a cause whose rows give every sign the symptom rests on, at"
    " least half the time.",
    matters="Belief goes up on the very findings that are said to speak against it.",
    do="Correct the rows of the cause, or take the cause out of 'speaks-against'.",
)

OFTEN = 0.5
"""Rate from which a cause is said to give a sign, the mean over its severity grades."""


@finds(EACH_OTHER, doing="rules: against each other")
def against_each_other(base: Base) -> Iterator[Found]:
    """Yield causes a symptom points to while a wider one that it implies speaks against them."""
    expanded = Expanded(base.library)
    sets = {}
    for s in base.library.symptoms.values():
        every = expanded.of(s.id, True)
        if every:
            sets[s.id] = [frozenset((key_of(x), side) for x, side in way) for way in every]
    for name, narrow in sets.items():
        one = base.library.symptoms[name]
        for other_name, wide in sets.items():
            other = base.library.symptoms[other_name]
            if name == other_name or not set(one.at) & set(other.at):
                continue
            both = set(one.points_to) & {*other.against, *other.never_with}
            if both and all(any(w <= n for w in wide) for n in narrow):
                for cause in sorted(both):
                    text = (
                        f"points to '{cause}', but wherever it is true '{other_name}'"
                        f" ({other.origin}) is true as well and speaks against it; keep one"
                    )
                    yield base.found(EACH_OTHER, f"symptoms/{name}", text, one.origin, "points-to")


@finds(GIVES_NONE, GIVES_ALL, doing="rules: against the rows of causes")
def against_rows(base: Base) -> Iterator[Found]:
    """Yield causes whose own rows say the contrary of the rule that names them."""
    expanded = Expanded(base.library)
    for s in base.library.symptoms.values():
        every = expanded.of(s.id, True)
        if not every:
            continue
        for number, name in enumerate(s.points_to):
            cause = base.library.causes[name]
            if _gives_none(base.library, every, cause):
                text = (
                    f"points to '{name}' ({cause.origin}), which gives none of its signs; add the"
                    " row to the cause or take it out here"
                )
                yield base.found(
                    GIVES_NONE, f"symptoms/{s.id}", text, s.origin, "points-to", number
                )
        for number, name in enumerate(s.against):
            cause = base.library.causes[name]
            way = next((w for w in every if _gives_all(base.library, w, cause)), None)
            if way is not None:
                text = (
                    f"speaks against '{name}' ({cause.origin}), whose rows give all its signs"
                    f" ({', '.join(lit.name for lit, _ in way)}); correct the rows or take it out"
                )
                yield base.found(
                    GIVES_ALL, f"symptoms/{s.id}", text, s.origin, "speaks-against", number
                )


def _unusual(library: Library, literal: Literal, side: bool) -> bool:
    """Return whether the literal, known to be ``side``, is a sign of something wrong."""
    return side and literal.kind == "sign" and _usual(library, literal) not in literal.value


def _usual(library: Library, literal: Literal) -> str:
    question = library.questions.get(literal.name)
    if question is None:
        return library.checks[literal.name].nothing_found
    return normal_class(question, library)


def rate(library: Library, literal: Literal, cause: Cause) -> float:
    """Return how often ``cause`` alone gives a class of the sign literal, over its grades."""
    question = library.questions.get(literal.name)
    if question is None:
        found = (
            k.chance
            for k in cause.at_checks
            if (k.check == literal.name and k.result in literal.value)
        )
        return max(found, default=0.0)
    tables = [d for d in cause.distorts if d.question == question.id]
    bent = sum(
        share * _most_shown(tables, grade, literal) for grade, share in cause.severity.items()
    )
    best: dict[str, float] = {}
    for row in cause.produces:
        if row.effect == question.reads and overlap(row.when, literal.state):
            mean = sum(cause.severity[g] * p for g, p in row.how_often.items())
            shown = sum(question.shows[row.value].get(c, 0.0) for c in literal.value)
            best[row.value] = max(best.get(row.value, 0.0), mean * shown)
    return max(bent, sum(best.values()))


def _most_shown(tables: Iterable[Distorts], grade: str, literal: Literal) -> float:
    """Return how often an instrument fault of ``grade`` shows a class the literal wants."""
    found = (
        p
        for d in tables
        for row in d.at_grade(grade).values()
        for shown, p in row.items()
        if shown in literal.value
    )
    return max(found, default=0.0)


def _gives_none(library: Library, every: tuple[Way, ...], cause: Cause) -> bool:
    """Return whether no way holds an unusual sign of the cause; False if none is unusual."""
    unusual = [lit for way in every for lit, side in way if _unusual(library, lit, side)]
    opaque = any(lit.kind == "symptom" for way in every for lit, _ in way)
    if cause.outside or not unusual or opaque:
        return False
    # an instrument fault can bend any sign of the rule, the usual ones too
    signs = [lit for way in every for lit, side in way if side]
    bends = any(d.question == lit.name and _bends(d, lit) for d in cause.distorts for lit in signs)
    return not bends and all(rate(library, lit, cause) < _MISTAKE for lit in unusual)


_MISTAKE: Final = 0.02
"""A question shows this much by mistake anyway."""


def _bends(table: Distorts, literal: Literal) -> bool:
    """Return whether an instrument fault turns another class into one the literal wants."""
    return any(
        p >= _MISTAKE
        for _, shows in table.tables()
        for sound, row in shows.items()
        if sound not in literal.value
        for shown, p in row.items()
        if shown in literal.value
    )


def _gives_all(library: Library, way: Way, cause: Cause) -> bool:
    # what one cause does at all of several places, or at another, is not asked here
    if any(lit.kind == "symptom" or lit.every or lit.least > 1 for lit, _ in way):
        return False
    if not any(_unusual(library, lit, side) for lit, side in way):
        return False
    for literal, side in way:
        usual = _usual(library, literal) in literal.value
        wrong = Literal(
            literal.kind,
            literal.name,
            tuple(c for c in _classes(library, literal) if c not in literal.value),
            literal.at,
            state=literal.state,
        )
        if side and not usual and rate(library, literal, cause) < OFTEN:
            return False
        if side and usual and rate(library, wrong, cause) >= OFTEN:
            return False
        if not side and not usual and rate(library, literal, cause) >= OFTEN:
            return False
        if not side and usual and rate(library, wrong, cause) < OFTEN:
            return False
    return True


def _classes(library: Library, literal: Literal) -> tuple[str, ...]:
    question = library.questions.get(literal.name)
    return tuple(question.classes if question else library.checks[literal.name].results)
