"""What a symptom means: states, places, unknowns, conflicts and epochs."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from rules.meaning_kit import LOW, LOW_TOO, NORMAL, NORMAL_TOO, PRESSURE, concluded, verdict
from rules.rules_kit import (
    FakePlaces,
    both,
    cause,
    found,
    library,
    lower,
    no,
    question,
    sign,
    symptom,
    two_sides,
)

from diagnose.model import AEROPLANE, Check, Finding
from diagnose.rules import PlainRules
from diagnose.rules.book import Book

# ------------------------------------------------------------------ states and unknowns


def test_a_missing_finding_is_neither_yes_nor_no() -> None:
    """Nothing is known of a symptom without a finding, nor of its opposite."""
    assert verdict(sign(PRESSURE, "low")) is None
    assert verdict(no(sign(PRESSURE, "low"))) is None


def test_not_checked_counts_as_missing() -> None:
    """The empty answer leaves the symptom unknown."""
    assert verdict(no(sign(PRESSURE, "low")), found(PRESSURE, "")) is None


def test_another_class_makes_it_known_false() -> None:
    """High is known not to be low."""
    assert verdict(sign(PRESSURE, "low"), found(PRESSURE, "high")) == "false"
    assert verdict(no(sign(PRESSURE, "low")), found(PRESSURE, "high")) == "true"


def test_any_of_several_classes_satisfies() -> None:
    """A literal with two classes is true of either."""
    assert verdict(sign(PRESSURE, "low", "high"), found(PRESSURE, "high")) == "true"


def test_only_findings_in_the_stated_settings_count() -> None:
    """A reading with the booster on says nothing of one with it off, nor does an unstated one."""
    when = sign(PRESSURE, "low", booster="off")

    assert verdict(when, found(PRESSURE, "low", booster="on")) is None
    assert verdict(when, found(PRESSURE, "low")) is None
    assert verdict(when, LOW) == "true"


def test_power_is_taken_from_the_stage() -> None:
    """A reading at run-up counts as one at high power."""
    at_run_up = Finding(PRESSURE, "engine-1", "low", type(LOW.state)(stage="run-up"))

    assert verdict(sign(PRESSURE, "low", power="high"), at_run_up) == "true"
    assert verdict(sign(PRESSURE, "low", power=("low", "mid")), at_run_up) is None


def test_one_low_reading_in_any_fitting_state_is_enough() -> None:
    """Low in one state and normal in another: the literal without a state is true, not disputed."""
    assert verdict(sign(PRESSURE, "low"), LOW, found(PRESSURE, "normal", booster="on")) == "true"


# ------------------------------------------------------------------ conflict


def test_findings_that_contradict_each_other_make_a_conflict_that_is_shown() -> None:
    """Two answers for one place and state: the symptom is in conflict and both are traced."""
    book = library([question(PRESSURE)], [symptom("s", sign(PRESSURE, "low"), warns="mind")])
    outcome = concluded(book, LOW, NORMAL)

    assert outcome.verdict("s", "engine-1") == "conflict"
    assert {t.shows for t in outcome.symptoms["s", "engine-1"].traces} == {True, False}
    assert [d.findings for d in outcome.disputes] == [(0, 1)]
    assert [(c.text, c.disputed) for c in outcome.cautions] == [("mind", True)]


def test_a_conflict_travels_up_and_names_no_cause() -> None:
    """A symptom resting on one in conflict is in conflict too, and points to nothing."""
    book = library(
        [question(PRESSURE)],
        [
            symptom("floor", sign(PRESSURE, "low")),
            symptom("s", lower("floor"), points_to=("worn",), stops="stop"),
        ],
        [cause("worn", "engine-pump", (PRESSURE, "low", "its-engine", {}))],
    )
    outcome = concluded(book, LOW, NORMAL)

    assert outcome.verdict("s", "engine-1") == "conflict"
    assert outcome.points == ()
    assert [(c.text, c.disputed) for c in outcome.stops] == [("stop", True)]


def test_an_undisputed_reading_settles_a_disputed_one() -> None:
    """Low with the booster on is undisputed: 'low at all' is true whatever the other state says."""
    when = sign(PRESSURE, "low")

    assert verdict(when, LOW, NORMAL, found(PRESSURE, "low", booster="on")) == "true"


def test_a_look_outweighs_the_others_are_normal_without_dispute() -> None:
    """'The others are normal' gives way to a reading of one of them, in either order."""
    scope = found(PRESSURE, "low", booster="off", others_normal=True)

    for findings in ((scope, LOW_TOO), (LOW_TOO, scope)):
        when = sign(PRESSURE, "low")
        assert verdict(when, *findings, spot="engine-2") == "true"


# ------------------------------------------------------------------ places


@pytest.mark.parametrize(
    ("every", "findings", "expected"),
    [
        (False, (LOW_TOO,), "true"),
        (False, (NORMAL_TOO,), None),  # engines 3 and 4 are not known
        (True, (LOW_TOO,), None),
        (True, (NORMAL_TOO,), "false"),
    ],
)
def test_one_is_enough_or_every_one_must_have_it(
    every: bool, findings: tuple[Finding, ...], expected: str | None
) -> None:
    """With other engines unknown, only what settles it settles it."""
    when = sign(PRESSURE, "low", at="other-engines", every=every)

    assert verdict(when, *findings, engines=4) == expected


def test_all_others_known_settles_both_readings() -> None:
    """All other engines known normal: none is low, and every one is normal."""
    others = [found(PRESSURE, "normal", at=f"engine-{n}") for n in (2, 3, 4)]

    assert verdict(sign(PRESSURE, "low", at="other-engines"), *others, engines=4) == "false"
    every = sign(PRESSURE, "normal", at="other-engines", every=True)
    assert verdict(every, *others, engines=4) == "true"


def test_others_normal_answers_for_every_other_engine() -> None:
    """The scope answer alone makes 'no other engine is low' known."""
    when = both(sign(PRESSURE, "low"), no(sign(PRESSURE, "low", at="other-engines")))
    scope = found(PRESSURE, "low", others_normal=True)

    assert verdict(when, scope, engines=4) == "true"


def test_a_comparison_that_cannot_be_made_stays_unknown() -> None:
    """A single-engine aeroplane has no other engine: neither 'some' nor 'every' is concluded."""
    for every in (False, True):
        when = sign(PRESSURE, "low", at="other-engines", every=every)

        assert verdict(when, LOW, engines=1) is None
        assert verdict(no(when), LOW, engines=1) is None


def test_a_place_related_only_in_a_rare_setting_need_not_be_known() -> None:
    """With the cross-feed unstated, the other engine is not waited for."""
    when = sign(PRESSURE, "low", at="engines-fed-through-it", every=True)

    assert verdict(when, LOW, at="tank", spot="tank-1") == "true"


@pytest.mark.parametrize(("share", "asked"), [(0.6, 2), (0.4, 1)])
def test_a_place_is_waited_for_when_related_half_as_much_as_the_best(
    share: float, asked: int
) -> None:
    """Related six tenths as much it must be known first; four tenths as much it need not be."""

    class Shared(FakePlaces):
        def related(
            self, part: str, relation: str, state: Mapping[str, str]
        ) -> Mapping[str, float]:
            if relation == "engines-fed-through-it":
                return {"engine-1": 1.0, "engine-2": share}
            return super().related(part, relation, state)

    literal = sign(PRESSURE, "low", at="engines-fed-through-it", every=True)
    known = library([question(PRESSURE, ("normal", "low"))], [symptom("s", literal, at="tank")])
    book = Book(known, two_sides(2), Shared(two_sides(2)))

    assert len(book.asked_places(book.number_of(literal), "tank-1")) == asked


def test_a_place_counts_where_the_stated_settings_join_it() -> None:
    """With the cross-feed open, a low engine on the other side is one fed from this tank."""
    when = sign(PRESSURE, "low", at="engines-fed-through-it")
    across = found(PRESSURE, "low", at="engine-2", crossfeed="open")

    assert verdict(when, across, at="tank", spot="tank-1") == "true"
    assert verdict(when, LOW_TOO, at="tank", spot="tank-1") is None


def test_a_reading_while_fed_from_another_tank_says_nothing_of_this_one() -> None:
    """The finding's own tank setting decides which tank's rule it counts for."""
    when = sign(PRESSURE, "low", at="engines-fed-through-it")
    on_two = found(PRESSURE, "low", tank="tank-2")

    assert verdict(when, on_two, at="tank", spot="tank-1") is None


class EitherTank(FakePlaces):
    """An engine that may draw from either tank: half and half while the tank is not stated."""

    def related(self, part: str, relation: str, state: Mapping[str, str]) -> Mapping[str, float]:
        """Return both tanks at one half, or the stated one."""
        if relation == "tanks-feeding-it":
            return {state["tank"]: 1.0} if "tank" in state else {"tank-1": 0.5, "tank-2": 0.5}
        return super().related(part, relation, state)


@pytest.mark.parametrize(
    ("every", "empty", "full", "expected"),
    [
        (False, ("tank-1",), (), None),  # it may be drawing from the other one
        (False, (), ("tank-1", "tank-2"), "false"),
        (True, ("tank-1", "tank-2"), (), "true"),
        (True, ("tank-1",), ("tank-2",), None),
    ],
)
def test_which_tank_feeds_is_never_guessed(
    every: bool, empty: tuple[str, ...], full: tuple[str, ...], expected: str | None
) -> None:
    """What both tanks share is known of the one that feeds; what only one has is not."""
    when = sign("contents", "none", at="tanks-feeding-it", every=every)
    asked = question("contents", ("some", "none"), at="tank", depends_on=())
    layout = two_sides()
    rules = PlainRules.of(library([asked], [symptom("s", when)]), layout, EitherTank(layout))
    looked = [found("contents", "none", at=t) for t in empty]
    looked += [found("contents", "some", at=t) for t in full]

    assert rules.outcome(dict(enumerate(looked))).verdict("s", "engine-1") == expected


def test_a_symptom_of_the_whole_aeroplane_is_asked_once() -> None:
    """The aeroplane is a place like any other."""
    asked = question("rain", ("no", "yes"), at=AEROPLANE)
    book = library([asked], [symptom("wet", sign("rain", "yes"), at=AEROPLANE)])
    outcome = concluded(book, found("rain", "yes", at=AEROPLANE))

    assert outcome.verdict("wet", AEROPLANE) == "true"
    assert len(outcome.symptoms) == 1


def test_what_a_check_showed_can_be_a_sign() -> None:
    """A literal may name a check; its result is a class like any other."""
    check = Check("look", "look", ("strainer",), {"clean": "", "plugged": ""}, "", 1.0, {})
    book = library(
        [question(PRESSURE)], [symptom("s", sign("look", "plugged"), at="strainer")], (), [check]
    )
    outcome = concluded(book, Finding("look", "strainer-1", "plugged", check=True))

    assert outcome.verdict("s", "strainer-1") == "true"
    assert outcome.evidence == ()


# ------------------------------------------------------------------ epochs


def test_findings_before_and_after_an_intervention_are_not_mixed() -> None:
    """Low before and normal after, with the settings of the rule, are not one observation."""
    when = both(sign(PRESSURE, "low", booster="off"), sign(PRESSURE, "normal", booster="on"))
    after = found(PRESSURE, "normal", booster="on", epoch=1)

    assert verdict(when, LOW, after) is None
    assert verdict(when, LOW, found(PRESSURE, "normal", booster="on")) == "true"


def test_the_latest_epoch_that_knows_it_gives_the_verdict() -> None:
    """After rectification the symptom is gone; what was known before is kept."""
    book = library([question(PRESSURE)], [symptom("s", sign(PRESSURE, "low"), stops="stop")])
    before = concluded(book, LOW)
    after = concluded(book, LOW, found(PRESSURE, "normal", booster="off", epoch=1))

    assert (before.verdict("s", "engine-1"), after.verdict("s", "engine-1")) == ("true", "false")
    assert [(s.epoch, s.verdict) for s in after.earlier] == [(0, "true")]
    assert (len(before.stops), len(after.stops)) == (1, 0)
    assert after.disputes == ()
