"""Why not, and what would change it: questions to the plain evaluator."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal as Choice

from diagnose.model import Finding, Literal, State, fits, literals_of
from diagnose.rules.conditions import Atom, atoms_of
from diagnose.rules.outcome import Verdict
from diagnose.rules.plain import Pair, PlainRules

Now = Choice["unknown", "true", "false", "conflict"]


@dataclass(frozen=True)
class Missing:
    """An atom that keeps a rule from firing: what it wants and what is known instead."""

    atom: Atom
    wanted: bool
    now: Now


@dataclass(frozen=True)
class Short:
    """One way in which a symptom would be true, and what it lacks."""

    way: int
    missing: tuple[Missing, ...]


@dataclass(frozen=True)
class Answer:
    """An answer that would change a symptom; ``key`` is the finding it would replace, if any."""

    finding: Finding
    key: int | None
    after: Verdict | None


def verdict_of(pair: Pair) -> Verdict | None:
    """Return the word for (known true, known false)."""
    true, false = pair
    if true and false:
        return "conflict"
    return "true" if true else "false" if false else None


def why_not(
    rules: PlainRules, findings: Mapping[int, Finding], symptom: str, at: str, epoch: int
) -> tuple[Short, ...]:
    """Return, for each way ``symptom`` could be true at ``at`` in ``epoch``, the atoms it lacks.

    Fewest missing first.  A way that lacks nothing has fired.
    """
    view = rules.view(findings)
    out = []
    for way in (rules.book.ways[n] for n in rules.book.ways_of[symptom]):
        if not way.shows:
            continue
        missing = []
        for _, side, atom in way.wants:
            found = view.atom(atom, at, epoch)
            if not (found.true if side else found.false):
                now = verdict_of((found.true, found.false)) or "unknown"
                missing.append(Missing(atom, side, now))
        out.append(Short(way.number, tuple(missing)))
    return tuple(sorted(out, key=lambda s: (len(s.missing), s.way)))


def what_would_change(
    rules: PlainRules, findings: Mapping[int, Finding], symptom: str, at: str, epoch: int
) -> tuple[Answer, ...]:
    """Return every single answer that would change the verdict on ``symptom`` there and then.

    Tried are the questions the symptom rests on, down through lower symptoms, at every place they
    look at, in a state that fits; for a finding already there, each other class in its place.
    """
    before = verdict_of(rules.view(findings).pair(symptom, at, epoch))
    out = []
    for key, finding in _candidates(rules, findings, symptom, at, epoch):
        put_at = max(findings, default=-1) + 1 if key is None else key
        view = rules.view({**findings, put_at: finding})
        after = verdict_of(view.pair(symptom, at, epoch))
        if after != before:
            out.append(Answer(finding, key, after))
    return tuple(out)


def _candidates(
    rules: PlainRules, findings: Mapping[int, Finding], symptom: str, at: str, epoch: int
) -> Iterator[tuple[int | None, Finding]]:
    library, seen = rules.book.library, set()
    for literal, place, together in _read_by(rules, symptom, at):
        if literal.name in library.questions:
            check, values = False, tuple(library.questions[literal.name].classes)
        else:
            check, values = True, tuple(library.checks[literal.name].results)
        same = [
            (key, f)
            for key, f in sorted(findings.items())
            if (f.check, f.question, f.at, f.epoch) == (check, literal.name, place, epoch)
            and fits(f.state.known(), literal.state)
        ]
        state = State(settings=MappingProxyType({d: v[0] for d, v in literal.state.items()}))
        new = Finding(literal.name, place, "", state, "seen", check=check, epoch=epoch)
        bases: list[tuple[int | None, Finding]] = [*same] if same else [(None, new)]
        if together:  # it may be met in any run state in which something was found
            met = {f.state.stage + str(sorted(f.state.settings.items())): f.state
                   for f in findings.values() if f.epoch == epoch and not f.check}  # fmt: skip
            had = [f.state for _, f in same]
            bases += [(None, replace(new, state=s)) for s in met.values() if s not in had]
            bases = [
                (k, f) for k, f in bases if k is not None or fits(f.state.known(), literal.state)
            ]
        for key, base in bases:
            mark = (key, base.question, base.at, tuple(sorted(base.state.settings.items())))
            if mark not in seen:
                seen.add(mark)
                for value in values:
                    if not base.surely(value):
                        yield key, _answered(base, value)


def _answered(base: Finding, value: str) -> Finding:
    return Finding(
        base.question,
        base.at,
        value,
        base.state,
        base.known_by,
        check=base.check,
        others_normal=base.others_normal,
        epoch=base.epoch,
    )


def _read_by(rules: PlainRules, symptom: str, at: str) -> Iterator[tuple[Literal, str, bool]]:
    """Yield (sign literal, place it looks at, whether with others in one run state).

    Down through lower symptoms.
    """
    book = rules.book
    for atom in atoms_of(book.library.symptoms[symptom].when):
        for literal in literals_of(atom):
            for place in book.asked_places(book.number_of(literal), at):
                if literal.kind == "sign":
                    yield literal, place, literal is not atom
                elif place in book.spots[literal.name]:
                    yield from _read_by(rules, literal.name, place)
