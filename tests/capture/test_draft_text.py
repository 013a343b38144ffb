"""Knowledge files changed in place, and counts shifted into rows by grade."""

from __future__ import annotations

import random
from types import SimpleNamespace
from typing import cast

import pytest
import yaml
from diagnosis.shipped import KNOWLEDGE, bench, library
from hypothesis import given
from hypothesis import strategies as st

from diagnose.capture.asking import Ground, case_signs
from diagnose.capture.asks_counts import rows_asked
from diagnose.capture.counts import Expert
from diagnose.capture.draft_rows import room_beside, shifted
from diagnose.capture.draft_rule import rule
from diagnose.capture.drafting import Basis, relation_to, slug
from diagnose.capture.told import Said, Told
from diagnose.capture.triads import nearest
from diagnose.errors import UsageError
from diagnose.knowledge_files.seeds import read_seeds
from diagnose.knowledge_files.yaml_writing import appended, replaced
from diagnose.model import AEROPLANE, GRADES, CauseAt, Finding, Produces, State

FILES = random.Random(5).sample(sorted(KNOWLEDGE.glob("causes/*/*.yaml")), 20)


@pytest.mark.parametrize("file", FILES, ids=lambda p: p.stem)
def test_a_file_changed_in_place_keeps_everything_else(file: object) -> None:
    """One row replaced and one item added to three lists: the rest reads as before."""
    text = file.read_text(encoding="utf-8")  # type: ignore[attr-defined] # a path
    before = yaml.safe_load(text)
    changed = text
    if "produces" in before:
        changed = replaced(changed, ("produces", len(before["produces"]) - 1), "{effect: new}")
        before["produces"][-1] = {"effect": "new"}
    for key in ("produces", "sources", "checks"):
        if key in before:
            changed = appended(changed, key, "  - {added: one}")
            before[key].append({"added": "one"})
    assert yaml.safe_load(changed) == before
    assert all(line.partition("#")[2] in changed for line in text.splitlines() if "#" in line)


def test_a_list_on_one_line_is_opened_and_a_missing_one_added() -> None:
    """What stood in it comes first."""
    assert appended("a: [x, {y: z}]\nb: 1\n", "a", "  - w") == (
        "a:\n  - x\n  - {y: z}\n  - w\nb: 1\n"
    )
    assert yaml.safe_load(appended("b: 1\n", "a", "  - w")) == {"b": 1, "a": ["w"]}
    with pytest.raises(UsageError, match="'b' is not a list"):
        appended("b: 1\n", "b", "  - w")


@given(
    st.lists(st.sampled_from([0.1, 0.3, 0.5, 0.7, 0.9]), min_size=2, max_size=3, unique=True),
    st.floats(0.05, 0.9),
    st.lists(st.sampled_from([0.99, 0.8, 0.4]), min_size=3, max_size=3),
)
def test_grades_are_shifted_alike_until_their_mean_is_what_was_counted(
    rates: list[float], target: float, free: list[float]
) -> None:
    """The mean is the count, the grades stand to each other as before, none is above its room."""
    by_grade = dict(zip(GRADES, sorted(rates), strict=False))
    weights = {"slight": 0.4, "half": 0.35, "severe": 0.25}
    room = dict(zip(GRADES, free, strict=True))
    found = {g: float(p) for g, p in shifted(by_grade, weights, target, room).items()}
    if not found:
        most = sum(weights[g] * room[g] for g in by_grade)
        assert most <= target + 1e-3, "more than there can be"
        return
    inside = all(p > 0.011 for p in found.values())
    if inside:
        assert sum(weights[g] * p for g, p in found.items()) == pytest.approx(target, abs=0.006)
    assert all(p <= room[g] for g, p in found.items())
    if len(set(free)) == 1:
        assert list(found.values()) == sorted(found.values())


def test_what_an_effect_may_show_otherwise_takes_its_room_first() -> None:
    """Other values at the same place in a state that fits; other places and states take none."""

    def row(value: str, rate: float, at: str = "its-engine", power: str = "high") -> Produces:
        return Produces("running", value, at, dict.fromkeys(GRADES, rate), {}, {"power": (power,)})

    beside = [row("stops", 0.3), row("surges", 0.25), row("fades", 0.9), row("rough", 0.9, "other"),
              row("rough", 0.9, power="low")]  # fmt: skip
    assert room_beside(row("fades", 0.5), beside) == dict.fromkeys(GRADES, 0.45)
    assert room_beside(row("fades", 0.5), []) == dict.fromkeys(GRADES, 0.99)


def test_the_shipped_seeds_are_ten_and_more_with_their_sources() -> None:
    """Each is a figure of a published source, not of practice or memory."""
    seeds = read_seeds(KNOWLEDGE, library())
    assert len(seeds) >= 10
    kinds = {library().sources[s.source].kind for s in seeds}
    assert not kinds & {"practice", "memory", "model", "interview"}


def test_triads_hold_the_causes_that_feel_most_alike_on_a_run() -> None:
    """The nearest by what a run shows come first; what shows otherwise comes later."""
    near = nearest(bench("low-wing-single"), CauseAt("strainer-plugged", "strainer"))
    gaps = [round(gap, 6) for _, gap in near]
    assert gaps == sorted(gaps)
    order = [cause for cause, _ in near]
    assert order.index("supply-line-plugged") < order.index("pressure-gauge-reads-high")


def test_a_relation_leads_from_the_part_to_the_place() -> None:
    """The general relation first, so that the row holds for every layout; none where none leads."""
    single = bench("low-wing-single")
    assert relation_to(single, "strainer", "engine", {}) == "engines-fed-through-it"
    assert relation_to(single, "engine", "strainer", {}) == "its-strainer"
    assert single.parts_of("strainer-plugged") == ["strainer"]


def told_rule(layout: str, cause: CauseAt, signs: tuple[Finding, ...]) -> str:
    """Return the draft of a rule whose signs are all that was found in a case."""
    opened = {"role": "fitter", "by": "PQ", "years": "30"}
    said = {
        "case-cause": Said(1, "case", "case-cause", "", "it", picked=(cause.cause,)),
        "case-part": Said(2, "case", "case-part", "", "1", picked=(cause.at,)),
        "case-findings": Said(3, "case", "case-findings", "", "x", findings=signs),
        "rule-words": Said(5, "limits", "rule-words", "", "Water stops her."),
    }
    told = Told(opened, said, {}, frozenset(), finished=False)
    picked = tuple(case_signs(told))
    said["rule-signs"] = Said(4, "limits", "rule-signs", "", "1 2", picked=picked)
    expert = cast(Expert, SimpleNamespace(source="interview-x"))
    left: list[tuple[tuple[int, ...], str]] = []
    made = rule(Basis(told, Ground(bench(layout)), (expert,), (), "2026-01-01"), None, left)
    assert left == []
    assert made is not None
    return made.text


def test_a_sign_at_one_of_the_tanks_is_a_sign_at_any_that_feeds() -> None:
    """Not known which of them is no reason to lose the rule: one relation leads to all of them."""
    here = bench("low-wing-single")
    part = next(c for c in here.net.instances if c.cause == "water-in-fuel")
    signs = (
        Finding("engine-behaviour", "engine", "rough", State("climb")),
        Finding(
            "tank-drain-sample",
            AEROPLANE,
            "water",
            State("static"),
            one_of_places=tuple(here.places.tanks),
        ),
    )
    text = told_rule("low-wing-single", part, signs)
    assert "{sign: tank-drain-sample, is: water, at: tanks-feeding-it}" in text


def test_a_rule_is_about_the_place_at_which_its_signs_surely_are() -> None:
    """Of two tanks that may feed an engine neither surely does; at the tank both signs are."""
    signs = (
        Finding("engine-behaviour", "engine", "fades", State("cruise", {"tank": "left-tank"})),
        Finding("vent-outlet-look", "left-tank", "clear", State()),
    )
    text = told_rule("high-wing-single", CauseAt("rag-in-tank", "left-tank"), signs)
    assert "at: tank\n" in text
    assert "{sign: vent-outlet-look, is: clear}" in text
    assert "at: engines-fed-through-it, state: {power: mid}" in text


def test_a_long_name_is_cut_behind_a_word() -> None:
    """An id is read by people, and is never renamed."""
    name = "pump flange gasket softened and drawn into the inlet"
    assert slug(name, {}) == "pump-flange-gasket-softened-and-drawn-into-the"


def test_a_condition_read_twice_is_counted_once_in_the_state_he_told_it_in() -> None:
    """Lamp and gauge are of one pressure; what he said of the booster with the one holds for both.

    Counted without it, the row would say that the booster changes nothing.
    """
    here = bench("four-engine-injection")
    signs = (
        Finding("fuel-pressure", "no3-engine", "low", State("run-up")),
        Finding("pressure-lamp", "no3-engine", "lit", State("run-up", {"booster": "off"})),
        Finding("fuel-pressure", "no3-engine", "low", State("idle")),
    )
    said = {
        "case-cause": Said(1, "case", "case-cause", "", "worn", picked=("engine-pump-worn",)),
        "case-part": Said(2, "case", "case-part", "", "3", picked=("no3-engine-pump",)),
        "case-findings": Said(3, "case", "case-findings", "", "x", findings=signs),
    }
    told = Told({}, said, {}, frozenset(), finished=False)
    asked = [(a.about["stage"], a.about["settings"]) for a in rows_asked(told, Ground(here))]
    assert asked == [("run-up", "booster=off"), ("idle", "")]
