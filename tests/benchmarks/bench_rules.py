"""Our rules against CLIPS, per answer: the same productions, the same facts in the same order.

Run ``python tests/benchmarks/bench_rules.py``; it prints processor times and is no test.
Needs clipspy for the comparison and says so by name when it is missing.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from rules.rules_kit import (  # noqa: E402 - the path is set above
    FakePlaces,
    both,
    cause,
    either,
    found,
    library,
    lower,
    no,
    question,
    sign,
    symptom,
    two_sides,
)

from diagnose.model import Condition, Finding, Library  # noqa: E402
from diagnose.rules import PlainRules, RuleBase  # noqa: E402
from diagnose.rules.book import Book  # noqa: E402
from diagnose.rules.compile import engine_class  # noqa: E402
from diagnose.rules.facts import HOLDS  # noqa: E402
from diagnose.rules.session import Session  # noqa: E402

CAUSES, ROWS, SYMPTOMS, EFFECTS, ANSWERS, ENGINES = 250, 6, 80, 50, 30, 4
JOBS = 10
"""Times the job is played from its start, by each."""


def invented_library(seed: int) -> Library:
    """A library of the size the project aims at; its content is random."""
    rng = random.Random(seed)
    questions = [question(f"q{k}", ("normal", "low", "high")) for k in range(EFFECTS)]
    relations = ("its-engine", "engines-fed-through-it")
    kinds = ("strainer", "engine-pump", "tank")

    def row() -> tuple[str, str, str, Mapping[str, tuple[str, ...]]]:
        # A third of all rows speak of the few effects that everything shows up in.
        effect = rng.randrange(5) if rng.random() < 0.33 else rng.randrange(EFFECTS)
        when: dict[str, tuple[str, ...]] = {}
        if rng.random() < 0.5:
            when["power"] = tuple(rng.sample(("low", "mid", "high"), 2))
        if rng.random() < 0.5:
            when["booster"] = (rng.choice(("off", "on")),)
        return f"q{effect}", rng.choice(("low", "high")), rng.choice(relations), when

    causes = [
        cause(f"c{k}", rng.choice(kinds), *(row() for _ in range(ROWS))) for k in range(CAUSES)
    ]

    def literal(k: int) -> Condition:
        if k > 20 and rng.random() < 0.25:
            return lower(f"s{rng.randrange(k // 2)}", rng.choice(("itself", "other-engines")))
        at = rng.choice(("itself", "itself", "itself", "other-engines"))
        state: dict[str, Any] = {}
        if rng.random() < 0.4:
            state["booster"] = rng.choice(("off", "on"))
        return sign(f"q{rng.randrange(EFFECTS)}", rng.choice(("low", "normal")), at=at, **state)

    def condition(k: int) -> Condition:
        parts = [literal(k) for _ in range(rng.choice((2, 2, 3)))]
        if rng.random() < 0.4:
            parts.append(either(literal(k), literal(k)))
        if rng.random() < 0.3:
            parts.append(no(literal(k)))
        return both(*parts)

    names = [f"c{rng.randrange(CAUSES)}" for _ in range(2 * SYMPTOMS)]
    symptoms = [
        symptom(f"s{k}", condition(k), points_to=tuple(names[2 * k : 2 * k + 2]))
        for k in range(SYMPTOMS)
    ]
    return library(questions, symptoms, causes)


def answers(seed: int) -> list[Finding]:
    """Answers of one job: half of them about the effects everything shows up in."""
    rng = random.Random(seed)
    out = []
    for _ in range(ANSWERS):
        effect = rng.randrange(5) if rng.random() < 0.5 else rng.randrange(EFFECTS)
        value = rng.choice(("normal", "low", "low", "high"))
        state: dict[str, Any] = {
            "power": rng.choice(("low", "high")),
            "booster": rng.choice(("off", "on")),
        }
        out.append(found(f"q{effect}", value, f"engine-{rng.randrange(ENGINES) + 1}", **state))
    return out


Step = list[tuple[str, int, Mapping[str, Any]]]
"""('declare' or 'retract', fact number, fields) of one answer."""


class Spy:
    """Stands before an engine and notes the facts a session declares and retracts."""

    def __init__(self, engine: Any) -> None:
        self._engine = engine
        self.steps: list[Step] = []

    def __getattr__(self, name: str) -> Any:
        return getattr(self._engine, name)

    def declare(self, fact: Any) -> Any:
        """Note and pass on."""
        out = self._engine.declare(fact)
        self.steps[-1].append(("declare", out["__factid__"], dict(fact.as_dict())))
        return out

    def retract(self, fact: Any) -> None:
        """Note and pass on."""
        self.steps[-1].append(("retract", fact["__factid__"], {}))
        self._engine.retract(fact)


def timed(steps: list[Any], act: Callable[[Any], object]) -> list[float]:
    """Return the seconds of processor time each step took."""
    out = []
    for step in steps:
        start = time.process_time()
        act(step)
        out.append(time.process_time() - start)
    return out


def once(label: str, act: Callable[[], Any]) -> Any:
    """Do ``act``, print how long it took, and return its result."""
    start = time.process_time()
    out = act()
    print(f"{label:<46} {(time.process_time() - start) * 1e3:.0f} ms")
    return out


def shown(label: str, seconds: list[float]) -> None:
    """Print median and worst in milliseconds."""
    middle, worst = statistics.median(seconds) * 1e3, max(seconds) * 1e3
    print(f"{label:<46} median {middle:7.3f} ms   worst {worst:7.3f} ms")


def with_clips(book: Book, steps: list[Step]) -> tuple[float, list[float]]:
    """Return CLIPS's build seconds and seconds per answer for the same rules and facts."""
    import clips

    start = time.process_time()
    env = clips.Environment()
    fired: list[tuple[str, int]] = []
    env.define_function(lambda kind, number: fired.append((str(kind), int(number))), "record")
    env.build("(deftemplate LiteralFact (slot literal) (slot holds) (slot at) (slot epoch))")
    env.build("(deftemplate SignFact (slot sign) (slot question) (slot effect))")
    for number, way in enumerate(book.ways):
        lhs = " ".join(
            f'(LiteralFact (literal "{i}") (holds "{HOLDS[side]}") (at ?a) (epoch ?e))'
            for i, side, _ in way.wants
        )
        env.build(f"(defrule way{number} {lhs} => (record way {number}))")
    for number, row in enumerate(book.rows):
        slot = "question" if row.row is None else "effect"
        env.build(f'(defrule row{number} (SignFact ({slot} "{row.on}")) => (record row {number}))')
    built = time.process_time() - start
    facts: dict[int, Any] = {}
    templates = {n: env.find_template(n) for n in ("LiteralFact", "SignFact")}

    def act(step: Step) -> None:
        for what, number, fields in step:
            if what == "retract":
                facts.pop(number).retract()
            else:
                name = "LiteralFact" if "literal" in fields else "SignFact"
                facts[number] = templates[name].assert_fact(**fields)
        env.run()
        fired.clear()

    seconds: list[float] = []
    for _ in range(JOBS):
        env.reset()
        facts.clear()
        seconds += timed(steps, act)
    return built, seconds


def main() -> None:
    """Print the times and ratios."""
    book_library, layout = invented_library(1), two_sides(ENGINES)
    places = FakePlaces(layout)
    base = once(
        "compile: book, productions, engine",
        lambda: RuleBase.compile(book_library, layout, places),
    )
    book = base.book
    print(f"{CAUSES} causes x {ROWS} rows, {SYMPTOMS} symptoms, {ENGINES} engines")
    print(f"productions: {len(book.ways)} for symptoms, {len(book.rows)} for evidence")
    once("plain evaluator ready after", lambda: PlainRules.of(book_library, layout, places))
    once("first session (engine ready)", base.session)
    spare = once("one more engine", engine_class(book))

    spare.ready()
    spy = Spy(spare)
    session = Session(book, base.plain, spy, lambda _: None)  # type: ignore[arg-type]
    given = answers(2)

    def answer(item: tuple[int, Finding]) -> None:
        spy.steps.append([])
        session.set(*item)
        session.outcome()

    cold = timed(list(enumerate(given)), answer)
    warm: list[float] = []
    for _ in range(JOBS):
        fresh = base.session()
        warm += timed(list(enumerate(given)), lambda i: (fresh.set(*i), fresh.outcome()))  # noqa: B023 - used at once
    again = [(k, f) for k, f in enumerate(answers(3))]
    revised = timed(again, lambda i: (fresh.set(*i), fresh.outcome()))
    shown("new answer with outcome, places asked first time", cold)
    shown("new answer with outcome, places remembered", warm)
    shown("changed answer with outcome", revised)
    outcome = session.outcome()
    print(
        f"at the end: {len(outcome.symptoms)} symptoms known, {len(outcome.evidence)} evidence, "
        f"{sum(len(s.traces) for s in outcome.symptoms.values())} rules traced"
    )
    findings = dict(enumerate(given))
    assert base.plain.outcome(findings) == outcome
    shown("plain evaluator, whole job", timed([findings] * 5, base.plain.outcome))

    alone = engine_class(book)()
    alone.ready()
    facts: dict[int, Any] = {}
    kinds = {"literal": "LiteralFact", "sign": "SignFact"}
    import diagnose.rules.facts as facts_module

    def replay(step: Step) -> None:
        for what, number, fields in step:
            if what == "retract":
                alone.retract(facts.pop(number))
            else:
                name = next(n for key, n in kinds.items() if key in fields)
                facts[number] = alone.declare(getattr(facts_module, name)(**fields))
        alone.run()
        alone.fired.clear()

    engine: list[float] = []
    for _ in range(JOBS):
        alone.ready()
        facts.clear()
        engine += timed(spy.steps, replay)
    shown("engine alone", engine)
    try:
        built, clips = with_clips(book, spy.steps)
    except ImportError:
        print("clipspy is not installed: no comparison with CLIPS")
        return
    shown("CLIPS, same facts", clips)
    print(f"CLIPS build {built * 1e3:.0f} ms")
    middle = statistics.median
    print(f"ratio engine / CLIPS per answer   {middle(engine) / middle(clips):.1f}")
    print(f"ratio whole answer / CLIPS        {middle(warm) / middle(clips):.1f}")


if __name__ == "__main__":
    main()
