"""What one effect brings with it is said once and reaches every cause that is silent on it."""

from __future__ import annotations

from pathlib import Path

import pytest
from tiny_library import FILES, STRAINER, tiny_library

from diagnose.errors import KnowledgeError
from diagnose.model import Cause, CauseCheck, Produces

MIXTURE = """\
effect: mixture
title: mixture burned
at: engine
values: [normal, lean]
background: {lean: .01}
depends-on: [power]
follows:
  - {effect: metering-pressure, is: [low], gives: lean, share: .5}
sources: [common-practice]
"""


def _strainer(tmp_path: Path, mixture: str = MIXTURE, strainer: str = STRAINER) -> Cause:
    files = {"effects/mixture.yaml": mixture, "causes/filters/strainer-plugged.yaml": strainer}
    return tiny_library(tmp_path, files).causes["strainer-plugged"]


def _with_row(folder: Path, own: str) -> tuple[Produces, ...]:
    """Return the rows of a plugged strainer that says ``own`` first."""
    at = STRAINER.index("produces:\n") + len("produces:\n")
    return _strainer(folder, strainer=STRAINER[:at] + own + STRAINER[at:]).produces


def test_a_cause_that_gives_the_one_gives_the_other_in_the_same_state(tmp_path: Path) -> None:
    """The new row stands where and when the old one does, at the stated share, by its own line."""
    row = _strainer(tmp_path).produces[-1]
    assert (row.effect, row.value, row.at) == ("mixture", "lean", "its-engine")
    assert row.how_often == {"half": pytest.approx(0.35), "severe": pytest.approx(0.49)}
    assert row.when == {"power": ("high",), "booster": ("off",)}
    assert (row.origin.file, row.origin.line) == ("knowledge/effects/mixture.yaml", 8)


def test_a_cause_with_a_row_of_its_own_keeps_it_alone(tmp_path: Path) -> None:
    """What a cause says itself outweighs what follows."""
    own = "  - {effect: mixture, is: lean, at: engines-fed-through-it, how-often: never}\n"
    rows = _with_row(tmp_path, own)
    assert [r.how_often for r in rows if r.effect == "mixture"] == [
        {"slight": 0.02, "half": 0.02, "severe": 0.02}
    ]


@pytest.mark.parametrize(
    ("value", "power", "follows"), [("lean", "low", True), ("lean", "high", False)]
)
def test_a_row_at_one_power_leaves_the_same_value_to_follow_at_another(
    tmp_path: Path, value: str, power: str, follows: bool
) -> None:
    """Lean is said at idle only: starved at power the engine is lean there too, by what follows."""
    own = (
        f"  - {{effect: mixture, is: {value}, at: its-engine, when: {{power: {power}}},"
        " how-often: half}\n"
    )
    rows = _with_row(tmp_path, own)
    more = [r for r in rows if r.effect == "mixture" and r.when.get("power") == ("high",)]
    assert (len(more), bool(more and more[-1].origin.file.endswith("mixture.yaml"))) == (1, follows)


def test_a_line_may_ask_for_a_state_in_which_the_first_effect_holds(tmp_path: Path) -> None:
    """A row for high power does not speak of low power, so nothing follows there."""
    low = MIXTURE.replace("share: .5}", "share: .5, when: {power: low}}")
    assert not [r for r in _strainer(tmp_path, low).produces if r.effect == "mixture"]
    high = MIXTURE.replace("share: .5}", "share: .5, when: {power: high}}")
    (row,) = [r for r in _strainer(tmp_path, high).produces if r.effect == "mixture"]
    assert row.when == {"booster": ("off",)}


def test_a_line_may_say_where_and_in_which_state_it_shows(tmp_path: Path) -> None:
    """What a cause does to the engine may show at its tank, and with the pump on only."""
    line = MIXTURE.replace("share: .5}", "share: .5, at: tanks-feeding-it, in: {booster: on}}")
    (row,) = [r for r in _strainer(tmp_path, line).produces if r.effect == "mixture"]
    assert row.at == "tanks-feeding-it"
    assert row.when == {"power": ("high",), "booster": ("on",)}


def test_what_follows_asks_for_the_traits_of_the_row_it_follows_from(tmp_path: Path) -> None:
    """A row for pumped feeds only brings its follower on pumped feeds only."""
    own = (
        "  - {effect: metering-pressure, is: low, at: its-engine,"
        " when: {power: high, booster: off}, only-if: {feed: pumped}, how-often: always}\n"
    )
    rows = _with_row(tmp_path, own)
    more = [r for r in rows if r.effect == "mixture"]
    assert [(dict(r.only_if), r.how_often["half"]) for r in more] == [
        ({"feed": "pumped"}, pytest.approx(0.49)),
        ({}, pytest.approx(0.35)),
    ]


@pytest.mark.parametrize("first", [True, False])
def test_two_rows_that_come_to_the_same_state_count_as_the_stronger(
    tmp_path: Path, first: bool
) -> None:
    """One value at two powers is no likelier than at the worse of them, in whatever order."""
    low = (
        "  - {effect: metering-pressure, is: low, at: its-engine,"
        " when: {power: low, booster: off}, how-often: rarely}\n"
    )
    start = STRAINER.index("produces:\n") + len("produces:\n")
    own = next(x for x in STRAINER[start:].splitlines(keepends=True) if "metering-pressure" in x)
    both = low + own if first else own + low
    line = MIXTURE.replace("share: .5}", "share: .5, in: {power: mid}}")
    rows = _strainer(tmp_path, line, STRAINER.replace(own, both)).produces
    (row,) = [r for r in rows if r.effect == "mixture"]
    assert row.how_often == {
        "slight": pytest.approx(0.05), "half": pytest.approx(0.35), "severe": pytest.approx(0.49),
    }  # fmt: skip


def test_causes_outside_the_fuel_system_gain_nothing(tmp_path: Path) -> None:
    """Starvation is said of fuel causes; an ignition fault is not one."""
    text = STRAINER + "outside: not-fuel\n"
    assert not [r for r in _strainer(tmp_path, strainer=text).produces if r.effect == "mixture"]


def test_wrong_names_in_a_line_are_told_where_they_stand(tmp_path: Path) -> None:
    """An unknown effect and the normal value are both named, each at its column."""
    wrong = MIXTURE.replace("metering-pressure, is: [low]", "metering-presure, is: [low]")
    wrong = wrong.replace("gives: lean", "gives: normal")
    with pytest.raises(KnowledgeError) as caught:
        _strainer(tmp_path, wrong)
    told = "\n".join(map(str, caught.value.problems))
    assert "mixture.yaml:8:14" in told
    assert "metering-pressure" in told
    assert "'normal' is not a known value other than the normal one" in told


def _at_checks(tmp_path: Path, lines: str, cause: str = "strainer-plugged") -> list[CauseCheck]:
    check = FILES["checks/pump-output.yaml"] + f"follows:\n{lines}"
    causes = tiny_library(tmp_path, {"checks/pump-output.yaml": check}).causes
    return [k for k in causes[cause].at_checks if k.check == "pump-output"]


LOW = "  - {effect: metering-pressure, is: [low], gives: weak, share: .5, at: its-engine-pump}\n"
FADES = "  - {effect: engine-running, is: [fades], gives: weak, share: .2, at: its-engine-pump}\n"


def test_a_check_shows_what_follows_from_an_effect_of_a_cause_that_says_nothing_of_it(
    tmp_path: Path,
) -> None:
    """A pump behind a plugged strainer delivers little on the test too, at the stated share."""
    [shown] = _at_checks(tmp_path, LOW)
    # half-grown often, severe always, by the usual shares of the grades
    assert shown.chance == pytest.approx(0.5 * (0.35 * 0.7 + 0.25 * 0.98))
    assert (shown.result, shown.at, shown.origin.file) == (
        "weak", "its-engine-pump", "knowledge/checks/pump-output.yaml",
    )  # fmt: skip


def test_what_several_effects_show_at_a_check_adds_up(tmp_path: Path) -> None:
    """Two ways to one result make it likelier than either."""
    [both] = _at_checks(tmp_path, LOW + FADES)
    alone = [_at_checks(tmp_path / str(k), line)[0] for k, line in enumerate((LOW, FADES))]
    assert both.chance == pytest.approx(sum(one.chance for one in alone))


def test_a_cause_that_names_the_check_keeps_its_own_word(tmp_path: Path) -> None:
    """The worn pump, which the check is made for, shows what its own file says and no more."""
    [own] = _at_checks(tmp_path, LOW, "engine-pump-worn")
    assert own.origin.file == "knowledge/causes/pump/engine-pump-worn.yaml"
