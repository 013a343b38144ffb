"""Where a chart starts: one finding, or the findings that make a symptom, on one layout."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass

from diagnose.errors import UsageError, did_you_mean
from diagnose.grammar import capital
from diagnose.job.diagnosis import Bench
from diagnose.job.refining import nothing_to_refine
from diagnose.job.starting import starts_had
from diagnose.job.wording import answer_words, state_words
from diagnose.model import AEROPLANE, Finding, Literal, Question, State, fits
from diagnose.planner import Reading
from diagnose.rules import Ground
from diagnose.rules.conditions import Atom, inside, ways
from diagnose.signs import instance_of, normal_class


@dataclass(frozen=True)
class Start:
    """What is known at the first step.

    name: as typed: QUESTION=CLASS@PART, or SYMPTOM@PART.  says: each finding in words.
    asked: readings that would only repeat it, and starts that were had, by key.
    """

    name: str
    title: str
    place: str
    findings: tuple[Finding, ...]
    says: tuple[str, ...]
    asked: frozenset[tuple[str, str, str]]


def from_finding(bench: Bench, question: str, value: str, place: str, state: State) -> Start:
    """Return the start that is one answer to one question."""
    q = bench.library.questions[question]
    finding = Finding(q.id, place, value, state, q.known_there)
    where = bench.places.label(place)
    title = f"{q.title}: {q.classes[value]}, {where}"
    words = state_words(bench, state)
    name = f"{question}={value}@{place}"
    return _start(bench, name, title + (f" [{words}]" if words else ""), place, (finding,))


def from_symptom(bench: Bench, symptom: str, place: str) -> Start | None:
    """Return the start in which the rules conclude ``symptom``, or None where none is found.

    The first of the rule's ways that can be observed on this layout is taken.
    """
    s = bench.library.symptoms[symptom]
    for findings in _realised(bench, symptom, place, True, 0):
        outcome = bench.plain.outcome(dict(enumerate(findings)))
        if outcome.verdict(symptom, place) == "true":
            where = bench.places.label(place)
            grounds = [x.item for x in outcome.chain(symptom, place) if isinstance(x.item, Ground)]
            joined = {k for g in grounds if not isinstance(g.atom, Literal) for k in g.findings}
            return _start(bench, f"{symptom}@{place}", f"{s.title}, {where}", place, findings,
                          joined)  # fmt: skip
    return None


def _start(
    bench: Bench,
    name: str,
    title: str,
    place: str,
    findings: tuple[Finding, ...],
    joined: Collection[int] = (),
) -> Start:
    """``joined``: which of ``findings`` must be of one run state."""
    says = tuple(
        _says(bench, f, "in one and the same run state" if k in joined else "")
        for k, f in enumerate(findings)
    )
    asked = {r.key for f in findings if not f.check for r in _repeats(bench, f)}
    # no engine is started to see how it starts when the report says that it ran
    asked |= starts_had(bench, findings, 0) | nothing_to_refine(bench, findings)
    return Start(name, capital(title), place, findings, says, frozenset(asked))


def _says(bench: Bench, f: Finding, unstated: str) -> str:
    words = state_words(bench, f.state) or unstated
    asked = bench.library.asked(f)
    said = f"{asked.title}, {bench.places.label(f.at)}: {answer_words(asked.answers, f)}"
    return said + (f" [{words}]" if words else "")


def _repeats(bench: Bench, f: Finding) -> Iterator[Reading]:
    """Yield the readings that would ask for the same instance again."""
    effect = bench.library.effect_of(f.question)
    told = instance_of(effect, f.at, f.state.known(), 0)
    for r in bench.planner.catalogue.readings:
        if (r.question, r.place) == (f.question, f.at) and (
            instance_of(effect, r.place, r.state.known(), 0) == told
        ):
            yield r


# ------------------------------------------------------------------ symptoms into findings


def _realised(
    bench: Bench, symptom: str, place: str, want: bool, depth: int
) -> Iterator[tuple[Finding, ...]]:
    if depth > len(bench.plain.book.strata):
        return
    for way in ways(bench.library.symptoms[symptom].when, want):
        got: list[Finding] | None = []
        for atom, side in way:
            found = _atom(bench, atom, side, place, depth)
            if found is None:
                got = None
                break
            assert got is not None
            got += [f for f in found if f not in got]
        if got:
            yield tuple(got)


def _atom(
    bench: Bench, atom: Atom, side: bool, place: str, depth: int
) -> tuple[Finding, ...] | None:
    if isinstance(atom, Literal):
        return _literal(bench, atom, side, place, depth)
    for way in ways(inside(atom), side):
        signs = [(x, s) for x, s in way if isinstance(x, Literal)]
        for state in _states(bench, [x for x, _ in signs]):
            each = [_literal(bench, x, s, place, depth, state) for x, s in signs]
            if all(each):
                out: list[Finding] = []
                for found in each:
                    out += [f for f in found or () if f not in out]
                return tuple(out)
    return None


def _states(bench: Bench, signs: Sequence[Literal]) -> Iterator[State]:
    """Yield the run states in which all of ``signs`` can be told; not stated, where none asks."""
    if not any(x.state for x in signs):
        yield State()
        return
    for run_state in bench.layout.run_states:
        known = run_state.state.known()
        if all(fits(known, x.state) for x in signs):
            yield run_state.state


def _literal(
    bench: Bench,
    literal: Literal,
    side: bool,
    place: str,
    depth: int,
    in_state: State | None = None,
) -> tuple[Finding, ...] | None:
    """Return findings that show ``literal``, ``in_state`` where the run state is given."""
    book = bench.plain.book
    places = tuple(book.asked_places(book.number_of(literal), place))
    if len(places) < literal.least:
        return None
    # some places are enough to show it, but only all of them show that it is nowhere
    some = literal.least if side else 1
    for_all = literal.every == side
    out: list[Finding] = []
    for at in places if for_all else places[:some]:
        if literal.kind == "symptom":
            lower = next(_realised(bench, literal.name, at, side, depth + 1), None)
            if lower is None:
                return None
            out += lower
        else:
            finding = _sign(bench, literal, side, at, in_state)
            if finding is None:
                return None
            out.append(finding)
    return tuple(out)


def _sign(
    bench: Bench, literal: Literal, side: bool, at: str, in_state: State | None
) -> Finding | None:
    library = bench.library
    if literal.name in library.checks:
        if not bench.places.allows(library.checks[literal.name], at):
            return None
        results = tuple(library.checks[literal.name].results)
        value = next((v for v in results if (v in literal.value) == side), None)
        return None if value is None else Finding(literal.name, at, value, check=True)
    q = library.questions[literal.name]
    if not bench.places.allows(q, at):
        return None  # no such lamp, gauge or pump on this layout
    normal = normal_class(q, library)
    order = [normal, *q.classes] if not side else [*literal.value]
    value = next((v for v in order if (v in literal.value) == side), None)
    state = _state(bench, literal, at) if in_state is None else in_state
    if value is None or state is None:
        return None
    return Finding(q.id, at, value, state, q.known_there)


def _state(bench: Bench, literal: Literal, at: str) -> State | None:
    """Return a run state of the layout that fits the literal and the place, or None."""
    if not literal.state:
        return State()
    for r in bench.planner.catalogue.readings:
        if (r.question, r.place) == (literal.name, at) and fits(r.state.known(), literal.state):
            return r.state
    return None


# ------------------------------------------------------------------ what there is


def is_circumstance(question: Question) -> bool:
    """Return whether a question asks what went before, not what is wrong."""
    return question.opening and AEROPLANE in question.at and not question.gate


def finding_starts(bench: Bench) -> Iterator[Start]:
    """Yield a start for each answer that is not normal at each place, its run state not stated."""
    library = bench.library
    seen = dict.fromkeys((r.question, r.place) for r in bench.planner.catalogue.readings)
    for question, place in sorted(seen, key=lambda x: list(library.questions).index(x[0])):
        q = library.questions[question]
        if is_circumstance(q):
            continue
        normal = normal_class(q, library)
        for value in q.classes:
            if value != normal:
                yield from_finding(bench, question, value, place, State())


def symptom_starts(bench: Bench, only: Collection[str] = ()) -> Iterator[Start]:
    """Yield a start for every symptom at every place where it can be shown on the layout.

    ``only``: these symptoms; empty: all.
    """
    for symptom, places in bench.plain.book.spots.items():
        for place in places if not only or symptom in only else ():
            start = from_symptom(bench, symptom, place)
            if start is not None:
                yield start


def named(bench: Bench, text: str, run_state: str = "") -> Start:
    """Return the start that ``text`` names: QUESTION=CLASS@PART or SYMPTOM@PART.

    ``run_state``: id of a run state of the layout in which the finding was made, '' for not said.
    The part may be left out where there is only one.

    Raises:
        UsageError: If a name is not known; says the nearest, or what there is.
    """
    library = bench.library
    what, _, at = text.partition("@")
    name, equals, value = what.partition("=")
    state = _run_state(bench, run_state)
    if not equals:
        if name not in library.symptoms:
            raise UsageError(
                f"{_unknown('symptom', name, library.symptoms)} "
                "A finding is typed QUESTION=CLASS@PART, for example fuel-pressure=low@engine; "
                f"'diagnose chart starts {bench.layout.id}' lists both."
            )
        if run_state:
            raise UsageError("--state goes with a finding; a symptom brings its own run states.")
        spots = bench.plain.book.spots[name]
        start = from_symptom(bench, name, _place(bench, at, spots, name))
        if start is None:
            raise UsageError(f"'{name}' cannot be shown on {bench.layout.id}.")
        return start
    if name not in library.questions:
        raise UsageError(_unknown("question", name, library.questions))
    q = library.questions[name]
    if value not in q.classes:
        raise UsageError(f"'{value}' is not an answer to '{name}'; there are "
                         f"{', '.join(q.classes)}.")  # fmt: skip
    spots = tuple(
        dict.fromkeys(r.place for r in bench.planner.catalogue.readings if r.question == name)
    )
    return from_finding(bench, name, value, _place(bench, at, spots, name), state)


def _run_state(bench: Bench, name: str) -> State:
    if not name:
        return State()
    states = {s.id: s for s in bench.layout.run_states}
    if name not in states:
        unknown = _unknown(f"run state of {bench.layout.id}", name, states)
        raise UsageError(f"{unknown} There are: {', '.join(states)}.")
    return states[name].state


def _place(bench: Bench, at: str, spots: Iterable[str], name: str) -> str:
    there = tuple(spots)
    if not there:
        raise UsageError(f"'{name}' cannot be found anywhere on {bench.layout.id}.")
    if not at and len(there) == 1:
        return there[0]
    if at in there:
        return at
    said = f"'{at}' is no place for it" if at else "say where"
    raise UsageError(f"{name}: {said} on {bench.layout.id}; @ one of {', '.join(there)}.")


def _unknown(kind: str, name: str, known: Iterable[str]) -> str:
    return f"'{name}' is not a {kind}{did_you_mean(name, known)}"
