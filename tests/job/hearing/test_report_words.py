"""The report in free words: what is heard in it, where, in which state, and what never is."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench, library
from hypothesis import given
from hypothesis import strategies as st
from job.hearing.hearing_kit import FOUR, SINGLE, heard, one

from diagnose.job.hearing.clauses import clauses
from diagnose.job.hearing.phrases import each_way
from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.vocabulary import ITS

MOST = 2
"""Ways of saying a phrase that are tried, at most."""


@pytest.mark.parametrize(
    ("report", "findings"),
    [
        ("Engine faded in the climb", [("engine-behaviour", "fades")]),
        ("Fuel pressure sagged", [("fuel-pressure", "low")]),
        ("Pressure steady, gauge reads high",
         [("fuel-pressure", "normal"), ("contents-gauge", "reads-high")]),
        ("Stain behind the cap and it stinks of petrol in the cabin",
         [("tank-stains", "behind-cap"), ("fuel-smell", "cabin")]),
        ("No smell, no leaks", [("fuel-smell", "none"), ("engine-bay-leak", "dry")]),
    ],
)  # fmt: skip
def test_plain_sentences_are_heard(report: str, findings: list[tuple[str, str]]) -> None:
    """What is said of a thing is taken for the class of the question that asks after it."""
    assert sorted(heard(report)) == sorted(findings)


def test_every_phrase_of_the_knowledge_is_heard_beside_its_subject() -> None:
    """A phrase written under 'heard' reaches its own question, whatever else it may mean."""
    deaf = []
    for q in library().questions.values():
        for value, phrases in q.heard.items():
            for phrase in (p.removeprefix(ITS) for p in phrases):
                names = (q.title, *q.also_called)
                ways = list(each_way(phrase, library().words.amounts))[:MOST]
                lines = [f"{n} {p}." for n in names for p in ways]
                # what asks about the trouble itself is heard where some is told
                said = (lines[0], *(f"{line} Engine quit." for line in lines))
                if not any((q.id, value) in heard(line, FOUR) for line in said):
                    deaf.append((q.id, value, phrase))
    assert deaf == []


def test_a_denial_is_asked_about_and_never_taken() -> None:
    """'Did not recover' must not become 'recovered'."""
    found = one("The engine never picked up", "engine-behaviour")
    assert found.negated
    assert found.value == ""


def test_a_phrase_with_a_joining_word_is_one_clause() -> None:
    """'Comes and goes' is not cut at its 'and'; what follows still is."""
    assert heard("It comes and goes, fuel pressure low") == [
        ("when-it-comes", "comes-and-goes"),
        ("fuel-pressure", "low"),
    ]


@pytest.mark.parametrize(
    ("told", "all_normal"),
    [
        ("others steady", True),
        ("the other three fine", True),
        ("the rest OK", True),
        ("with the others in the band", True),
        ("other two fine", False),  # there are three
        ("the others are not right either", False),
        ("the other engines too", False),
    ],
)
def test_what_is_told_of_the_others_stands_on_the_finding_before_it(
    told: str, all_normal: bool
) -> None:
    """All of them normal is heard as that; anything else is asked about, and never taken."""
    found = hear(f"No. 3 pressure low at run-up, {told}", bench(FOUR))
    assert [(s.value, s.places) for s in found if s.value] == [("low", ("no3-engine",))]
    assert found[0].others_normal is all_normal
    assert [s.asks for s in found[1:]] == ([] if all_normal else [("fuel-pressure",)])


def test_what_is_told_in_between_of_good_readings_takes_no_others_with_it() -> None:
    """'Low. Idle was fine. The other three steady': the others stand beside what was amiss."""
    found = hear(
        "No. 2 pressure low at run-up. Idle was fine. The other three steady.", bench(FOUR)
    )
    assert [(s.value, s.others_normal) for s in found] == [("low", True), ("normal", False)]


def test_what_brought_it_on_takes_no_others_with_it() -> None:
    """'The other three steady' is said of the pressure, not of the power that was opened."""
    report = (
        "No. 2 gauge 11 psi and sagging as power went up. Idle was fine. The other three steady."
    )
    said = {s.question: s for s in hear(report, bench("four-engine-injection"))}
    assert said["fuel-pressure"].others_normal
    assert said["what-just-before"].value == "power-increase"


def test_what_the_others_do_is_not_said_of_the_part_that_was_named() -> None:
    """'The others light' does not light the lamp that stayed dark; lamps out are normal ones."""
    dark = hear("No. 2 pressure low. The others light.", bench(FOUR))
    assert [s.value for s in dark] == ["low", ""]
    assert one("No. 2 lamp lit, the others out", "pressure-lamp", FOUR).others_normal


@pytest.mark.parametrize(
    "report",
    ["Picked up on the other tank", "Fuelled at the other field", "The rest of the flight"],
)
def test_not_every_other_is_the_others(report: str) -> None:
    """Another tank, another field, the rest of a flight say nothing of other parts."""
    found = hear(f"Engine faded, {report.lower()}", bench(FOUR))
    assert not any(s.others_normal or s.means == "said of the others" for s in found)


def test_lost_power_is_heard_open() -> None:
    """It is told of fading and of stopping alike; 'slowly' settles it."""
    assert one("Lost all power in the climb", "engine-behaviour").one_of == ("fades", "stops")
    assert one("Lost power in the climb", "engine-behaviour").one_of == ("fades", "stops")
    slowly = one("Lost power slowly in the climb", "engine-behaviour")
    assert (slowly.value, slowly.one_of) == ("fades", ())


def test_the_battery_switched_on_lights_no_lamp() -> None:
    """'Dark with the battery on' must not be heard as a lamp that is on."""
    found = hear("No. 2 fuel pressure lamp dark with the battery on", bench(FOUR))
    assert ("pressure-lamp", "lit") not in {(s.question, s.value) for s in found}


def test_two_parts_told_together_are_both_meant() -> None:
    """'No. 1 and no. 2 low' is of both engines, the others are the two that are left."""
    found = one("No. 1 and no. 2 pressure low, other two steady", "fuel-pressure", FOUR)
    assert found.places == ("no1-engine", "no2-engine")
    assert found.others_normal


@pytest.mark.parametrize(
    ("report", "question", "places"),
    [
        ("One of the two lamps on the port side came on", "pressure-lamp", ("1", "2")),
        ("No. 3 or no. 4 engine coughed and picked up", "engine-behaviour", ("3", "4")),
        ("No. 1 or 2 pressure low, he cannot say which", "fuel-pressure", ("1", "2")),
        ("One of the three lamps came on", "pressure-lamp", ()),  # there are four: asked
    ],
)
def test_one_of_several_places_is_heard_as_that(
    report: str, question: str, places: tuple[str, ...]
) -> None:
    """The parts it may be are kept, and it is taken to be at none of them for sure."""
    said = one(report, question, FOUR)
    assert said.one_of_places == tuple(f"no{n}-engine" for n in places)
    assert said.places == ()


def test_one_of_something_else_names_no_place() -> None:
    """'One of the crew' is no engine; 'selected left or right' leaves the single engine alone."""
    assert not any(s.one_of_places for s in hear("One of the crew smelt fuel", bench(FOUR)))
    assert one("Selected left or right, engine faded", "engine-behaviour").places == ("engine",)


@pytest.mark.parametrize(
    ("report", "layout", "places"),
    [
        ("Both engines surged", "low-wing-twin", {"no1-engine", "no2-engine"}),
        ("Both port engines surged", "four-engine-injection", {"no1-engine", "no2-engine"}),
        ("All the engines surged", "low-wing-twin", {"no1-engine", "no2-engine"}),
        ("Both engines surged", "four-engine-injection", set()),  # which two is asked
        ("All four engines surged", "low-wing-twin", set()),  # it has no four
    ],
)
def test_both_and_all_name_as_many_as_there_are(report: str, layout: str, places: set[str]) -> None:
    """What is told of both or all is told of each, if the layout has so many, else nowhere."""
    assert set(one(report, "engine-behaviour", layout).places) == places


def test_a_place_at_the_end_of_a_clause_is_heard() -> None:
    """'Low on no. 2' names the engine as 'no. 2 low' does."""
    assert one("Fuel pressure low on no. 2", "fuel-pressure", FOUR).places == ("no2-engine",)


def test_a_number_is_no_denial() -> None:
    """'No. 2' is an engine: what is said of it stands."""
    found = one("No. 2 pressure low", "fuel-pressure", FOUR)
    assert (found.value, found.places) == ("low", ("no2-engine",))


def test_the_same_words_name_engine_or_tank_as_the_question_needs() -> None:
    """'Port inner' is a tank where a level is told and an engine where a pressure is."""
    level = one("Port inner went down overnight", "contents-trend-parked", FOUR)
    pressure = one("Port inner pressure low", "fuel-pressure", FOUR)
    assert (level.places, pressure.places) == (("port-inner-tank",), ("no2-engine",))


def test_a_place_nobody_named_stays_open() -> None:
    """On four engines 'pressure low' has no place until the person gives it."""
    assert one("Pressure low at run-up", "fuel-pressure", FOUR).places == ()


def test_a_place_named_unclearly_is_not_taken_from_another_sentence() -> None:
    """'Tip tank' fits two tanks: the one tank named elsewhere is not put in its stead."""
    report = "Tip tank will not transfer. Right main went down like a stone"
    found = hear(report, bench("low-wing-single-tip-tanks"))
    assert [(s.value, s.places) for s in found] == [
        ("stays", ()),
        ("falls-fast", ("right-main-tank",)),
    ]


def test_opinions_lead_to_questions() -> None:
    """'Vapour lock' is asked about, with the trap said."""
    (found,) = hear("Vapour lock again", bench(SINGLE))
    assert found.value == ""
    assert found.asks
    assert found.trap


def test_another_pressure_is_not_fuel_pressure() -> None:
    """Oil pressure down says nothing of the fuel."""
    assert ("fuel-pressure", "low") not in heard("Oil pressure down")


@given(st.text(max_size=200))
def test_any_text_is_read_without_falling_over(report: str) -> None:
    """Whatever is typed, hearing ends and every clause is plain text."""
    hear(report, bench(SINGLE))
    assert all(c.text == " ".join(c.text.split()) for c in clauses(report))


@given(st.sampled_from(["", " Hot day.", " Ran well afterwards."]), st.booleans())
def test_what_is_said_elsewhere_takes_nothing_away(more: str, before: bool) -> None:
    """A further sentence adds findings; it never changes those of another."""
    base = "Engine surged in the climb."
    report = f"{more} {base}" if before else f"{base}{more}"
    assert set(heard(base)) <= set(heard(report))


@pytest.mark.parametrize("told", ["won't", "wont", "won\N{RIGHT SINGLE QUOTATION MARK}t"])
def test_a_shortened_not_is_heard_with_and_without_its_apostrophe(told: str) -> None:
    """'Wont start' is 'will not start', and a pressure that 'isnt low' is not low."""
    assert heard(f"Engine {told} start") == [("engine-start", "no-start")]
    assert one("Pressure isnt low", "fuel-pressure").negated


def test_what_was_well_tells_no_onset() -> None:
    """'Fine when opened up' is not what brought the trouble on; 'pops when opened up' may be."""
    assert ("what-just-before", "power-increase") not in heard("Fine when opened up")
    assert ("what-just-before", "power-increase") in heard("Pops back when opened up")


@pytest.mark.parametrize(
    ("told", "value", "psi"),
    [("about 9 psi", "low", 9.0), ("16 pounds", "normal", 16.0), ("9.0 lbs", "low", 9.0)],
)
def test_a_figure_beside_its_subject_is_a_reading(told: str, value: str, psi: float) -> None:
    """A pressure told with its unit is classed by the layout's limit and keeps its number."""
    found = one(f"No. 3 fuel pressure {told} at the run-up", "fuel-pressure", FOUR)
    assert (found.value, found.places) == (value, ("no3-engine",))
    assert found.number == pytest.approx(psi * 6894.757, rel=1e-6)


def test_a_figure_of_another_kind_or_without_limit_concludes_nothing() -> None:
    """Gallons are no pressure, and a bare number is no figure."""
    for told in ("4 imp gal", "9", "2300 rpm"):
        assert ("fuel-pressure", "low") not in heard(f"No. 3 fuel pressure {told}", FOUR)


def test_a_phrase_inside_a_longer_one_is_not_heard_by_itself() -> None:
    """A breaker that keeps popping is no engine popping back."""
    assert heard("Breaker keeps popping") == [("pump-breaker", "out-again")]
    assert heard("Popping in the exhaust") != []


@pytest.mark.parametrize(
    ("report", "layout", "finding"),
    [
        ("pump dont buzz no more", "low-wing-single-electric", ("booster-noise", "silent")),
        ("port main down twice as fast", "low-wing-twin", ("contents-trend-running", "falls-fast")),
        ("it drips from the pump", SINGLE, ("pump-drain-wet", "wet")),
        ("she wouldnt fire", SINGLE, ("engine-start", "no-start")),
    ],
)  # fmt: skip
def test_the_words_of_the_apron_are_heard(
    report: str, layout: str, finding: tuple[str, str]
) -> None:
    """As people say it, without apostrophes and with more than one 'no'."""
    assert finding in heard(report, layout)


def test_sides_are_heard_as_they_are_written_short() -> None:
    """'Stbd' and 'LH' are sides as 'starboard' and 'left' are."""
    here = bench("low-wing-twin")
    for words, place in (("Stbd engine quit.", "no2-engine"), ("LH engine quit.", "no1-engine")):
        assert [s.places for s in hear(words, here)] == [(place,)]
