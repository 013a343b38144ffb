"""The belief over causes, held against enumeration, its own laws and published examples."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import combinations

import numpy as np
import pytest
from belief.small_models import (
    PLACE,
    OnePlace,
    cause,
    library,
    likelihood,
    oracle,
    random_findings,
    random_library,
    row,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.belief import UNKNOWN, Belief, BeliefNet, Posterior
from diagnose.belief.belief import NEVER
from diagnose.model import CauseAt, Effect, Finding, Library, Produces, Question, State, Work

seeds = st.integers(0, 10**6)


def _marginals(lib: Library, findings: Sequence[Finding]) -> tuple[dict[str, float], Posterior]:
    post = Belief(BeliefNet(lib, OnePlace())).update(findings)
    out = {c.cause: m for c, m in zip(post.causes, post.marginal, strict=True)}
    out["unknown"] = out.pop(UNKNOWN.cause)
    return out, post


@given(seeds)
@settings(max_examples=60)
def test_posterior_equals_enumeration_of_every_hypothesis(seed: int) -> None:
    """Singles, pairs, grades, instruments and strangers agree with plain loops to 1e-12."""
    rng = random.Random(seed)
    lib = random_library(rng)
    findings = random_findings(rng, lib)
    ours, _ = _marginals(lib, findings)
    plain = oracle(lib, findings)
    assert ours.keys() == plain.keys()
    for name, p in plain.items():
        assert ours[name] == pytest.approx(p, abs=1e-12)


@given(seeds)
@settings(max_examples=20)
def test_likeliest_pairs_are_those_of_enumeration(seed: int) -> None:
    """The pairs listed are the ten likeliest, each with its chance to 1e-12."""
    rng = random.Random(seed)
    lib = random_library(rng, n_causes=6)
    findings = random_findings(rng, lib)
    belief = Belief(BeliefNet(lib, OnePlace()))
    assert belief.likeliest_pairs() == ()
    post = belief.update(findings)
    mass = {
        (a, b): _odds(lib, a) * _odds(lib, b) * likelihood(lib, findings, (a, b))
        for a, b in combinations(sorted(lib.causes), 2)
    }
    both = 1.0 - float(post.single.sum())
    chances = sorted((both * m / sum(mass.values()) for m in mass.values()), reverse=True)
    listed = belief.likeliest_pairs()
    assert [p for _, _, p in listed] == pytest.approx(chances[:10], abs=1e-12)
    for first, second, p in listed:
        m = mass[first.cause, second.cause]
        assert p == pytest.approx(both * m / sum(mass.values()), abs=1e-12)


def _odds(lib: Library, name: str) -> float:
    p = lib.causes[name].how_common
    return p / (1.0 - p)


@given(seeds)
@settings(max_examples=30)
def test_answers_sum_to_one_and_expected_posterior_is_the_prior(seed: int) -> None:
    """The answers to a question sum to 1 and average back to the belief held."""
    rng = random.Random(seed)
    lib = random_library(rng)
    findings = random_findings(rng, lib)[:2]
    net = BeliefNet(lib, OnePlace())
    before = Belief(net).update(findings)
    for q in lib.questions.values():
        if any(f.question == q.id for f in findings):
            continue
        total, mean = 0.0, np.zeros_like(before.marginal)
        for c in q.classes:
            then = Belief(net).update([*findings, Finding(q.id, PLACE, c, State(), "told")])
            p = math.exp(then.evidence - before.evidence)
            total += p
            mean += p * then.marginal
        assert total == pytest.approx(1.0, abs=1e-12)
        assert np.allclose(mean, before.marginal, atol=1e-12, rtol=0)


@given(seeds)
@settings(max_examples=30)
def test_order_of_answers_and_changes_of_mind_leave_no_trace(seed: int) -> None:
    """Answers in any order, changed and withdrawn on the way, end in the same belief."""
    rng = random.Random(seed)
    lib = random_library(rng, n_causes=6, n_effects=5)
    findings = random_findings(rng, lib)
    net = BeliefNet(lib, OnePlace())
    straight = Belief(net).update(findings)
    wandering = Belief(net)
    shuffled = findings[:]
    rng.shuffle(shuffled)
    for k in range(len(shuffled)):
        wrong = rng.choice(list(lib.questions[shuffled[k].question].classes))
        wandering.update(
            [*shuffled[:k], Finding(shuffled[k].question, PLACE, wrong, State(), "seen")]
        )
        wandering.update(shuffled[: k + 1])
    wandering.update([])
    again = wandering.update(shuffled)
    assert np.allclose(again.marginal, straight.marginal, atol=1e-12, rtol=0)


@given(seeds)
@settings(max_examples=20)
def test_what_a_rule_excludes_is_divided_visibly_and_reversibly(seed: int) -> None:
    """Its odds against any other are a ten-thousandth, and as before once that is taken back."""
    rng = random.Random(seed)
    lib = random_library(rng)
    findings = random_findings(rng, lib)
    belief = Belief(BeliefNet(lib, OnePlace()))
    before = belief.update(findings)
    held = belief.update(findings, never=[CauseAt("c0", PLACE)])
    i, j = (before.causes.index(CauseAt(c, PLACE)) for c in ("c0", "c1"))
    odds = [float(p.single[i] / p.single[j]) for p in (before, held)]
    assert odds[1] == pytest.approx(NEVER * odds[0], rel=1e-9)
    assert np.allclose(belief.update(findings).marginal, before.marginal, atol=1e-12, rtol=0)


@given(seeds)
@settings(max_examples=20)
def test_not_checked_drops_out(seed: int) -> None:
    """'Not checked' says nothing, wherever it stands among the findings."""
    rng = random.Random(seed)
    lib = random_library(rng)
    findings = random_findings(rng, lib)
    blank = Finding(next(iter(lib.questions)), PLACE, "", State(), "seen")
    have, _ = _marginals(lib, findings)
    with_blank, _ = _marginals(lib, [blank, *findings])
    assert with_blank == pytest.approx(have, abs=1e-15)


def test_few_slots_for_pairs_report_the_mass_left_out() -> None:
    """When not every cause is taken into pairs the bound on what was left out is stated."""
    rng = random.Random(7)
    lib = random_library(rng, n_causes=8)
    findings = random_findings(rng, lib)
    net = BeliefNet(lib, OnePlace())
    full = Belief(net).update(findings)
    few = Belief(net, paired=4).update(findings)
    assert full.left_out == 0.0
    assert few.paired == 4
    assert 0.0 < few.left_out < 1.0
    assert np.abs(few.marginal - full.marginal).sum() <= 4.0 * few.left_out + 1e-9


def test_swapping_causes_in_and_out_of_the_pairs_is_exact() -> None:
    """A block that changes its causes as answers come equals one that began with them."""
    rng = random.Random(3)
    lib = random_library(rng, n_causes=12, n_effects=6)
    net = BeliefNet(lib, OnePlace())
    findings = random_findings(rng, lib)
    moving = Belief(net, paired=5)
    for k in range(len(findings) + 1):
        moving.update(findings[:k])
    held = [c for c in moving._block.slots.tolist() if c >= 0]
    fresh = Belief(net, paired=5)
    fresh._block.choose(np.array(sorted(held)), ())
    fresh.update(findings)
    one, two = moving.update(findings), fresh.update(findings)
    assert sorted(c for c in fresh._block.slots.tolist() if c >= 0) == sorted(held)
    assert np.allclose(one.marginal, two.marginal, atol=1e-12, rtol=0)


# ------------------------------------------------------------------ published examples


def _coin_library(p_unbiased: float, tosses: int) -> Library:
    effects = [
        Effect(f"toss{k}", "", ("engine",), ("tails", "heads"), {"heads": 0.01})
        for k in range(tosses)
    ]
    exact = {"tails": {"tails": 1.0, "heads": 0.0}, "heads": {"tails": 0.0, "heads": 1.0}}
    questions = [
        Question(f"toss{k}", "", "", f"toss{k}", ("engine",), {"tails": "", "heads": ""}, exact)
        for k in range(tosses)
    ]

    def heads(p: float) -> list[Produces]:
        net = 1 - (1 - p) / 0.99  # net of the background
        often = dict.fromkeys(("slight", "half", "severe"), net)
        return [row(e.id, "heads", often) for e in effects]

    rare = 1e-4 * p_unbiased / (1 - p_unbiased)
    return library(
        effects,
        questions,
        [
            cause("unbiased", p_unbiased, heads(0.49)),
            cause("double-headed", rare / (1 + rare), heads(0.98)),
        ],
    )


@pytest.mark.outside
def test_twenty_heads_are_worth_sixty_decibans() -> None:
    """General Report on Tunny (1945) sec. 21: twenty heads turn 1:10 000 into 104.86:1."""
    lib = _coin_library(0.2, 20)
    post = Belief(BeliefNet(lib, OnePlace())).update(
        [Finding(f"toss{k}", PLACE, "heads", State(), "measured") for k in range(20)]
    )
    single = {c.cause: p for c, p in zip(post.causes, post.single, strict=True)}
    odds = single["double-headed"] / single["unbiased"]
    assert odds == pytest.approx(104.8576, rel=1e-9)
    assert 10 * math.log10(odds) == pytest.approx(20.2060, abs=1e-4)


@pytest.mark.outside
@pytest.mark.parametrize(("answer", "posterior"), [("yes", 0.90271), ("no", 0.00615)])
def test_sufficiency_and_necessity_ratios_move_odds_as_published(
    answer: str, posterior: float
) -> None:
    """Duda, Hart & Nilsson (1976): .03 with LS 300, LN .2 gives .90271, .00615 (from memory)."""
    f = 0.8 / 299.8
    h = 300 * f
    net_rate = 1 - (1 - h) / (1 - f)
    effect = Effect("e", "", ("engine",), ("no", "yes"), {"yes": f})
    q = Question(
        "q",
        "",
        "",
        "e",
        ("engine",),
        {"no": "", "yes": ""},
        {"no": {"no": 1.0, "yes": 0.0}, "yes": {"no": 0.0, "yes": 1.0}},
    )
    lib = library(
        [effect],
        [q],
        [
            cause(
                "h",
                0.03 * 1e-3,
                [row("e", "yes", dict.fromkeys(("slight", "half", "severe"), net_rate))],
            ),
            cause("other", 0.03 * 1e-3),
        ],
    )
    belief = Belief(BeliefNet(lib, OnePlace()))
    belief.update([Finding("q", PLACE, answer, State(), "measured")])
    ((_, ratio),) = belief.weight_of(CauseAt("h", PLACE))
    odds = 0.03 / 0.97 * ratio
    assert odds / (1 + odds) == pytest.approx(posterior, abs=5e-6)


FEVER = [  # cold, flu, malaria -> P(fever); published lecture table after Pearl (1988)
    ("", 0.0),
    ("malaria", 0.9),
    ("flu", 0.8),
    ("flu malaria", 0.98),
    ("cold", 0.4),
    ("cold malaria", 0.94),
    ("cold flu", 0.88),
    ("cold flu malaria", 0.988),
]


@pytest.mark.outside
@pytest.mark.parametrize(("present", "fever"), FEVER)
def test_noisy_or_gives_the_published_fever_table(present: str, fever: float) -> None:
    """Inhibitors cold .6, flu .2, malaria .1 give the eight published rows (Pearl 1988, ch. 4)."""
    from belief.small_models import distribution

    from diagnose.belief.net import Table, value_given_cause

    net = {"cold": 0.4, "flu": 0.8, "malaria": 0.9}
    named = present.split()
    effect = Effect("fever", "", ("engine",), ("no", "yes"), {"yes": 0.0})
    by_oracle = distribution(effect, [{"yes": net[n]} for n in named]) if named else {"yes": 0.0}
    assert by_oracle["yes"] == pytest.approx(fever, abs=1e-12)
    if len(named) == 1:
        table = Table(("no", "yes"), np.zeros(1), np.array([0]), np.zeros((1, 3, 1)))
        assert value_given_cause(table, np.array([[net[named[0]]]]))[0, 1] == pytest.approx(fever)


def test_absent_sign_leaves_two_faults_independent() -> None:
    """A leaky noisy-OR gives no explaining-away when the sign is seen absent (known property)."""
    from diagnose.belief.factors import factor
    from diagnose.signs import signs_of

    lib = random_library(random.Random(5), n_effects=1)
    effect = lib.effects["e0"]
    q = Question(
        "q",
        "",
        "",
        "e0",
        ("engine",),
        {v: v for v in effect.values},
        {v: {w: float(v == w) for w in effect.values} for v in effect.values},
    )
    lib = library([effect], [q], [c for c in lib.causes.values() if not c.distorts])
    net = BeliefNet(lib, OnePlace())
    belief = Belief(net)
    sign = signs_of([Finding("q", PLACE, "normal", State(), "measured")], lib, net.layout)
    f = factor(net, sign, frozenset(), belief.prior.prior)
    rows = np.arange(len(f.active))
    assert np.allclose(f.pair(rows, rows), 1.0)


def test_work_since_the_last_good_run_lifts_the_odds_and_says_so() -> None:
    """Work at a kind of part a cause names raises that cause, by the stated factor."""
    lib = library([], [], [cause("worked-on", 0.03), cause("other", 0.03)])
    object.__setattr__(lib.causes["worked-on"], "after_work", ("engine",))
    net = BeliefNet(lib, OnePlace())
    plain = Belief(net).update([])
    belief = Belief(net, [Work("pump changed", "engine")])
    lifted = belief.update([])
    ratio = (lifted.single[0] / lifted.single[1]) / (plain.single[0] / plain.single[1])
    assert ratio == pytest.approx(10.0)
    assert belief.prior.lifted[0] == (10.0, "pump changed")


def test_rectified_cause_acts_no_more_in_the_next_epoch() -> None:
    """A fault that was found and mended explains the old signs but not the new ones."""
    effect = Effect("e", "", ("engine",), ("normal", "low"), {"low": 0.001})
    show = {"normal": {"normal": 0.999, "low": 0.001}, "low": {"normal": 0.001, "low": 0.999}}
    q = Question("q", "", "", "e", ("engine",), {"normal": "", "low": ""}, show)
    often = dict.fromkeys(("slight", "half", "severe"), 0.9)
    lib = library(
        [effect],
        [q],
        [cause("a", 0.03, [row("e", "low", often)]), cause("b", 0.003, [row("e", "low", often)])],
    )
    belief = Belief(BeliefNet(lib, OnePlace()))
    low = Finding("q", PLACE, "low", State(), "measured")
    still = Finding("q", PLACE, "low", State(), "measured", epoch=1)
    first = belief.update([low])
    assert first.ranking()[0][0].cause == "a"
    then = belief.update([low, still], rectified={CauseAt("a", PLACE): 1})
    marginal = {c.cause: m for c, m in zip(then.causes, then.marginal, strict=True)}
    assert marginal["b"] > 0.9 * (1 - marginal[UNKNOWN.cause])
