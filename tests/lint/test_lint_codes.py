"""Every code is found in a folder broken for it, and in no sound one; each is documented."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lint.broken import BROKEN
from lint.broken_kit import ASK_PRESSURE, GAUGE, INSPECT, STRAINER, rule
from lint.lint_kit import SOUND, codes_of, lint_of, result_of, swapped

from diagnose import lint
from diagnose.errors import KnowledgeError, UsageError

MODEL = {name for name, code in lint.all_codes().items() if code.asked_for}
LINE = re.compile(r"knowledge/[\w./-]+:\d+:\d+: [A-Z]+-\d\d \S.*")


def test_every_code_has_a_test() -> None:
    """A code without a folder that shows it could be dead itself."""
    assert set(BROKEN) | MODEL == set(lint.all_codes())


def test_the_sound_folder_is_clean(tmp_path: Path) -> None:
    """Nothing is found where nothing is wrong, for any code."""
    assert lint_of(tmp_path) == ()


@pytest.mark.parametrize("code", sorted(BROKEN))
def test_a_code_is_found_where_it_was_broken_in(code: str, tmp_path: Path) -> None:
    """The change for a code makes it fire, on the item changed, on one line with its place."""
    changes, item = BROKEN[code]
    found = [f for f in lint_of(tmp_path, changes) if f.code == code]
    assert item in {f.item for f in found}
    for f in found:
        assert LINE.fullmatch(str(f)), str(f)
        assert f.text.count(" ") > 4, "a finding says what is wrong and what to do"


SEEDS = """\
seeds:
  - {seed: one, ask: How many?, unit: feet, answer: 100, source: %s}
"""


def test_seed_questions_are_looked_at_with_the_rest(tmp_path: Path) -> None:
    """An unknown source is told in its line; a source that a seed alone cites is in use."""
    (found,) = lint_of(tmp_path / "a", {"seeds.yaml": SEEDS % "handbok-one"})
    assert found.code == "LOAD-01"
    assert str(found.origin) == "knowledge/seeds.yaml:2:66"
    assert "did you mean 'handbook-one'" in found.text
    more = "  - {source: fact, title: a fact, kind: handbook, cite: invented}\n"
    listed = SOUND["sources.yaml"] + more
    assert codes_of(tmp_path / "b", {"sources.yaml": listed}) == {"USE-08"}
    cited = {"sources.yaml": listed, "seeds.yaml": SEEDS % "fact"}
    assert lint_of(tmp_path / "c", cited) == ()


def test_every_code_is_documented_where_it_is_defined() -> None:
    """Meaning, reason and remedy are sentences; the id has our form."""
    for name, code in lint.all_codes().items():
        assert re.fullmatch(r"[A-Z]+-\d\d", name)
        for text in (code.means, code.matters, code.do):
            assert len(text.split()) >= 3, f"{name}: {text}"
            assert text.endswith("."), f"{name}: {text}"


def test_codes_are_chosen_by_name_and_by_group() -> None:
    """Only and skip take codes and group words; the model's codes come only when asked for."""
    assert set(lint.chosen(["rule-01", "FIT"], (), model=False)) == {
        "RULE-01",
        "FIT-01",
        "FIT-02",
        "FIT-03",
        "FIT-04",
    }
    assert "RULE-01" not in lint.chosen((), ["RULE"], model=False)
    assert set(lint.chosen(["MODEL"], (), model=True)) == MODEL
    with pytest.raises(UsageError, match="'RULE-77' is not a lint code"):
        lint.chosen(["RULE-77"], (), model=False)


def test_only_the_codes_asked_for_are_found(tmp_path: Path) -> None:
    """A folder with two faults shows the one that is looked for."""
    changes = {**BROKEN["TEXT-01"][0], **BROKEN["RULE-02"][0]}
    assert {f.code for f in result_of(tmp_path, changes, ["RULE-02"]).stands} == {"RULE-02"}


def test_nothing_else_is_looked_at_while_a_file_cannot_be_used(tmp_path: Path) -> None:
    """Half a library would give findings that are none; the result says that it stopped."""
    result = result_of(tmp_path, {**BROKEN["LOAD-01"][0], **BROKEN["RULE-02"][0]})
    assert result.unread
    assert {f.code for f in result.stands} == {"LOAD-01"}


def test_a_layout_that_cannot_be_used_is_told_with_the_knowledge(tmp_path: Path) -> None:
    """All problems of knowledge and layouts come at once."""
    text = swapped("layouts/tiny-single.yaml", ("to: strainer,", "to: strainr,"))
    changes = {"layouts/tiny-single.yaml": text, **BROKEN["LOAD-02"][0]}
    assert codes_of(tmp_path, changes) >= {"LOAD-01", "LOAD-02"}


def test_what_no_layout_uses_is_not_said_of_one_layout_alone(tmp_path: Path) -> None:
    """With --layout a rule for another layout is not called dead."""
    root = tmp_path / "knowledge"
    lint_of(tmp_path, BROKEN["RULE-01"][0])
    codes = lint.chosen((), (), model=False)
    assert lint.lint(root, codes, "tiny-single", cache_dir=tmp_path).stands == ()
    with pytest.raises(UsageError, match="There are: tiny-single"):
        lint.lint(root, codes, "no-such", cache_dir=tmp_path)


# ---------------------------------------------------------------------- near misses


def test_a_narrow_rule_may_correct_a_wide_one(tmp_path: Path) -> None:
    """A narrower rule that speaks against what a wider one points to is no contradiction."""
    narrow = rule(
        "narrow",
        "engine",
        "{all: [{sign: fuel-pressure, is: low, state: {booster: off}},"
        " {sign: fuel-pressure, is: [normal, high], state: {booster: on}},"
        " {sign: engine-behaviour, is: well}]}",
        "speaks-against: [strainer-plugged]",
    )
    assert "RULE-09" not in codes_of(tmp_path, {"symptoms/narrow.yaml": narrow})


def test_two_tanks_can_give_two_classes_of_one_question(tmp_path: Path) -> None:
    """Low on one tank and normal on the other is possible: the effect depends on the tank."""
    both = rule(
        "one-tank-only",
        "engine",
        "{all: [{sign: fuel-pressure, is: low}, {sign: fuel-pressure, is: normal}]}",
        "warns: Look at the tank.",
    )
    assert codes_of(tmp_path, {"symptoms/one-tank-only.yaml": both}) == set()


def test_rows_for_a_state_within_another_add_detail(tmp_path: Path) -> None:
    """A row for high power within a row for all powers is no contradiction."""
    more = swapped(
        STRAINER,
        ("when: {power: [mid, high]}", "when: {power: [low, mid, high]}"),
        (
            "produces:\n",
            "produces:\n  - {effect: engine-running, is: fades, at: its-engine,"
            " when: {power: high}, how-often: {severe: half}}\n",
        ),
    )
    assert "ROW-01" not in codes_of(tmp_path, {STRAINER: more})


def test_a_part_that_may_be_missing_can_be_named_as_such(tmp_path: Path) -> None:
    """'where fitted' tells the reader that it may not be there."""
    text = swapped(INSPECT, ("aim: See", "aim: With the cross-feed open where fitted, see"))
    assert codes_of(tmp_path, {INSPECT: text}) == set()


def test_a_check_for_several_engines_is_not_offered_on_one(tmp_path: Path) -> None:
    """An 'only-if' takes the check off the layout, so that it need not fit."""
    text = swapped(INSPECT, ("aim: See", "aim: Hold it against the other engine and see"))
    assert "FIT-02" in codes_of(tmp_path, {INSPECT: text})
    assert "FIT-02" not in codes_of(
        tmp_path, {INSPECT: text + 'only-if: {several-engine: "yes"}\n'}
    )


def test_a_gauge_that_hides_the_sign_may_be_pointed_to(tmp_path: Path) -> None:
    """A cause that bends a reading to what the rule wants gives its sign."""
    seen = rule(
        "lamp-against",
        "engine",
        "{all: [{sign: engine-behaviour, is: fades}, {sign: fuel-pressure, is: low}]}",
        "points-to: [pressure-gauge-low]",
    )
    assert "RULE-10" not in codes_of(tmp_path, {"symptoms/lamp-against.yaml": seen})


def test_what_is_only_told_of_a_flight_can_be_a_sign_of_a_rule(tmp_path: Path) -> None:
    """Nobody is sent up to read it, and a report tells of it all the same."""
    seen = rule(
        "low-in-climb",
        "engine",
        "{sign: fuel-pressure, is: low, state: {power: high}}",
        "points-to: [strainer-plugged]",
    )
    text = SOUND[ASK_PRESSURE].replace("stages: [idle, run-up, cruise]", "stages: [idle, cruise]")
    text = text.partition("heard:")[0]
    codes = {
        k: codes_of(tmp_path / k, {"symptoms/low-in-climb.yaml": seen, ASK_PRESSURE: asked})
        for k, asked in {"heard": f"{text}heard: {{low: [sagged]}}\n", "mute": text}.items()
    }
    assert "RULE-03" not in codes["heard"]
    assert "RULE-03" in codes["mute"]


def test_a_part_opened_with_power_off_and_closed_before_a_run_is_safe(tmp_path: Path) -> None:
    """A check that says so in aim and line pressure is let be."""
    text = swapped(
        INSPECT,
        ("engine: stopped and cold", "engine: running"),
        ("power: off", "power: on"),
        ("line-pressure: none", "line-pressure: 'normal, system closed'"),
        ("aim: See", "aim: With the engine stopped and power off, fit a gauge. See"),
        ("hazards: [", "hazards: [running-engine, "),
    )
    assert codes_of(tmp_path, {INSPECT: text}) == set()


# ---------------------------------------------------------------------- shared steps, waivers

RUN = "Run at the power of the report, on its tank, and look at the gauge."
STEPS = f"steps:\n  - {{step: run-it, text: '{RUN}'}}\n"


def test_a_shared_step_is_put_where_it_is_named(tmp_path: Path) -> None:
    """The item holds the step in full, with what is particular beside it, and lint is content."""
    text = swapped(
        GAUGE,
        ("verify: Run in the state of the report.", "verify: [{shared: run-it}, Look again.]"),
    )
    assert lint_of(tmp_path, {GAUGE: text, "steps.yaml": STEPS}) == ()
    from diagnose.knowledge_files import load_library

    verify = (
        load_library(tmp_path / "knowledge", use_cache=False).causes["pressure-gauge-low"].verify
    )
    assert (
        verify == "Run at the power of the report, on its tank, and look at the gauge. Look again."
    )


def test_a_shared_step_spelt_out_again_is_found(tmp_path: Path) -> None:
    """Whoever copies the words of a shared step is told its name."""
    named = swapped(GAUGE, ("verify: Run in the state of the report.", "verify: {shared: run-it}"))
    spelt = swapped(
        STRAINER,
        (
            "Run in the state of the report.",
            "Run at the power of the report, on its tank, and look at the gauge.",
        ),
    )
    found = lint_of(tmp_path, {GAUGE: named, STRAINER: spelt, "steps.yaml": STEPS})
    assert [(f.code, f.item) for f in found] == [("SHARED-01", "causes/strainer-plugged")]
    assert "{shared: run-it}" in found[0].text


def test_a_shared_step_that_does_not_exist_is_refused_with_the_nearest(tmp_path: Path) -> None:
    """A misspelt step is told like any other name."""
    named = swapped(GAUGE, ("verify: Run in the state of the report.", "verify: {shared: run-itt}"))
    (found, *_) = lint_of(tmp_path, {GAUGE: named, "steps.yaml": STEPS})
    assert found.code == "LOAD-01"
    assert "did you mean 'run-it'" in found.text


def waiver(code: str, item: str, reason: str = "It cannot be mended, as a test says.") -> str:
    """Return a file of one waiver."""
    return f"waivers:\n  - code: {code}\n    item: {item}\n    reason: {reason}\n"


def test_a_waiver_lets_one_finding_stand_with_its_reason(tmp_path: Path) -> None:
    """The finding is not lost: it is listed with the reason, and nothing stands."""
    changes, item = BROKEN["RULE-02"]
    result = result_of(tmp_path, {**changes, "lint-waivers.yaml": waiver("RULE-02", item)})
    assert result.stands == ()
    assert [(f.code, w.reason) for f, w in result.waived] == [
        ("RULE-02", "It cannot be mended, as a test says.")
    ]


def test_a_waiver_lets_nothing_else_stand(tmp_path: Path) -> None:
    """Another item, or another code of the same item, still stands."""
    changes, _ = BROKEN["RULE-02"]
    other = waiver("RULE-02", "symptoms/other")
    assert {f.code for f in lint_of(tmp_path, {**changes, "lint-waivers.yaml": other})} == {
        "RULE-02",
        "WAIVE-01",
    }


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (waiver("RULE-99", "symptoms/a"), "'RULE-99' is not a known lint code"),
        (waiver("RULE-02", "symptoms/a", "ok"), "'ok' is no reason"),
        ("waivers:\n  - {code: RULE-02, item: symptoms/a}\n", "has no 'reason'"),
        ("waivers: [\n", "lint-waivers.yaml:"),
        (
            waiver("RULE-02", "a") + waiver("RULE-02", "a").removeprefix("waivers:\n"),
            "waived twice",
        ),
    ],
)
def test_a_bad_waiver_is_refused_with_its_place(text: str, says: str, tmp_path: Path) -> None:
    """A waiver names a code that exists and gives a reason in a sentence."""
    with pytest.raises(KnowledgeError) as caught:
        result_of(tmp_path, {"lint-waivers.yaml": text})
    assert says in str(caught.value)
    assert str(caught.value).startswith("knowledge/lint-waivers.yaml:")


def test_the_order_of_findings_is_the_order_of_the_files(tmp_path: Path) -> None:
    """Findings come by file, line and column, whatever looked for them."""
    changes = {**BROKEN["TEXT-01"][0], **BROKEN["RULE-02"][0], **BROKEN["TEXT-02"][0]}
    found = lint_of(tmp_path, changes)
    assert list(found) == sorted(found)
    assert len({f.code for f in found}) > 2


def test_a_finding_stands_at_the_value_it_speaks_of(tmp_path: Path) -> None:
    """The line is that of the text, not of the file's first line."""
    (found,) = (f for f in lint_of(tmp_path, BROKEN["TEXT-01"][0]) if f.code == "TEXT-01")
    lines = (tmp_path / "knowledge" / GAUGE).read_text().splitlines()
    assert lines[found.origin.line - 1].startswith("rectify: ")
    assert found.origin.col == len("rectify: ") + 1
