"""What is found in the tanks is read with the tank on which the engine did wrong."""

from __future__ import annotations

from diagnosis.shipped import bench, library

from diagnose.in_use import in_use, read_in_use
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.wording import state_words
from diagnose.model import CauseAt, Finding, State
from diagnose.planner.outlook import reading_table
from diagnose.signs import signs_in

SINGLE = "low-wing-single"
WRONG_TANK = CauseAt("wrong-tank-selected", "selector")


def stops(tank: str = "") -> Finding:
    """Return an engine that stopped in cruise, on a tank if named."""
    settings = {"tank": tank} if tank else {}
    return Finding("engine-behaviour", "engine", "stops", State("cruise", settings), "told")


def dipped(tank: str, value: str) -> Finding:
    """Return what was dipped in a tank afterwards."""
    return Finding("tank-dipped", tank, value, State("static"), "seen")


def odds(*findings: Finding) -> float:
    """Return the odds that the emptier tank was selected."""
    diagnosis = Diagnosis(bench(SINGLE), engine=False)
    p = dict(diagnosis.see(findings).posterior.ranking())[WRONG_TANK]
    return p / (1.0 - p)


def test_the_tank_in_use_is_the_one_tank_named_where_the_engine_did_wrong() -> None:
    """A good run names none, two tanks named settle nothing, and nobody guesses."""
    layout = bench(SINGLE).layout
    good = Finding("engine-behaviour", "engine", "normal", State("run-up", {"tank": "right-tank"}))

    assert in_use([stops("left-tank"), good], library(), layout).tank == "left-tank"
    assert in_use([stops("left-tank"), stops("right-tank")], library(), layout).tank == ""
    assert in_use([stops(), good], library(), layout).tank == ""


def test_only_what_a_tank_shows_of_the_trouble_is_read_with_it() -> None:
    """The dip gets the tank and stays as told beside it; the smell and the engine stay as told."""
    smell = Finding("fuel-smell", "aeroplane", "none")
    told = (stops("left-tank"), dipped("right-tank", "plenty"), smell)
    engine, dip, other = read_in_use(told, library(), bench(SINGLE).layout)

    assert (engine, other) == (told[0], smell)
    assert dip.state.settings == {"tank": "left-tank"}
    assert dip.told == told[1]


def test_the_wrong_tank_is_the_one_that_fed_and_not_its_neighbour() -> None:
    """Left empty and right full speaks for it when it stopped on the left, against on the right."""
    tanks = (dipped("left-tank", "empty"), dipped("right-tank", "plenty"))
    on_left, not_said, on_right = (odds(stops(t), *tanks) for t in ("left-tank", "", "right-tank"))

    assert on_left > 2.0 * not_said
    assert on_right < not_said


def test_the_next_look_into_a_tank_is_foretold_with_the_tank_in_use() -> None:
    """Stopped on the left: the emptier tank selected would show in the left tank alone."""
    diagnosis = Diagnosis(bench(SINGLE), engine=False)

    def shows_in(tank: str) -> bool:
        readings = bench(SINGLE).planner.catalogue.readings
        reading = next(r for r in readings if r.key[:2] == ("tank-dipped", tank))
        number = diagnosis.belief.prior.index[WRONG_TANK]
        return number in reading_table(diagnosis.belief, reading).active

    diagnosis.see([stops("left-tank")])
    assert shows_in("left-tank")
    assert not shows_in("right-tank")
    diagnosis.see([stops()])
    assert shows_in("right-tank")


def runs(value: str, tank: str) -> Finding:
    """Return how the engine ran in cruise on a tank."""
    return Finding("engine-behaviour", "engine", value, State("cruise", {"tank": tank}), "told")


def chance(cause: str, at: str, *findings: Finding) -> float:
    """Return P(cause is there | findings)."""
    step = Diagnosis(bench(SINGLE), engine=False).see(findings)
    return dict(step.posterior.ranking())[CauseAt(cause, at)]


def test_an_engine_on_another_tank_than_the_bad_one_is_read_as_elsewhere() -> None:
    """The good run on right is marked, the bad one on left is not; both bad, both are marked."""
    bad, good, worse = (
        runs("fades", "left-tank"),
        runs("normal", "right-tank"),
        runs("stops", "right-tank"),
    )
    layout = bench(SINGLE).layout

    left, right = read_in_use([bad, good], library(), layout)
    assert left == bad
    assert right.state.settings == {"tank": "right-tank", "elsewhere": "yes"}
    assert right.told == good
    assert state_words(bench(SINGLE), right.state) == state_words(bench(SINGLE), good.state)
    both = read_in_use([bad, worse], library(), layout)
    assert [f.state.settings["elsewhere"] for f in both] == ["both", "both"]


def test_a_good_run_on_the_other_tank_does_not_clear_one_position_of_the_selector() -> None:
    """Bad on left and good on right speaks for a port of the selector, against what both share."""
    bad, good = runs("fades", "left-tank"), runs("normal", "right-tank")

    port = ("selector-port-blanked", "selector")
    assert chance(*port, bad, good) > chance(*port, bad)
    assert chance("strainer-plugged", "strainer", bad, good) < chance(
        "strainer-plugged", "strainer", bad
    )


def test_the_tank_that_fed_one_engine_is_not_said_to_have_fed_the_others() -> None:
    """'No. 2 faded on its outer tank, the others ran well': on what they ran nobody said."""
    layout = bench("four-engine-injection").layout
    state = State("run-up", {"tank": "port-outer-tank", "booster": "off"})
    faded = Finding("engine-behaviour", "no2-engine", "fades", state, others_normal=True)
    own, *others = signs_in(faded, library(), layout)

    assert own.settings()["tank"] == "port-outer-tank"
    assert [s.place for s in others] == ["no1-engine", "no3-engine", "no4-engine"]
    assert all("tank" not in s.settings() for s in others)
    assert all(d != "tank" for s in others for d, _ in s.instance[2])


def test_one_position_of_a_cock_shows_little_where_the_engine_did_wrong_on_both() -> None:
    """Three tenths of what it shows on one tank, and nothing on a tank that ran well."""
    places = bench(SINGLE).places
    row = next(r for r in library().causes["selector-port-blanked"].produces if r.one_position)
    known = {"tank": "left-tank", "power": "high", "booster": "off"}
    whole = places.reach(row, "selector", known)
    both = places.reach(row, "selector", {**known, "elsewhere": "both"})
    assert whole
    assert both == {place: 0.3 * share for place, share in whole.items()}
    assert places.reach(row, "selector", {**known, "elsewhere": "yes"}) == {}


def test_trouble_on_both_tanks_speaks_against_one_position_of_the_selector() -> None:
    """One bad port does not explain a second tank; the strainer behind the selector does."""
    left, right = runs("fades", "left-tank"), runs("fades", "right-tank")

    port = ("selector-port-blanked", "selector")
    assert chance(*port, left, right) < chance(*port, left)
    assert chance("strainer-plugged", "strainer", left, right) > chance(
        "strainer-plugged", "strainer", left
    )


def test_trouble_that_another_tank_cured_speaks_for_what_is_of_the_first_tank() -> None:
    """What both tanks share would have gone on, save what goes by itself."""
    bad, good = runs("stops", "left-tank"), runs("normal", "right-tank")

    def gains(cause: str, at: str) -> float:
        return chance(cause, at, bad, good) / chance(cause, at, bad)

    shared = gains("strainer-plugged", "strainer")
    assert gains("outlet-screen-blocked", "left-screen") > 3.3 * shared
    assert gains("induction-ice", "engine") > 1.2 * shared


def test_a_position_that_joins_the_bad_tank_to_another_is_no_other_tank() -> None:
    """On 'both' the good tank feeds beside the bad one: only what is of neither is held."""
    net = bench("high-wing-single").net
    known = {"tank": "both", "power": "mid"}
    elsewhere = {"elsewhere": "yes", **known}
    held, free = (
        net.table(("engine-running", "engine", tuple(sorted(settings.items())), 0))
        for settings in (elsewhere, known)
    )
    vent, ice = (
        net.index[CauseAt(*cause)]
        for cause in (("vent-nest", "left-vent"), ("induction-ice", "engine"))
    )
    assert (held.net[held.row_of(vent)] == free.net[free.row_of(vent)]).all()
    assert held.net[held.row_of(ice)].sum() > 1.1 * free.net[free.row_of(ice)].sum()
