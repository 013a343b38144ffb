"""Small random knowledge for the belief tests, and the same arithmetic in plain scalar loops.

The oracle below shares no code with ``diagnose.belief``: it enumerates every hypothesis.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, product
from types import SimpleNamespace
from typing import Any

from diagnose.model import (
    GRADES,
    Cause,
    CauseAt,
    Distorts,
    Effect,
    Finding,
    Library,
    Produces,
    Question,
    State,
    Words,
)
from diagnose.places import Places

PLACE = "engine"
LOW = 0.3  # weight of low power where nobody stated it
STRANGERS = (0.5, 1.0, 2.0)


class OnePlace(Places):
    """Places of a layout with one engine: every row fits, every instrument is there."""

    def __init__(self) -> None:
        part = SimpleNamespace(id=PLACE, kind="engine", of="", side="")
        self.layout: Any = SimpleNamespace(parts={PLACE: part}, run_states=(), limits={})

    def cause_instances(self, library: Library) -> tuple[CauseAt, ...]:
        """Return every cause at the engine."""
        return tuple(CauseAt(c, PLACE) for c in library.causes)

    def shares(
        self, row: Produces, cause_parts: Iterable[str], place: str, known: Mapping[str, str]
    ) -> list[float]:
        """Return that every row applies."""
        return [1.0 for _ in cause_parts]

    def related(self, part: str, relation: str, state: Mapping[str, str]) -> dict[str, float]:
        """Return the part itself for every relation."""
        return {part: 1.0}

    def is_instrument_of(self, part: str, place: str) -> bool:
        """Return that every part reads the engine."""
        return True

    def weight(self, when: Mapping[str, Sequence[str]], known: Mapping[str, str]) -> float:
        """Return how far a row on the power fits; unstated, low power weighs ``LOW``."""
        if "power" not in when:
            return 1.0
        weights = {known["power"]: 1.0} if "power" in known else {"low": LOW, "high": 1.0 - LOW}
        return sum(weights.get(p, 0.0) for p in when["power"])


def words(**over: object) -> Words:
    """Return scales with nothing lifted and nothing softened unless said."""
    base = {
        "how_often": {},
        "how_common": {},
        "work_lift": 10.0,
        "fuelling_lift": 3.0,
        "unstated": {},
        "trade": (),
        "trust": {"measured": 1.0, "read": 1.0, "seen": 0.95, "told": 0.8, "assumed": 0.4},
        "shares": {"not-fuel": 0.1, "not-in-the-knowledge": 0.05, "no-fault": 0.05},
    }
    return Words(**{**base, **over})  # type: ignore[arg-type]


def cause(
    name: str,
    common: float,
    produces: Sequence[Produces] = (),
    distorts: Sequence[Distorts] = (),
    severity: Mapping[str, float] | None = None,
    outside: str = "",
) -> Cause:
    """Return a bare cause at an engine."""
    return Cause(
        id=name,
        title=name,
        family="test",
        part_kinds=("engine",),
        mode="",
        code="",
        how_common=common,
        common_word="",
        because="",
        produces=tuple(produces),
        distorts=tuple(distorts),
        severity=severity or {"slight": 0.4, "half": 0.35, "severe": 0.25},
        outside=outside,
    )


def row(effect: str, value: str, often: Mapping[str, float]) -> Produces:
    """Return a ``produces`` row that holds in every state."""
    return Produces(effect, value, "itself", often, {})


def library(
    effects: Sequence[Effect],
    questions: Sequence[Question],
    causes: Sequence[Cause],
    scales: Words | None = None,
) -> Library:
    """Return a library of just these."""
    return Library(
        "",
        "test",
        {e.id: e for e in effects},
        {q.id: q for q in questions},
        {},
        {c.id: c for c in causes},
        {},
        {},
        {},
        scales or words(),
    )


def random_library(rng: random.Random, n_causes: int = 5, n_effects: int = 4) -> Library:
    """Return random effects, questions and causes; the last cause is an instrument fault."""
    effects, questions = [], []
    for k in range(n_effects):
        values = ("normal", "a", "b", "c")[: rng.randint(2, 4)]
        effects.append(
            Effect(
                f"e{k}", "", ("engine",), values, {v: rng.uniform(0.001, 0.05) for v in values[1:]}
            )
        )
        classes = {c: c for c in ("x", "y", "z")[: rng.randint(2, 3)]}
        shows = {v: _simplex(rng, tuple(classes)) for v in values}
        questions.append(Question(f"q{k}", "", "", f"e{k}", ("engine",), classes, shows))
    causes = []
    for i in range(n_causes - 1):
        rows = []
        for e in effects:
            if rng.random() < 0.7:
                left = 0.95
                for v in e.values[1:]:
                    p = rng.uniform(0.0, left)
                    left -= p
                    rows.append(row(e.id, v, {g: p * rng.random() for g in GRADES}))
        causes.append(cause(f"c{i}", rng.choice([0.2, 0.03, 0.003]), rows))
    shown = tuple(questions[0].classes)
    bends = [
        Distorts(
            "q0",
            {c: _simplex(rng, shown) for c in shown},
            {"power": (power,)},
            {
                g: {c: _simplex(rng, shown) for c in shown}
                for g in rng.sample(GRADES, rng.choice((0, 1, 3)))
            },
        )
        for power in ("low", "high")[: rng.randint(1, 2)]
    ]
    causes.append(cause("gauge", 0.03, distorts=bends))
    return library(effects, questions, causes)


def random_findings(rng: random.Random, lib: Library, several: float = 0.25) -> list[Finding]:
    """Return a finding for some of the questions, known in various ways.

    ``several``: the share of them that say one of two classes, not known which.
    """
    out = []
    for q in lib.questions.values():
        if rng.random() < 0.8:
            value = rng.choice(list(q.classes))
            rest = [c for c in q.classes if c != value]
            one_of = (value, rng.choice(rest)) if rng.random() < several else ()
            out.append(
                Finding(
                    q.id,
                    PLACE,
                    value,
                    State("", rng.choice([{}, {"power": "low"}, {"power": "high"}])),
                    rng.choice(["read", "seen", "told", "assumed"]),
                    one_of=one_of,
                )
            )
    return out


def _simplex(rng: random.Random, keys: Sequence[str]) -> dict[str, float]:
    raw = [rng.uniform(0.05, 1.0) for _ in keys]
    return {k: r / sum(raw) for k, r in zip(keys, raw, strict=True)}


# ------------------------------------------------------------------ the oracle


def oracle(lib: Library, findings: Sequence[Finding], second: float = 0.1) -> dict[str, float]:
    """Return P(cause is there | findings), 'unknown' included, by enumerating every hypothesis."""
    names = list(lib.causes)
    odds = {n: lib.causes[n].how_common / (1 - lib.causes[n].how_common) for n in names}
    total = sum(odds.values())
    odds = {n: o * second / total for n, o in odds.items()}
    pairs = list(combinations(names, 2))
    share = 1.0 - lib.words.shares["not-in-the-knowledge"]
    scale = share / (sum(odds.values()) + sum(odds[a] * odds[b] for a, b in pairs))
    mass: dict[tuple[str, ...], float] = {}
    for n in names:
        mass[(n,)] = scale * odds[n] * likelihood(lib, findings, (n,))
    for a, b in pairs:
        mass[(a, b)] = scale * odds[a] * odds[b] * likelihood(lib, findings, (a, b))
    mass[("unknown",)] = lib.words.shares["not-in-the-knowledge"] * _stranger(lib, findings, odds)
    z = sum(mass.values())
    return {n: sum(m for h, m in mass.items() if n in h) / z for n in [*names, "unknown"]}


def likelihood(lib: Library, findings: Sequence[Finding], causes: Sequence[str]) -> float:
    """Return P(findings | exactly these causes), summed over their severity grades."""
    out = 0.0
    for grades in product(GRADES, repeat=len(causes)):
        weight = 1.0
        for c, g in zip(causes, grades, strict=True):
            weight *= lib.causes[c].severity[g]
        for e in lib.effects.values():
            nets = [
                {r.value: r.how_often[g] for r in lib.causes[c].produces if r.effect == e.id}
                for c, g in zip(causes, grades, strict=True)
            ]
            weight *= _effect(lib, e, nets, findings, dict(zip(causes, grades, strict=True)))
        out += weight
    return out


def _effect(
    lib: Library,
    e: Effect,
    nets: Sequence[Mapping[str, float]],
    findings: Sequence[Finding],
    causes: Mapping[str, str],
) -> float:
    p = distribution(e, nets)
    total = 0.0
    for v in e.values:
        like = 1.0
        for f in findings:
            q = lib.questions[f.question]
            if q.reads == e.id:
                like *= _shown(lib, q, v, f, causes)
        total += p[v] * like
    return total


def distribution(e: Effect, nets: Sequence[Mapping[str, float]]) -> dict[str, float]:
    """Return P(value | causes with these net rates): noisy-OR on leaving the normal value."""
    stay = 1.0 - sum(e.background.values())
    for n in nets:
        stay *= 1.0 - sum(n.values())
    rate = {v: e.background[v] + sum(n.get(v, 0.0) for n in nets) for v in e.values[1:]}
    return {
        e.values[0]: stay,
        **{v: (1.0 - stay) * r / sum(rate.values()) for v, r in rate.items()},
    }


def _shown(lib: Library, q: Question, v: str, f: Finding, causes: Mapping[str, str]) -> float:
    trust = lib.words.trust[f.known_by]
    row, sound = dict(q.shows[v]), dict(q.shows[lib.effects[q.reads].values[0]])
    for c, grade in causes.items():
        bends = [
            replace(d, shows=d.at_grade(grade))
            for d in lib.causes[c].distorts
            if d.question == q.id
        ]
        row, sound = (_bent(q, bends, r, f.state.known().get("power", "")) for r in (row, sound))
    # one of several classes, not known which: the chance that it is any of them
    return sum(trust * row[c] + (1.0 - trust) * sound[c] for c in f.classes)


def _bent(
    q: Question, bends: Sequence[Distorts], row: dict[str, float], power: str
) -> dict[str, float]:
    """Return what an instrument fault makes of ``row``, each of its rows in its own power."""
    chance = {"low": LOW, "high": 1.0 - LOW} if not power else {power: 1.0}
    out = dict.fromkeys(q.classes, 0.0)
    for p, weight in chance.items():
        here = next((d for d in bends if p in d.when["power"]), None)
        for sound, share in row.items():
            for k, turned in (here.shows[sound] if here else {sound: 1.0}).items():
                out[k] += weight * share * turned
    return out


def _stranger(lib: Library, findings: Sequence[Finding], odds: Mapping[str, float]) -> float:
    reach = set(lib.causes)  # all of them are at the one part there is
    z = sum(odds[c] for c in reach)
    out = 0.0
    for s in STRANGERS:
        like = 1.0
        for e in lib.effects.values():
            mean = {
                v: s
                * sum(
                    odds[c] * lib.causes[c].severity[g] * r.how_often[g]
                    for c in reach
                    for r in lib.causes[c].produces
                    if r.effect == e.id and r.value == v
                    for g in GRADES
                )
                / z
                for v in e.values[1:]
            }
            most = max(1.0, sum(mean.values()) / 0.98)  # no cause is ever certain to show
            like *= _effect(lib, e, [{v: r / most for v, r in mean.items()}], findings, {})
        out += like / len(STRANGERS)
    return out
