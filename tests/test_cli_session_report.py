"""What a report in free words becomes in a session: shown, confirmed, completed, kept as told."""

from __future__ import annotations

import json

import pytest
from diagnosis.shipped import bench
from session_kit import LEFT_OUT, answered, events, last, new, resumed, run

from diagnose.cli.job.heard import lacks_stage
from diagnose.job.hearing.report_words import hear


def test_report_in_free_words_is_confirmed_not_taken() -> None:
    """Words of the report become findings only when the person takes them."""
    result = new("none")
    assert "Nothing is taken unless you say so" in result.output
    assert "no. 2 engine (port inner)" in result.output
    assert events("answered") == []


def test_confirmed_words_carry_stage_and_booster_and_are_told() -> None:
    """'Run-up, boosters off' stands in the finding, known by being told."""
    new("1 2")
    kept = events("answered")
    assert kept[0]["finding"]["value"] == "low"
    assert kept[0]["finding"]["stage"] == "run-up"
    assert kept[0]["finding"]["settings"] == {"booster": "off"}
    assert kept[0]["finding"]["known_by"] == "told"
    assert kept[1]["finding"]["value"] == "lit"


def test_a_denied_word_is_asked_about() -> None:
    """'Did not surge' is neither surging nor its absence until it is asked."""
    result = new(
        "climb", "1", layout="low-wing-single", report="Engine did not surge, no surges at all."
    )
    assert "stands after a 'no'" in result.output
    assert answered()[-1]["value"] == "normal"


def test_only_the_lines_named_are_taken() -> None:
    """Numbers take single lines of what was understood; a slip is told in one line."""
    result = new("1 x", "3 1")
    assert "type all, none, or numbers from 1 to 3" in result.output
    assert {e["finding"]["value"] for e in events("answered")} == {"low", "none"}


def test_number_two_is_not_a_denial() -> None:
    """'No 2 engine, pressure low' does not deny the pressure."""
    result = new("all")
    assert "'pressure low' stands after" not in result.output


def test_one_of_two_lamps_is_kept_told_and_ranked() -> None:
    """Neither engine has it for sure; the record says one of them, and 'why' lets it speak once."""
    report = "One of the two lamps on the port side came on at take-off, he cannot say which."
    result = new("all", report=report)
    both = "one of no. 1 engine (port outer); no. 2 engine (port inner), not known which"
    assert f"{both}: lit [take-off]" in result.output
    (kept,) = [e["finding"] for e in events("answered") if e["finding"]["value"] == "lit"]
    assert (kept["at"], kept["one_of_places"]) == ("aeroplane", ["no1-engine", "no2-engine"])

    name = last()
    shown = resumed(name, *LEFT_OUT, "why pump drive", "pause")
    assert shown.partition("what speaks")[2].count(f"{both}: lit") == 1
    record = json.loads(run("job", "report", name, "--format", "json").stdout)
    assert both in {r.get("place") for rows in record["sections"].values() for r in rows}


def test_a_finding_can_be_added_at_one_of_two_places() -> None:
    """'1 or 2' at 'where'; one place named twice, and a figure, are refused in a line."""
    new("0", "pause", report="Nothing much.")
    name = last()
    typed = ["add fuel pressure gauge", "1 or 1", "1 or no. 2 engine", "1", "9 psi", "low", "pause"]
    result = run("job", "resume", name, typed=["", "", *typed])
    assert "names one place twice" in result.output
    assert "a figure is read at one place" in result.output
    (kept,) = [e["finding"] for e in events("answered") if e["finding"]["value"] == "low"]
    assert kept["one_of_places"] == ["no1-engine", "no2-engine"]


def test_a_leak_at_one_of_two_engines_shuts_power_off_as_a_leak_does() -> None:
    """What it may mean of danger is told, and neither engine is known dry."""
    result = new("all", report="No. 1 or no. 2 engine bay dripping.")
    assert "STOP" in result.output
    assert "Nothing runs until the fuel is gone" in " ".join(result.output.split())


def test_lost_power_is_taken_open_and_the_others_with_it() -> None:
    """'Lost power' is kept as fading or stopping, with the other three normal beside it."""
    result = new("all", report="No. 3 lost power in the climb, the other three fine.")
    assert "not known which, the others normal [climb" in result.output
    (kept,) = [e["finding"] for e in events("answered") if e["finding"]["value"] == "fades"]
    assert kept["one_of"] == ["fades", "stops"]
    assert (kept["at"], kept["others_normal"]) == ("no3-engine", True)


def test_a_report_keeps_the_stage_it_names_and_asks_at_which_tank() -> None:
    """'Quit in cruise' is kept as seen in cruise; a gauge without its tank is asked for."""
    report = "Engine quit in cruise. Gauge showed half."
    new("all", "2", layout="low-wing-single", report=report)
    quit_, gauge = (e["finding"] for e in events("answered")[:2])
    assert (quit_["value"], quit_["stage"]) == ("stops", "cruise")
    assert (gauge["at"], gauge["value"]) == ("right-tank", "fuel-shown")


def test_nothing_was_worked_on_is_an_answer() -> None:
    """'no' at the question for work leaves it, like Enter."""
    result = new("all", "no")
    assert "No part here fits" not in result.output


def test_danger_told_stops_before_anything_else_is_asked() -> None:
    """Fuel smelt in the cabin stops the job before engine and stage of the rest are asked."""
    output = new("1", report="Pressure low. Smell of fuel in the cabin.").output
    assert "STOP" in output
    assert "Which engine" not in output.split("STOP")[0]
    assert "When was it seen" not in output.split("STOP")[0]


@pytest.mark.parametrize("told", ["about 300 ft after take-off", "take-off", "4"])
def test_the_stage_may_be_told_in_own_words(told: str) -> None:
    """'After take-off' in a sentence is the stage as much as its name or number."""
    new("1", told, "all", report="Pressure low")
    assert answered()[0]["stage"] == "take-off"


@pytest.mark.parametrize("told", ["dunno", "Don't know", "not sure", "not known"])
def test_not_knowing_is_an_answer_in_plain_words(told: str) -> None:
    """Who says that they do not know has answered, and is not told of a wrong answer."""
    output = new("none", told, told, told, told).output
    assert f"'{told}'" not in output
    assert "is not one of the answers" not in output
    assert len(events("not-checked")) >= 2


TWIN = "No. 2 engine faded in the cruise, changed tanks and it came back."


def test_what_came_right_again_does_not_answer_for_the_complaint() -> None:
    """The tank changed to is asked for, and the fading stands beside the good running on it."""
    result = new("on the starboard aux", "all", layout="low-wing-twin", report=TWIN)
    assert "came right again. What was otherwise then?" in result.output
    assert "or 'at idle'" in " ".join(result.output.split())
    kept = {f["value"]: f["settings"] for f in answered()}
    assert kept["fades"] == {}
    assert kept["normal"] == {"tank": "starboard-aux-tank"}


@pytest.mark.parametrize("caught", ["picked up on the other tank", "came back on the other tank"])
def test_what_the_other_tank_cured_is_asked_by_the_name_of_the_tank(caught: str) -> None:
    """'The other tank' names none, and the good run on it tells most of what the report holds."""
    new("on the left", "all", layout="low-wing-single", report=f"Faded in the climb, {caught}.")
    kept = {f["value"]: f["settings"] for f in answered()}
    assert kept == {"fades": {}, "normal": {"tank": "left-tank"}}


def test_the_tank_of_the_engine_spoken_of_need_not_be_asked_for() -> None:
    """'The aux' of the starboard engine is the starboard aux, which each side has."""
    result = new("all", layout="low-wing-twin", report=TWIN.replace("tanks", "to the aux"))
    assert "What was otherwise then?" not in result.output
    kept = {f["value"]: f["settings"] for f in answered()}
    assert kept["normal"] == {"tank": "starboard-aux-tank"}


@pytest.mark.parametrize("unknown", ["", "not checked", "no", "don't know"])
def test_what_came_right_is_left_out_where_nobody_knows_by_what(unknown: str) -> None:
    """Enter leaves the recovery out; words that tell nothing otherwise are asked again."""
    result = new("in the cruise", unknown, "all", layout="low-wing-twin", report=TWIN)
    assert "tells no other tank, pump, cross-feed, power or stage" in result.output
    assert [f["value"] for f in answered()] == ["fades"]


def test_a_report_of_which_nothing_was_taken_is_asked_for_in_other_words() -> None:
    """'None' at the list must not send the job off with no complaint at all."""
    result = new("none", "", layout="low-wing-twin", report=TWIN.partition(",")[0] + ".")
    assert "What was amiss, and where, in other words?" in result.output


def test_fuel_that_does_not_move_is_something_amiss() -> None:
    """A quantity that stays, taken from the report, is a complaint: no other is asked for."""
    report = "Right tip tank will not go down in flight though selected."
    result = new("all", layout="low-wing-single-tip-tanks", report=report)
    assert "do not fall though selected" in result.output
    assert "Nothing amiss was taken" not in result.output


def test_the_engine_is_named_as_people_name_it() -> None:
    """At the list of engines 'no 4' is the fourth engine, whatever else has that number."""
    new("no 4", "1", report="Rough at the run-up.")
    assert answered()[0]["at"] == "no4-engine"


def test_spluttered_and_then_quit_is_one_account_and_no_contradiction() -> None:
    """Two things amiss told of one engine in one state stay open between them; none is lost."""
    report = "Spluttered on take-off and quit on take-off."
    result = new("all", layout="high-wing-single", report=report)
    kept = answered()
    ran = [f for f in kept if f["question"] == "engine-behaviour"]
    assert [f["one_of"] for f in ran] == [["stops", "rough"]]
    assert "CONFLICT" not in result.output


PARAFFIN = "Engine rough in the climb. Smelt of paraffin."


@pytest.mark.parametrize(("typed", "kept"), [("", 4), ("not known", 4), ("2", 0), ("0", None)])
def test_what_was_told_of_a_place_not_known_is_told_of_one_of_all(
    typed: str, kept: int | None
) -> None:
    """A smell of paraffin is not lost because nobody knows from which tank it came."""
    new("all", typed, layout="low-wing-single-tip-tanks", report=PARAFFIN)
    found = answered()
    fuel = [len(f["one_of_places"]) for f in found if f["question"] == "tank-drain-sample"]
    assert fuel == ([] if kept is None else [kept])


def test_a_stop_that_several_tanks_call_for_is_told_once() -> None:
    """The same order four times over is read as four orders, or not at all."""
    output = new("all", "", layout="low-wing-single-tip-tanks", report=PARAFFIN).output
    assert output.count("STOP: Start no engine.") == 1


SIDES = "The left one falls faster than burned, the right one is not going down."


def test_what_is_said_of_one_side_is_no_answer_for_the_other() -> None:
    """The left falls and the right stays: two findings, each asked for its own tank."""
    new("all", "port main", "starboard main", layout="low-wing-twin", report=SIDES)
    found = answered()
    told = {f["at"]: (f["value"], f.get("one_of") or []) for f in found}
    assert told["starboard-main-tank"] == ("stays", [])
    assert told["port-main-tank"] == ("falls-fast", [])


LAMPS = "Both lamps stay on with the pumps on before start; port side go out."


def test_engines_are_asked_for_side_by_side() -> None:
    """Lamps that stay on and lamps of the port side that go out are not those of one engine."""
    shown = new("3, 4", "1, 2", "none", report=LAMPS).output
    asked = [line for line in shown.splitlines() if "which engine is spoken of?" in line]
    assert [line.split(":")[0] for line in asked] == ["'lamps stay on'", "'go out'"]


def test_every_tank_may_be_meant() -> None:
    """'All' at a place that is asked for tells it of each."""
    report = "Engine rough in the climb. Stick says full tanks."
    new("all", "all", layout="low-wing-single-tip-tanks", report=report)
    found = answered()
    assert sum(f["question"] == "tank-dipped" for f in found) == 4


def test_what_was_well_on_the_other_side_is_no_cure_of_what_was_amiss_here() -> None:
    """'The right one emptied normally' is never asked about, nor told of the left tank."""
    report = "Left tip tank does not transfer. The right one emptied normally."
    told = {"layout": "low-wing-single-tip-tanks", "report": report}
    result = new("1", "all", **told)
    assert "came right again" not in result.output
    kept = [(f["at"], f["value"]) for f in answered()]
    assert ("left-tip-tank", "as-burned") not in kept


@pytest.mark.parametrize(
    ("report", "stage_asked"),
    [
        ("Engine never missed a beat.", False),
        ("Engine never reached full power.", True),
    ],
)
def test_trouble_that_never_came_was_in_no_run_state(report: str, stage_asked: bool) -> None:
    """'Never' of what was well all along needs no run state; of what was amiss it does."""
    here = bench("low-wing-single")
    (said,) = [s for s in hear(report, here) if s.value]
    assert lacks_stage(here, said) == stage_asked
