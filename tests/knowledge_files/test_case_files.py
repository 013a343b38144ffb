"""A case file is held against knowledge and layout; figures are cut, nothing is guessed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tiny_library import CASE, LAYOUT, tiny_case, tiny_layout, tiny_library, write_tiny

from diagnose.errors import CaseError
from diagnose.knowledge_files import cut, layout_of_case, limit_of, list_cases, load_case
from diagnose.model import CauseAt
from diagnose.units import parse


def told(tmp_path: Path, old: str, new: str) -> list[str]:
    """Return the problems of the tiny case after ``old`` became ``new``."""
    assert old in CASE, "the mutation must change the file"
    with pytest.raises(CaseError) as caught:
        tiny_case(tmp_path, {"cases/tiny-1.yaml": CASE.replace(old, new, 1)})
    assert caught.value.exit_code == 4
    return [str(problem) for problem in caught.value.problems]


def changed(tmp_path: Path, old: str, new: str) -> str:
    """Return the value of the pressure finding after a change."""
    assert old in CASE
    case = tiny_case(tmp_path, {"cases/tiny-1.yaml": CASE.replace(old, new, 1)})
    return case.findings[1].value


def test_a_case_is_read_whole(tmp_path: Path) -> None:
    """Report, work before, findings in order, examination and cause."""
    case = tiny_case(tmp_path)

    assert (case.id, case.layout, case.invented) == ("tiny-1", "tiny-single", True)
    assert [(w.what, w.at) for w in case.before] == [("repainted", "aeroplane")]
    assert [f.question for f in case.findings] == [
        "engine-behaviour",
        "fuel-pressure",
        "fuel-smell",
    ]
    assert case.findings[0].state.stage == "take-off"
    assert case.findings[0].state.known() == {"power": "high", "tank": "left-tank"}
    assert case.findings[0].known_by == "told"
    assert case.examination[0].check
    assert case.causes == (CauseAt("strainer-plugged", "strainer"),)
    assert case.also_accept == ()


def test_a_figure_is_cut_by_the_layouts_limit(tmp_path: Path) -> None:
    """2.5 psi is below 3 psi; the figure and the words typed are kept beside the class."""
    finding = tiny_case(tmp_path).findings[1]

    assert finding.value == "low"
    assert finding.number == pytest.approx(2.5 * 6894.757, rel=1e-6)
    assert finding.typed == "2.5 psi"


@pytest.mark.parametrize(
    ("figure", "value"),
    [
        ("3 psi", "normal"),
        ("2.999 psi", "low"),
        ("8 psi", "normal"),
        ("8.1 psi", "high"),
        ("0.4 bar", "normal"),
        ("20 kPa", "low"),
    ],
)
def test_the_edges_of_a_limit_are_within_it(tmp_path: Path, figure: str, value: str) -> None:
    """Below the low edge is low, above the high edge is high, in any pressure unit."""
    assert changed(tmp_path, "2.5 psi", figure) == value


def test_a_figure_of_another_limit_or_none_concludes_nothing(tmp_path: Path) -> None:
    """Without an approved figure there is no low and no high."""
    bare = LAYOUT.replace("fuel-pressure: {", "fuel-flow: {").replace("3 psi", "3 l/h")
    layout = tiny_layout(tmp_path, {"layouts/tiny-single.yaml": bare.replace("8 psi", "8 l/h")})
    question = tiny_library(tmp_path).questions["fuel-pressure"]

    assert limit_of(question, layout) is None
    assert cut(question, layout, parse("1 psi").value_si) == ""


def test_cut_as_names_other_classes_and_a_figure_of_nothing(tmp_path: Path) -> None:
    """A question may call low 'weak' and nothing at all 'none'."""
    ask = (
        "question: fuel-pressure\ntitle: t\nask: a?\nreads: metering-pressure\nat: engine\n"
        "answers: {none: zero, weak: weak, full: full}\nunit: pressure\ncut: fuel-pressure\n"
        "cut-as: {zero: none, low: weak, normal: full}\n"
        "shows:\n  normal: {none: .01, weak: .01, full: .98}\n"
        "  low: {none: .3, weak: .6, full: .1}\n  high: {none: .01, weak: .01, full: .98}\n"
    )
    changes = {
        "questions/fuel-pressure.yaml": ask,
        "symptoms/booster-restores.yaml": None,
        "symptoms/smell-stop.yaml": None,
        "causes/indication/pressure-gauge-low.yaml": None,
    }
    other = tmp_path / "other"
    library, layout = tiny_library(other, changes), tiny_layout(other)
    question = library.questions["fuel-pressure"]

    assert [cut(question, layout, parse(f"{x} psi").value_si) for x in (0, 2, 5, 9)] == [
        "none",
        "weak",
        "full",
        "",
    ]


def test_one_of_several_classes_may_be_told(tmp_path: Path) -> None:
    """A list of classes, kept in the question's order whatever order it is written in."""
    text = CASE.replace("value: fades", "value: [stops, fades]")
    case = tiny_case(tmp_path, {"cases/tiny-1.yaml": text})

    assert (case.findings[0].value, case.findings[0].one_of) == ("fades", ("fades", "stops"))
    one = CASE.replace("value: fades", "value: [fades]")
    assert tiny_case(tmp_path, {"cases/tiny-1.yaml": one}).findings[0].one_of == ()


def test_a_landing_is_a_stage_of_low_power(tmp_path: Path) -> None:
    """As the approach before it."""
    text = CASE.replace("stage: take-off", "stage: landing")
    case = tiny_case(tmp_path, {"cases/tiny-1.yaml": text})
    assert case.findings[0].state.known()["power"] == "low"


def test_a_selector_position_that_joins_several_tanks_is_a_tank_setting(tmp_path: Path) -> None:
    """Where there is one; a position that feeds from one tank is that tank."""
    both = LAYOUT.replace(
        "right: [[right, out]]", "right: [[right, out]], both: [[left, out], [right, out]]"
    )
    assert both != LAYOUT
    text = CASE.replace("tank: left-tank", "tank: both")
    changes = {"cases/tiny-1.yaml": text, "layouts/tiny-single.yaml": both}

    assert tiny_case(tmp_path, changes).findings[0].state.settings["tank"] == "both"
    assert any("'both' is not a known tank" in p for p in told(tmp_path, "left-tank", "both"))


def test_not_checked_is_no_value(tmp_path: Path) -> None:
    """'not checked' and 'cannot tell' drop out; they never count as no."""
    assert tiny_case(tmp_path).findings[2].value == ""
    assert changed(tmp_path, "value: 2.5 psi", "value: cannot tell") == ""


def test_a_class_may_have_its_reading_beside_it(tmp_path: Path) -> None:
    """Where the class was judged by other means the figure is kept all the same."""
    text = CASE.replace("value: 2.5 psi", "value: normal, reading: 2.5 psi")
    finding = tiny_case(tmp_path, {"cases/tiny-1.yaml": text}).findings[1]

    assert (finding.value, finding.typed) == ("normal", "2.5 psi")
    assert finding.number == pytest.approx(2.5 * 6894.757, rel=1e-6)


def test_the_one_part_of_a_kind_need_not_be_named(tmp_path: Path) -> None:
    """The layout has one engine; of its two tanks neither is guessed."""
    assert tiny_case(tmp_path).findings[1].at == "engine"
    problems = told(tmp_path, "at: airframe", "at: tank")

    assert any("say at which part work is meant: left-tank, right-tank" in p for p in problems)


def test_an_intervention_starts_a_new_epoch(tmp_path: Path) -> None:
    """What was seen before draining may no longer hold; switching a pump changes nothing."""
    text = CASE.replace("value: not checked", "value: none, after: drained both tanks")
    case = tiny_case(tmp_path, {"cases/tiny-1.yaml": text})

    assert [f.epoch for f in case.findings] == [0, 0, 1]
    assert case.examination[0].epoch == 1


def test_what_was_seen_after_one_and_the_same_intervention_is_one_epoch(tmp_path: Path) -> None:
    """Two findings after one draining; another draining starts the next."""
    smell = "  - {finding: fuel-smell, value: not checked}\n"
    after = "  - {{finding: fuel-smell, value: none, after: {}}}\n"
    told = "".join(after.format(x) for x in ("drained left", "drained left", "drained right"))
    case = tiny_case(tmp_path, {"cases/tiny-1.yaml": CASE.replace(smell, told)})

    assert [f.epoch for f in case.findings] == [0, 0, 1, 1, 2]


def test_what_the_knowledge_does_not_hold_can_be_the_truth(tmp_path: Path) -> None:
    """Alone or in a list; several causes stand in a list."""
    old = "cause: {cause: strainer-plugged, at: strainer}"
    alone = CASE.replace(old, "cause: not-in-the-knowledge")
    several = CASE.replace(
        old, "cause: [{cause: strainer-plugged, at: strainer}, {cause: engine-pump-worn}]"
    )

    assert tiny_case(tmp_path / "a", {"cases/tiny-1.yaml": alone}).causes == (CauseAt("", ""),)
    assert tiny_case(tmp_path / "b", {"cases/tiny-1.yaml": several}).causes == (
        CauseAt("strainer-plugged", "strainer"),
        CauseAt("engine-pump-worn", "engine-pump"),
    )


def test_a_finding_may_stand_in_the_examination(tmp_path: Path) -> None:
    """Examiners also ran engines and read gauges."""
    text = CASE.replace("cause: {", "  - {finding: fuel-pressure, value: normal}\ncause: {")
    case = tiny_case(tmp_path, {"cases/tiny-1.yaml": text})

    assert [(f.question, f.check) for f in case.examination] == [
        ("inspect-strainer", True),
        ("fuel-pressure", False),
    ]


def test_the_layout_a_case_names_can_be_had_first(tmp_path: Path) -> None:
    """So that the right layout is loaded before the case."""
    write_tiny(tmp_path)
    path = tmp_path / "cases" / "tiny-1.yaml"

    assert layout_of_case(path) == "tiny-single"
    assert list_cases(tmp_path / "cases") == {"tiny-1": path}
    path.write_text("case: x\n")
    with pytest.raises(CaseError, match=r"cases/tiny-1\.yaml:1:1: case has no 'layout'"):
        layout_of_case(path)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("value: 2.5 psi", "value: 2.5 gal", "'gal' does not say which gallon"),
        ("value: 2.5 psi", "value: 2.5", "'2.5' has no unit: write for instance '12 psi'"),
        ("value: 2.5 psi", "value: 2.5 l", "'2.5 l' is a volume, not a pressure"),
        ("value: 2.5 psi", "value: lowe", "cases/tiny-1.yaml:11:37: 'lowe' is not a known class"),
        ("value: fades", "value: 3 psi", "'engine-behaviour' takes no figure; write one of: well"),
        ("finding: fuel-pressure", "finding: fuel-presure", "did you mean 'fuel-pressure'?"),
        ("at: engine,", "at: strainer,", "'strainer' is a strainer, but 'engine-behaviour'"),
        ("at: engine,", "at: engin,", "'engin' is not a known part of layout 'tiny-single'"),
        ("stage: take-off", "stage: takeoff", "did you mean 'take-off'?"),
        ("stage: take-off", "stage: touchdown", "'touchdown' is not a known stage; known: after-s"),
        ("family: filters", "family: filtres", "not a known family of failure modes; did you mean"),
        ("value: fades", "value: [fades, well, gone]", "'gone' is not a known class of"),
        ("value: fades", "value: [fades, fades]", "'fades' stands twice in the list"),
        ("value: fades", "value: []", "'value' is empty; name at least one"),
        ("value: fades", "value: [fades, stops], reading: 3 psi", "a figure read has one class"),
        ("result: plugged", "result: [plugged, clean]", "the list is every result of check"),
        ("value: 2.5 psi", "value: [low, normal, high, hunting]", "the list is every class of"),
        ("result: plugged", "result: [plugged, blocked]", "'blocked' is not a known result of"),
        ("finding: fuel-pressure", "finding: inspect-strainer", "is a check; write it under 'exam"),
        ("result: plugged", "result: plugged, state: {stage: idle}", "'state' is not a known key"),
        ("finding: fuel-pressure", "finding: zzz", "'zzz' is not a known question; known: engine-"),
        ("tank: left-tank", "tank: left", "'left' is not a known tank of this layout"),
        ("booster: off}", "booster: of}", "'of' is not a known value of 'booster'"),
        ("known-by: told", "known-by: heard", "'heard' is not a known known-by"),
        ("check: inspect-strainer", "check: inspect-strainr", "not a known check; did you mean"),
        ("result: plugged", "result: blocked", "'blocked' is not a known result of check"),
        ("cause: strainer-plugged", "cause: strainer-blocked", "is not a known cause; did you"),
        ("cause: {cause: strainer-plugged, at: strainer}", "cause: strainer-plugged",
         "a cause is '{cause: <id>, at: <part>}' or not-in-the-knowledge"),
        ("cause: {cause: strainer-plugged, at: strainer}", "cause: []", "'cause' is empty"),
        ("cause: {cause: strainer-plugged, at: strainer}\n", "", "case has no 'cause'; add it"),
        ("at: strainer}\nalso", "at: engine}\nalso", "'engine' is an engine, but"),
        ("layout: tiny-single", "layout: tiny-twin", "the case is of layout 'tiny-twin', not of"),
        ("reported: Power faded at take-off.\n", "", "case has no 'reported'; add it"),
        ("case: tiny-1", "case: tiny 1", "'tiny 1' cannot be a case id"),
        ("after: booster off", "afterwards: booster off", "not a known key of a finding"),
        ("value: not checked", "value: none, others-normal: yes", "the aeroplane is one"),
        ("value: not checked", "value: none, epoch: 1.5", "'epoch' is a whole number, not 1.5"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_where_it_is(tmp_path: Path, old: str, new: str, says: str) -> None:
    """Each with file, line and column, on one line."""
    problems = told(tmp_path, old, new)

    assert any(says in one for one in problems), problems
    for one in problems:
        assert re.match(r"cases/tiny-1\.yaml:\d+:\d+: \S", one)


def test_a_figure_without_a_limit_asks_for_the_class(tmp_path: Path) -> None:
    """Nothing is concluded from a figure that no approved figure stands against."""
    text = re.sub(r"limits:\n.*\n", "", LAYOUT)
    with pytest.raises(CaseError, match=r"has no limit to class '2\.5 psi' by; write the class"):
        tiny_case(tmp_path, {"layouts/tiny-single.yaml": text})


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    """As a case error, with the file's name."""
    library, layout = tiny_library(tmp_path), tiny_layout(tmp_path)
    with pytest.raises(CaseError, match=r"none\.yaml:1:1: cannot be read"):
        load_case(tmp_path / "none.yaml", library, layout)
