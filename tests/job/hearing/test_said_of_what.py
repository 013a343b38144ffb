"""What a word is said of: the engine, its pump, a gauge, a person or what was amiss before."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench, library
from job.hearing.hearing_kit import heard

from diagnose.job.hearing.clauses import clauses
from diagnose.job.hearing.not_heard import not_heard
from diagnose.job.hearing.phrases import PhraseBook, steps
from diagnose.job.hearing.report_words import hear, listened
from diagnose.job.hearing.vocabulary import ITS, in_our_form

SINGLE, TWIN, FOUR = "low-wing-single", "low-wing-twin", "four-engine-injection"


def told(report: str, layout: str) -> set[tuple[str, str]]:
    """Return the question and the class of all that is heard."""
    return {(s.question, s.value) for s in hear(report, bench(layout))}


def at(report: str, layout: str, question: str, value: str) -> list[tuple[str, ...]]:
    """Return where ``value`` of ``question`` is heard."""
    said = hear(report, bench(layout))
    return [s.places for s in said if (s.question, s.value) == (question, value)]


@pytest.mark.parametrize(
    ("report", "layout", "value"),
    [
        ("Left fuel gauge reads zero.", TWIN, "pegged-empty"),
        ("Starboard fuel needle stuck at full.", TWIN, "pegged-full"),
    ],
)
def test_a_fuel_gauge_is_a_contents_gauge_whatever_is_named_with_it(
    report: str, layout: str, value: str
) -> None:
    """A side or a number that an engine has as well makes no pressure gauge of it."""
    questions = {q for q, _ in told(report, layout)}
    assert ("contents-gauge", value) in told(report, layout)
    assert "fuel-pressure" not in questions


@pytest.mark.parametrize(
    "pump",
    ["engine pump", "engine-driven pump", "engine driven fuel pump", "engine fuel pump",
     "mechanical pump"],
)  # fmt: skip
def test_nothing_is_heard_of_the_electric_pump_where_the_engines_own_is_named(pump: str) -> None:
    """'Engine pump noisy' is said of no electric pump, however it is written."""
    assert not {q for q, _ in told(f"{pump} noisy.", SINGLE)} & {"booster-noise"}
    assert ("booster-noise", "loud") in told("Electric pump noisy.", SINGLE)


@pytest.mark.parametrize(
    ("report", "said", "unsaid"),
    [
        ("Pump's gone dead.", ("booster-noise", "silent"), "engine-behaviour"),
        ("Pressure light flickers, stops when I lean.", ("", ""), "mixture-signs"),
        ("Light out on the hand pump, lit as soon as I stopped.", ("", ""), "engine-behaviour"),
        ("LH tank OK.", ("", ""), "tank-drain-sample"),
        ("Sat on the apron half an hour after landing, then quit.", ("engine-behaviour", "stops"),
         "good-running-before"),
    ],
)  # fmt: skip
def test_a_word_is_said_of_what_stands_before_it(
    report: str, said: tuple[str, str], unsaid: str
) -> None:
    """What a pump or a person did is no word of the engine, and standing is no running."""
    heard = told(report, "radial-single-hand-pump" if "ight" in report else SINGLE)
    assert said in {("", ""), *heard}
    assert unsaid not in {q for q, _ in heard}


def test_well_of_other_engines_goes_back_to_the_instrument_that_was_amiss() -> None:
    """'Nos. 1 and 2 steady' behind 'no. 3 runs well' speaks of the pressure still."""
    report = "No. 3 fuel pressure swinging, engine running normally, nos. 1 and 2 steady."
    assert at(report, FOUR, "fuel-pressure", "normal") == [("no1-engine", "no2-engine")]
    also = "No. 3 fuel pressure swinging, no. 1 engine well."
    assert at(also, FOUR, "engine-behaviour", "normal") == [("no1-engine",)]


def test_a_tank_put_on_takes_no_engine_away() -> None:
    """What came right on another tank is said of the engines that were amiss on the first."""
    report = "Both port engines surged on the middle. Selected inner, both ran sweet."
    assert at(report, FOUR, "engine-behaviour", "normal") == [("no1-engine", "no2-engine")]
    back = "Port engine died on the aux. Back to main and it ran. Starboard ran on."
    port, starboard = (s for s in hear(back, bench(TWIN)) if s.value == "normal")
    assert (port.places, dict(port.state.settings)) == (("no1-engine",), {"tank": "port-main-tank"})
    assert (starboard.places, dict(starboard.state.settings)) == (("no2-engine",), {})


@pytest.mark.parametrize(
    "report",
    [
        "Faded in the climb. Changed tanks, no different.",
        "Surged. Pump on, no different.",
    ],
)
def test_no_different_after_something_amiss_is_no_good_running(report: str) -> None:
    """What was tried in vain leaves the engine as it was."""
    assert ("engine-behaviour", "normal") not in told(report, SINGLE)


def test_a_short_is_is_written_out() -> None:
    """'The right one's fine' names the right one."""
    report = "Left fuel gauge reads zero. Right one's fine."
    assert at(report, SINGLE, "contents-gauge", "agree") == [("right-tank",)]
    assert at("Number three's surging.", FOUR, "engine-behaviour", "surges") == [("no3-engine",)]


def test_what_it_is_held_against_is_not_what_it_is_said_of() -> None:
    """'Its flow was below no. 2's' is said of the engine before it."""
    report = "No. 1 faded and its flow was below no. 2's."
    assert at(report, TWIN, "flow-indication", "low") == [("no1-engine",)]


def test_the_second_time_of_good_running_counts_from_a_change() -> None:
    """'Fine for forty minutes, then I changed tanks and a minute later it quit' ran long."""
    report = "Fine for forty minutes, then I changed to the left and a minute later it quit."
    heard = told(report, SINGLE)
    assert ("good-running-before", "long") in heard
    assert ("good-running-before", "minutes") not in heard


@pytest.mark.parametrize(
    ("report", "question", "value"),
    [
        ("Two hours in, she started to fade.", "good-running-before", "long"),
        ("It stinks of petrol in here.", "fuel-smell", "cabin"),
        ("She coughed, put the pump on, and off she went again.", "engine-behaviour", "normal"),
        ("FF fluctuating in the cruise.", "flow-indication", "hunting"),
        ("Drained the right and got a cupful of water.", "tank-drain-sample", "water"),
        ("Checked the strainer and it's dry.", "strainer-drip", "dry"),
    ],
)
def test_it_is_heard_as_people_say_it(report: str, question: str, value: str) -> None:
    """Turns of phrase that were not heard before."""
    layout = "low-wing-single-injected"
    assert (question, value) in told(report, layout)


@pytest.mark.parametrize(
    ("report", "said", "unsaid"),
    [
        ("Fires, runs three seconds and dies.", ("engine-start", "fires-then-dies"),
         ("engine-behaviour", "stops")),
        ("Lamp lit at taxi, went out when he opened up.", ("pressure-lamp", "out"),
         ("what-just-before", "power-increase")),
        ("Left cap off and it hissed.", ("cap-hiss", "suction"), ("cap-as-found", "missing")),
    ],
)  # fmt: skip
def test_what_tells_of_another_answer_gives_none_of_its_own(
    report: str, said: tuple[str, str], unsaid: tuple[str, str]
) -> None:
    """An engine that dies on the prime was not running, and a cap taken off was not found off."""
    heard = told(report, "radial-single-hand-pump")
    assert said in heard
    assert unsaid not in heard


def test_coming_down_is_the_descent() -> None:
    """A stage may be told by a verb."""
    (said,) = hear("Coming down she faded.", bench(SINGLE))
    assert said.state.stage == "descent"


def test_a_level_may_stand_behind_the_dipping() -> None:
    """'I dipped it and there is barely a quarter' is held against the gauge."""
    gauge = "Right gauge still says half but I dipped it and there's barely a quarter."
    assert ("contents-gauge", "reads-high") in told(gauge, SINGLE)
    other = "Left gauge stood at a quarter. The stick says two gallons, and the right is full."
    assert "contents-gauge" not in {q for q, _ in told(other, SINGLE)}


def test_no_phrase_says_again_what_another_of_its_class_says() -> None:
    """A phrase is found in every form of its words, so that one of them is enough."""
    forms = library().words.forms
    again = []
    for q in library().questions.values():
        for value, phrases in q.heard.items():
            alone = {steps(in_our_form(p, forms)) for p in phrases if " " in p and ITS not in p}
            seen: set[tuple[bool, tuple[str, ...]]] = set()
            for phrase in phrases:
                its = ITS in phrase
                by = steps(in_our_form(phrase.removeprefix(ITS), forms))
                if (its, by) in seen or (its and by in alone):
                    again.append((q.id, value, phrase))
                seen.add((its, by))
    assert again == []


@pytest.mark.parametrize(
    "report",
    ["No. 3 engine fuel pressure normal.", "Fuel pressure normal on no. 3 engine.",
     "No. 3 engine fuel pressure steady."],
)  # fmt: skip
def test_the_pressure_of_an_engine_that_is_named_is_no_running_of_it(report: str) -> None:
    """'Normal' is said of the pressure it stands beside."""
    assert at(report, FOUR, "fuel-pressure", "normal") == [("no3-engine",)]
    assert ("engine-behaviour", "normal") not in told(report, FOUR)


def test_a_handle_that_springs_back_binds_and_is_not_loose() -> None:
    """Swollen seals push it back; a loose one stays where it falls."""
    assert ("cock-handle", "stiff") in heard("The selector handle springs back.")


def test_a_gasket_named_in_work_is_no_leak() -> None:
    """'Strainer gasket renewed' tells of work, and nothing of where it is wet."""
    assert "where-wet-first" not in dict(heard("The strainer gasket was renewed last week."))
    assert ("where-wet-first", "strainer") in heard("The strainer gasket is leaking.")


def test_what_is_turned_is_no_turn_of_the_aeroplane() -> None:
    """'Stiff when turned' is said of the cock."""
    assert "when-it-comes" not in dict(heard("The selector is stiff when turned."))


def test_without_trouble_of_an_engine_a_gauge_is_told_of_itself() -> None:
    """'Shows nothing' of a contents gauge is not swallowed by what it showed when trouble came."""
    assert heard("The left contents gauge shows nothing.") == [("contents-gauge", "pegged-empty")]
    then = heard("The engine stopped in the cruise. The left contents gauge showed nothing.")
    assert ("gauge-when-it-came", "near-empty") in then


def test_a_gauge_without_a_name_that_swings_is_not_taken_for_a_contents_gauge() -> None:
    """Beside an engine that surges it is as well the pressure gauge: nobody guesses which."""
    for report in ("Engine surged in the climb, gauge hunting.", "Engine rough, gauge swinging."):
        assert "contents-gauge" not in [question for question, _ in heard(report)]
    assert ("contents-gauge", "erratic") in heard("Left contents gauge fluctuates.")


@pytest.mark.parametrize(
    ("report", "taken"),
    [
        ("Engine faded in the climb, gauge froze.", False),
        ("Fuel pressure low, gauge sticks.", False),
        ("Left gauge sticks.", True),
        ("Tank gauge sticks.", True),
        ("Left tank reads nothing like the stick. Gauge sticks.", True),
    ],
)
def test_a_gauge_without_a_name_is_asked_about_unless_a_tank_is_told_of(
    report: str, taken: bool
) -> None:
    """A gauge that sticks may be of the pressure as well; one beside a tank is the tank's."""
    of_contents = [s for s in hear(report, bench(SINGLE)) if s.question == "contents-gauge"]
    asked = [s for s in hear(report, bench(SINGLE)) if {"contents-gauge"} < {*s.asks}]
    assert (bool(of_contents), bool(asked)) == (taken, not taken)


def test_a_landing_light_is_neither_a_landing_nor_a_pressure_lamp() -> None:
    """A lamp of another system that begins with the name of a stage is still theirs."""
    assert not hear("Landing light flickers.", bench(SINGLE))
    (first, *_) = clauses("landing light on at idle")
    assert first.stage == "idle"


def test_what_is_said_of_another_system_gets_no_reading_of_ours_to_pick_from() -> None:
    """'Manifold pressure low' is not shown as a fuel pressure that may have been meant."""
    here = bench(SINGLE)
    shown = [
        m.question for c in not_heard(listened("Manifold pressure low.", here), here) for m in c.may
    ]
    assert "fuel-pressure" not in shown


@pytest.mark.parametrize(
    ("report", "finding"),
    [
        ("After a short stop the engine faltered.", ("what-just-before", "hot-restart")),
        ("On the main with the pump on it restarted.", ("engine-behaviour", "normal")),
    ],
)
def test_a_phrase_that_cannot_be_meant_gives_way_to_what_it_overlaps(
    report: str, finding: tuple[str, str]
) -> None:
    """The longest phrase wins only where it may be meant in its clause."""
    assert finding in heard(report, "low-wing-twin")


def test_a_phrase_keeps_the_small_words_without_which_it_says_little() -> None:
    """'Had to lean' is heard in no 'to lean', and 'on its last' in no 'on the last'."""
    book = PhraseBook(["had to lean", "on its last", "cap was off", "does it when hot"], {})

    def found(text: str) -> list[str]:
        return [hit.phrase for hit in book.found(text)]

    assert found("i had to lean it") == ["had to lean"]
    assert not found("no need to lean it")
    assert not found("on the last flight")
    assert not found("took it when hot")
    assert found("found the cap off") == ["cap was off"]
