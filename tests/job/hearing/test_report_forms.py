"""What is said in other forms and another order than it is listed in is heard all the same."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench
from hypothesis import given
from hypothesis import strategies as st
from job.hearing.hearing_kit import SINGLE, heard

from diagnose.job.hearing.phrases import PhraseBook, each_way
from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.word_forms import root


def found(phrase: str, text: str, **groups: tuple[str, ...]) -> list[str]:
    """Return what of ``text`` is found for ``phrase``."""
    return [text[h.start : h.end] for h in PhraseBook([phrase], groups).found(text)]


@pytest.mark.parametrize(
    "forms",
    [
        ("surge", "surges", "surged", "surging"),
        ("drop", "drops", "dropped", "dropping"),
        ("fall", "falls", "fell", "fallen", "falling"),
        ("die", "dies", "died", "dying"),
        ("fluctuate", "fluctuates", "fluctuation", "fluctuating"),
        ("steady", "steadily"),
        ("5", "five"),
    ],
)
def test_the_forms_of_one_word_have_one_root(forms: tuple[str, ...]) -> None:
    """Regular and irregular forms are the same word, a figure the number it writes."""
    assert len({root(form) for form in forms}) == 1


@pytest.mark.parametrize(
    ("one", "other"),
    [("stick", "sticks"),
     ("drip", "drop"), ("stop", "stopped"), ("lean", "leaned"), ("fill", "full"), ("left", "leave"),
     ("even", "evening"), ("general", "generator")],
)  # fmt: skip
def test_words_that_mean_two_things_keep_two_roots(one: str, other: str) -> None:
    """A handle's stop is no engine that stopped, and lean is no mixture that was leaned."""
    assert root(one) != root(other)


@pytest.mark.parametrize(
    "text",
    ["tanks changed", "tanks were changed", "the tanks had just been changed", "tank was changing"],
)
def test_small_words_may_stand_between_the_words_of_a_phrase(text: str) -> None:
    """Auxiliaries and adverbs of time and manner change nothing in what a phrase says."""
    assert len(found("tanks changed", text)) == 1


@pytest.mark.parametrize(
    "text", ["tanks not changed", "tanks never changed", "tank, changed", "tanks in order, changed"]
)
def test_a_denial_or_a_stop_between_breaks_a_phrase(text: str) -> None:
    """What denies is never passed over, nor the end of a clause."""
    assert found("tanks changed", text) == []


def test_a_group_stands_for_each_of_its_phrases_and_a_marked_word_for_its_form_only() -> None:
    """'<to>' is any of its words; '=moved' is not 'moves'."""
    assert found("went <to> left", "it went over to the left", to=("to", "over to")) == [
        "went over to the left"
    ]
    assert found("cock =moved", "cock was moved") == ["cock was moved"]
    assert found("cock =moved", "cock moves") == []


@given(st.lists(st.sampled_from(["pressure", "fell", "tank", "<how>"]), min_size=2, max_size=4))
def test_every_way_of_saying_a_phrase_is_found(words: list[str]) -> None:
    """What ``each_way`` writes out is what the book finds."""
    groups = {"how": ("slow down", "at once")}
    phrase = " ".join(words)
    for said in each_way(phrase, groups):
        assert said in found(phrase, said, **groups)


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("Engine stopped just after the tanks had been changed over.",
         ("what-just-before", "tank-change")),
        ("It would start and then cut out straight away.", ("engine-start", "fires-then-dies")),
        ("Drop in fuel pressure in the climb.", ("fuel-pressure", "low")),
        ("Stood outside for 3 weeks, then the engine coughed.", ("days-parked", "days")),
        ("Found a wasp nest in the vent pipe.", ("vent-outlet-look", "blocked")),
        ("The pump kept running with the switch off.", ("booster-stops", "runs-on")),
    ],
)  # fmt: skip
def test_words_nobody_listed_so_are_heard(report: str, finding: tuple[str, str]) -> None:
    """Tense, number, small words and words alike make no difference."""
    assert finding in heard(report)


@pytest.mark.parametrize(
    "report",
    [
        "Engine surged. It ran well with the pump switched off.",
        "Engine faded in the climb and recovered when the nose went down.",
    ],
)
def test_what_came_with_the_recovery_is_no_onset(report: str) -> None:
    """A state in which it ran well and a moment at which it recovered brought nothing on."""
    assert "what-just-before" not in {question for question, _ in heard(report)}


def test_the_words_shown_are_the_words_told() -> None:
    """What is to be confirmed quotes the report, not the phrase it was heard by."""
    told = [s.phrase for s in hear("The fuel pressure had slowly fallen.", bench(SINGLE))]
    assert any("fallen" in phrase for phrase in told)
    (right,) = hear("Rough at idle, pressure right.", bench(SINGLE))[1:]
    assert right.phrase.endswith(" right")
    assert "all" not in right.phrase


def test_the_stick_that_is_dipped_is_no_gauge_that_sticks() -> None:
    """A reading of the stick beside a gauge says how they differ, not how the gauge moves."""
    said = heard("Left tank gauge sits at half, stick says a quarter.")
    assert set(said) == {("contents-gauge", "reads-high")}
    assert set(heard("Left tank gauge sticks.")) == {("contents-gauge", "erratic")}


def test_a_strainer_that_was_cleaned_gave_no_clean_sample() -> None:
    """Work done is no look at what came out."""
    assert heard("Strainer cleaned last week.") == []
    assert heard("Strainer clean.") == [("strainer-drain-sample", "clean")]


@pytest.mark.parametrize(
    "told",
    [
        "put the booster on and it came up",
        "booster on and it came up",
        "switched the pump on",
        "booster on and it's fine",
        "boost pump on, it is normal",
        "pump on and all well",
    ],
)
def test_a_pump_put_on_was_off_before(told: str) -> None:
    """What was low before anybody touched the pump is not taken as low with the pump on."""
    report = f"No. 4 engine fuel pressure low at the run-up, {told}."
    said = hear(report, bench("four-engine-injection"))
    low = next(s for s in said if s.value == "low")
    assert "booster" not in low.state.settings
    assert all(s.state.settings.get("booster") == "on" for s in said if s.value == "normal")


@pytest.mark.parametrize(
    "told", ["booster on, and the lamp lit", "booster on, it came up with the booster off"]
)
def test_a_pump_of_which_no_cure_is_told_was_on_all_the_while(told: str) -> None:
    """'Low at the run-up, booster on' says how it was set when it was low."""
    report = f"No. 4 engine fuel pressure low at the run-up, {told}."
    said = hear(report, bench("four-engine-injection"))
    low = next(s for s in said if s.question == "fuel-pressure" and s.value == "low")
    assert low.state.settings.get("booster") == "on"


def test_slow_to_come_up_is_not_up() -> None:
    """What takes its time or never comes is asked about, not taken as in the band."""
    told = "No. 4 engine slow to get her fuel pressure up at the run-up."
    said = [s for s in hear(told, bench("four-engine-injection")) if s.question == "fuel-pressure"]
    assert [s.value for s in said] == [""]


@pytest.mark.parametrize(
    ("report", "told"),
    [
        ("Engine died on the t/o roll.", {("stops", "take-off", "")}),
        ("Rough running at idle and low power.", {("rough", "idle", "low")}),
        ("Rough running and low power.", {("rough", "", ""), ("fades", "", "")}),
        ("Rough at idle. It clears at run-up.", {("rough", "idle", ""), ("normal", "run-up", "")}),
    ],
)  # fmt: skip
def test_a_stage_or_power_told_for_short_is_where_it_was_seen(
    report: str, told: set[tuple[str, str, str]]
) -> None:
    """'At idle and low power' tells a power; 'rough and low power' tells two troubles."""
    assert {
        (s.value, s.state.stage, s.state.settings.get("power", ""))
        for s in hear(report, bench(SINGLE))
    } == told
