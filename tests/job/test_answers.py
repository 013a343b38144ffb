"""What is typed at a list of answers: by number, by name, or by how the answer shown begins."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench, library

from diagnose.cli.job.talk import yes_or_no
from diagnose.errors import UsageError
from diagnose.job.answers import is_not_checked, read_answer
from diagnose.job.choices import choose, choose_listed
from diagnose.job.keeping.disturbed import initials
from diagnose.job.wording import state_words
from diagnose.model import State

WET = library().questions["where-wet-first"].classes


@pytest.mark.parametrize(
    ("typed", "meant"), [("at a union", "joint"), ("along a flexible", "hose"), ("2", "joint")]
)
def test_an_answer_is_named_by_how_it_begins_on_the_screen(typed: str, meant: str) -> None:
    """Nobody has to type the whole of 'at a union or behind its sleeve'."""
    assert choose(typed, WET) == meant


@pytest.mark.parametrize("typed", ["along a", "at", "at the"])
def test_a_beginning_that_fits_several_answers_is_none(typed: str) -> None:
    """What could be two answers is asked again."""
    with pytest.raises(UsageError, match="is not one of the answers"):
        choose(typed, WET)


def test_a_list_in_which_nothing_stands_is_answered_by_nothing() -> None:
    """An expert who names a cause nobody knows is asked for other words."""
    with pytest.raises(UsageError, match="'strainer' is not one of the answers"):
        choose("strainer", {})


@pytest.mark.parametrize("typed", ["²", "9" * 5000])
def test_digits_that_make_no_number_are_no_answer(typed: str) -> None:
    """A raised digit, or a key that was held down, is told like any other slip."""
    for question in ("where-wet-first", "fuel-pressure"):
        with pytest.raises(UsageError):
            read_answer(typed, library().questions[question], bench("low-wing-single").layout)
    with pytest.raises(UsageError, match="is not one of the answers"):
        choose(typed, WET)
    assert not bench("low-wing-twin").places.find_places(f"engine {typed}").part


@pytest.mark.parametrize(
    "typed", ["none", "later", "no", "not yet", "ok", "n/a", "123", "dry AB", "no, CD"]
)
def test_a_word_that_refuses_is_nobodys_initials(typed: str) -> None:
    """A joint signed for by 'NONE' would be signed for by nobody."""
    with pytest.raises(UsageError, match="initials"):
        initials(typed)


@pytest.mark.parametrize(("typed", "kept"), [("A B", "AB"), ("O.K.", "OK"), ("tom", "TOM")])
def test_initials_are_taken_as_people_write_them(typed: str, kept: str) -> None:
    """Letters apart or with stops are initials; the word OK alone is not."""
    assert initials(typed) == kept


@pytest.mark.parametrize(
    ("layout", "words"),
    [
        ("high-wing-single", "run-up, engine cold"),
        ("radial-single-hand-pump", "run-up, hand pump still, engine cold"),
        ("low-wing-single", "run-up, booster off, engine cold"),
        ("low-wing-single-electric", "run-up, electric pump off, engine cold"),
    ],
)
def test_a_run_state_speaks_of_the_pump_that_the_layout_has(layout: str, words: str) -> None:
    """A gravity-fed aeroplane has no booster to be off."""
    state = State("run-up", {"booster": "off", "heat": "cool"})
    assert state_words(bench(layout), state) == words


def test_the_air_of_the_day_is_never_missing_an_approved_figure() -> None:
    """Nobody enters a limit for the weather: whoever tells the degrees says what they were."""
    q, layout = library().questions["outside-heat"], bench("high-wing-single").layout
    note = read_answer("17 degC", q, layout).note
    assert "approved figure" not in note
    assert read_answer("17 degC ordinary", q, layout).value == "ordinary"


def test_a_name_is_taken_with_blanks_and_a_plain_yes_where_one_answer_says_yes() -> None:
    """'out of step' is 'out-of-step', and 'yes' the one answer that begins with it."""
    results = {"agrees": "agrees", "out-of-step": "a fixed amount off"}
    assert choose("out of step", results) == "out-of-step"
    assert choose("yes", {"none": "no", "suction": "yes, air rushes in"}) == "suction"
    with pytest.raises(UsageError):
        choose("yes", {"one": "yes, one", "two": "yes, two"})


def test_an_answer_in_the_words_people_report_in_is_an_answer() -> None:
    """'No smell' answers whether there is a smell of fuel as well as 'none' does."""
    b = bench("low-wing-single")
    smell = b.library.questions["fuel-smell"]
    assert read_answer("no smell", smell, b.layout, "aeroplane").value == "none"
    with pytest.raises(UsageError, match="is not one of the answers"):
        read_answer("smell perhaps", smell, b.layout, "aeroplane")


def test_a_list_is_chosen_from_by_a_word_of_one_line_and_no_ids_are_told() -> None:
    """Whoever reads lines types words of them; what he cannot see is not offered."""
    listed = {"inspect-tank-inside": "Look inside the tank", "dip": "Dip every tank"}
    assert choose_listed("inside", listed, "0") == "inspect-tank-inside"
    assert choose_listed("2", listed, "0") == "dip"
    for wrong in ("tank", "0", "", "side", "3"):
        with pytest.raises(UsageError) as error:
            choose_listed(wrong, listed, "0")
        assert str(error.value).endswith("is not one of them; type a number from 1 to 2, or 0.")


@pytest.mark.parametrize(("typed", "meant"), [("10 psi", "normal"), ("8 psi", "low")])
def test_what_a_hand_pump_gives_is_held_against_its_own_figure(typed: str, meant: str) -> None:
    """Where a hand pump stands in the booster's place, its limit cuts the same reading."""
    layout = bench("radial-single-hand-pump").layout
    asked = library().questions["booster-pressure"]
    assert read_answer(typed, asked, layout, "engine").value == meant


def test_only_what_stands_on_the_screen_is_offered_again() -> None:
    """Names of ours ('fuel-shown') stand nowhere on the screen, and no page of typing is echoed."""
    asked = bench("low-wing-twin").library.questions["gauge-when-it-came"]
    with pytest.raises(UsageError) as told:
        choose("the gauge went " * 50, asked.classes)
    assert "fuel-shown" not in str(told.value)
    assert len(str(told.value)) < 200
    with pytest.raises(UsageError, match="one of: dry, "):
        choose("sodden", {"dry": "dry", "wet": "wet with fuel"})


@pytest.mark.parametrize("typed", ["0 cannot tell", "cannot tell", "0 not checked", "0"])
def test_the_line_for_not_checked_may_be_typed_as_it_stands(typed: str) -> None:
    """'0  not checked / cannot tell' is typed with its number, its words, or both."""
    assert is_not_checked(typed)


def test_a_letter_is_a_plain_no_only_where_the_answers_are_no_and_yes() -> None:
    """Of a smell, 'n' may as well be 'not checked', and nothing is taken for safe by a letter."""
    hiss = library().questions["cap-hiss"].classes
    assert [choose(typed, hiss) for typed in ("n", "Y")] == ["none", "suction"]
    with pytest.raises(UsageError, match="'n' is not one of the answers"):
        choose("n", library().questions["fuel-smell"].classes)


@pytest.mark.parametrize(
    ("typed", "meant"), [("aye", "suction"), ("yep", "suction"), ("nope", "none")]
)
def test_a_yes_is_taken_as_people_say_it(typed: str, meant: str) -> None:
    """Nobody at an aeroplane says 'yes' to a mate."""
    assert choose(typed, library().questions["cap-hiss"].classes) == meant
    assert yes_or_no(typed) is (meant == "suction")


def test_a_plain_no_is_the_one_answer_that_begins_with_it() -> None:
    """'no, as every day' is answered by 'no', as 'yes, new to it' is by 'yes'."""
    crew = library().questions["crew"].classes
    assert crew[choose("no", crew)].startswith("no,")
    assert crew[choose("yes", crew)].startswith("yes,")


def test_an_answer_among_other_words_is_asked_about_and_not_taken() -> None:
    """'Bone dry' may be meant as dry; 'not dry' is not."""
    for typed in ("bone dry", "not dry"):
        with pytest.raises(UsageError, match="Did you mean 'dry'"):
            choose(typed, library().questions["engine-bay-leak"].classes)


def test_a_word_out_of_one_answer_is_asked_about_and_not_taken() -> None:
    """'Hum' can only be 'a steady hum', but 'home' stands in 'not home' too."""
    with pytest.raises(UsageError, match="Did you mean 'a steady hum'"):
        choose("hum", library().questions["booster-noise"].classes)


@pytest.mark.parametrize("typed", ["not used", "Not tried"])
def test_what_nobody_tried_is_not_checked(typed: str) -> None:
    """Carburettor heat that was not used told nothing."""
    assert is_not_checked(typed)


@pytest.mark.parametrize(
    ("figure", "value"), [("9 psi", "low"), ("110 kPa", "normal"), ("1.9 bar", "high")]
)
def test_a_typed_figure_is_classed_against_the_layout_and_kept(figure: str, value: str) -> None:
    """A pressure in any usual unit is classed by the layout's limit; the typed text is kept."""
    b = bench("four-engine-injection")
    answer = read_answer(f"{figure} measured", library().questions["fuel-pressure"], b.layout)
    assert (answer.value, answer.typed, answer.known_by) == (value, figure, "measured")
    assert "psi" in answer.note or "kPa" in answer.note


@pytest.mark.parametrize("figure", ["9", "4 gal", "12 volts", "nine psi"])
def test_figures_without_a_proper_unit_are_refused(figure: str) -> None:
    """A bare number out of the list, a bare gallon or another dimension is told in one line."""
    b = bench("four-engine-injection")
    with pytest.raises(UsageError) as told:
        read_answer(figure, library().questions["fuel-pressure"], b.layout)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("2.5 psi", "No figure is asked for here; '2.5 psi' is a pressure. Type a number from 1"),
        ("4 gallons", "No figure is asked for here; 'gallons' does not say which gallon"),
        ("3 psj", "No figure is asked for here; 'psj' is not a known unit; did you mean 'psi'? T"),
        ("2.5", "'2.5' is a bare number, and no figure is asked for here. Type"),
    ],
)
def test_a_figure_at_a_question_without_one_is_told_what_is_wrong(typed: str, says: str) -> None:
    """The unit is spoken of first, then what can be answered."""
    asked = library().questions["engine-behaviour"]
    with pytest.raises(UsageError) as told:
        read_answer(typed, asked, bench("four-engine-injection").layout)
    assert str(told.value).startswith(says)
    assert "Type a number from 1 to 5, the words of an answer" in str(told.value)
