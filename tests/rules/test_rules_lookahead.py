"""Why not, and what would change it."""

from __future__ import annotations

from rules.rules_kit import (
    FakePlaces,
    both,
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

from diagnose.model import Literal
from diagnose.rules import PlainRules, what_would_change, why_not

LAYOUT = two_sides()
BOOK = library(
    [question("pressure", ("normal", "low", "high")), question("lamp", ("out", "lit"))],
    [
        symptom("starved", both(sign("pressure", "low", booster="off"), sign("lamp", "lit"))),
        symptom(
            "s",
            either(
                both(lower("starved"), no(lower("starved", at="other-engines"))),
                sign("pressure", "high"),
            ),
        ),
    ],
)
RULES = PlainRules.of(BOOK, LAYOUT, FakePlaces(LAYOUT))


def test_why_not_lists_what_each_way_lacks_fewest_first() -> None:
    """With the reading high known to be false, each way shows what is missing and what is known."""
    findings = {0: found("pressure", "low", booster="off"), 1: found("lamp", "lit")}
    short = why_not(RULES, findings, "s", "engine-1", 0)

    lacks = [
        [(m.atom.name, m.wanted, m.now) for m in s.missing if isinstance(m.atom, Literal)]
        for s in short
    ]
    assert lacks == [
        [("starved", False, "unknown")],
        [("pressure", True, "false")],
    ]


def test_why_not_of_a_true_symptom_shows_a_way_that_lacks_nothing() -> None:
    """A way that fired has no missing literals."""
    short = why_not(RULES, {0: found("pressure", "high")}, "s", "engine-1", 0)

    assert short[0].missing == ()


def test_what_would_change_names_answers_that_do_change_it_and_no_others() -> None:
    """Each answer listed, given for real, changes the verdict as told; all others do not."""
    findings = {0: found("pressure", "low", booster="off")}
    answers = what_would_change(RULES, findings, "starved", "engine-1", 0)

    assert {(a.finding.question, a.finding.value, a.key, a.after) for a in answers} == {
        ("lamp", "lit", None, "true"),
        ("lamp", "out", None, "false"),
        ("pressure", "normal", 0, "false"),
        ("pressure", "high", 0, "false"),
    }
    for answer in answers:
        given = {**findings, 9 if answer.key is None else answer.key: answer.finding}
        assert RULES.outcome(given).verdict("starved", "engine-1") == answer.after


def test_what_would_change_looks_through_lower_symptoms_and_to_other_places() -> None:
    """The answer that settles 's' is a look at the other engine's lamp."""
    findings = {0: found("pressure", "low", booster="off"), 1: found("lamp", "lit")}
    answers = what_would_change(RULES, findings, "s", "engine-1", 0)

    found_out = {(a.finding.question, a.finding.at, a.finding.value, a.after) for a in answers}
    assert ("lamp", "engine-2", "out", "true") in found_out


def test_a_sign_is_asked_for_where_the_state_it_names_relates_it() -> None:
    """With the cross-feed open a tank feeds both engines; left open which, its own comes first."""
    fed = "engines-fed-through-it"
    asked = {}
    for state in ({"crossfeed": "open"}, {"crossfeed": ("open", "shut")}):
        literal = sign("pressure", "low", at=fed, **state)
        rules = PlainRules.of(
            library([question("pressure")], [symptom("s", literal, at="tank")]),
            LAYOUT,
            FakePlaces(LAYOUT),
        )
        answers = what_would_change(rules, {}, "s", "tank-1", 0)
        asked[state["crossfeed"]] = {a.finding.at for a in answers}
    assert asked["open"] == {"engine-1", "engine-2"}
    assert asked["open", "shut"] == {"engine-1"}
