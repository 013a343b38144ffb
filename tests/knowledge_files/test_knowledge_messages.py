"""Every mistake in knowledge is told with its place, what is wrong, and what to do."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from tiny_library import FILES, write_tiny

from diagnose.errors import KnowledgeError
from diagnose.knowledge_files import load_library

STRAINER = "causes/filters/strainer-plugged.yaml"
GAUGE = "causes/indication/pressure-gauge-low.yaml"
RESTORES = "symptoms/booster-restores.yaml"
SMELL_STOP = "symptoms/smell-stop.yaml"
ASK = "questions/fuel-pressure.yaml"
BEHAVIOUR = "questions/engine-behaviour.yaml"
EFFECT = "effects/metering-pressure.yaml"
CHECK = "checks/inspect-strainer.yaml"


def told(tmp_path: Path, file: str, old: str, new: str) -> list[str]:
    """Return the problems after ``old`` became ``new`` in one file of the tiny library."""
    assert old in FILES[file], "the mutation must change the file"
    root = write_tiny(tmp_path, {file: FILES[file].replace(old, new, 1)})
    with pytest.raises(KnowledgeError) as caught:
        load_library(root, use_cache=False)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("file", "old", "new", "says"),
    [
        # names that do not exist
        (
            STRAINER,
            "effect: metering-pressure, is: low",
            "effect: metering-presure, is: low",
            f"knowledge/{STRAINER}:9:14: 'metering-presure' is not a known effect; did you mean "
            "'metering-pressure'? Correct the name or add effects/metering-presure.yaml.",
        ),
        (
            RESTORES,
            "{sign: fuel-pressure, is: low",
            "{sign: fuel-presure, is: low",
            f"knowledge/{RESTORES}:6:14: 'fuel-presure' is not a known question; did you mean "
            "'fuel-pressure'? Correct the name or add questions/fuel-presure.yaml.",
        ),
        (STRAINER, "{cause: engine-pump-worn", "{cause: engine-pump-wrn", "add causes/<family>/"),
        (STRAINER, "check: inspect-strainer,", "check: inspect-strainers,", "not a known check"),
        (CHECK, "[open-fuel-part]", "[open-fuel-prt]", "'open-fuel-prt' is not a known hazard"),
        (STRAINER, "[common-practice]", "[common-practise]", "add it to sources.yaml"),
        (SMELL_STOP, "symptom: booster-restores", "symptom: booster-restore", "known symptom"),
        (STRAINER, "at: its-engine, when: {power: high", "at: its-engin, when: {power: high",
         "'its-engin' is not a known relation; did you mean 'its-engine'?"),
        (STRAINER, "power: high, booster", "powr: high, booster",
         "'powr' is not a known dimension of a run state; did you mean 'power'?"),
        (STRAINER, "power: high, booster", "power: full, booster",
         "'full' is not a known value of 'power'; known: cranking, high, low, mid, none."),
        (STRAINER, "is: low,", "is: lowe,", "'lowe' is not a known value of effect"),
        (RESTORES, "is: low,", "is: lowish,", "is not a known class of question 'fuel-pressure'"),
        (STRAINER, "result: plugged", "result: plugd", "not a known result of check"),
        (STRAINER, "part-kind: strainer", "part-kind: straner",
         "did you mean 'strainer'? 'diagnose layout kinds' lists them."),
        (STRAINER, "severe: always", "severe: alway", "known word for 'how-often'"),
        (STRAINER, "how-common: common", "how-common: comon", "did you mean 'common'?"),
        (STRAINER, "severe: always", "sever: always", "'sever' is not a known grade"),
        (STRAINER, "change: blocked", "change: bloked", "did you mean 'blocked'?"),
        (STRAINER, "{feed: pumped}", "{feed: pump}", "'pump' is not a known value of 'feed'"),
        (ASK, "cut: fuel-pressure", "cut: fuel-presure", "'fuel-presure' is not a known cut"),
        (ASK, "unit: pressure", "unit: presure", "'presure' is not a known unit"),
        (ASK, "stages: [idle", "stages: [idel", "'idel' is not a known stage"),
        (ASK, "[pressure-gauge]", "[pressure-gage]", "'pressure-gage' is not a known part kind"),
        (ASK, "cut: fuel-pressure", "opposed: {low: hihg}\ncut: fuel-pressure",
         "'hihg' is not a known class of this question"),
        (ASK, "cut: fuel-pressure", "gate-holds: yes\ncut: fuel-pressure",
         "'gate-holds' is said of a gate; add its 'gate' or take it out"),
        (BEHAVIOUR, "shows:", "refines: {question: fuel-pressure, is: lowish}\nshows:",
         "is not a known class of question 'fuel-pressure'"),
        (BEHAVIOUR, "shows:", "refines: {question: fuel-pressure, is: low, zero: stopps}\nshows:",
         "'stopps' is not a known zero; did you mean 'stops'?"),
        (BEHAVIOUR, "shows:", "told: {well: '{at} ran well', fades: x, stops: x}\nshows:",
         "'{at}' stands for nothing; only '{it}', the place, does"),
        (BEHAVIOUR, "shows:", "told: {well: '{it} ran well', fades: x}\nshows:",
         "has no 'stops'; add it"),
        ("words.yaml", "finding: engine-behaviour", "finding: engine-behavior", "known question"),
        ("words.yaml", "value: stops", "value: stopps", "class of question 'engine-behaviour'"),
        # keys
        (STRAINER, "rectify:", "rectyfy:", "'rectyfy' is not a known key of cause; did you mean"),
        (STRAINER, "because:", "becuase:", "cause has no 'because'; add it"),
        (STRAINER, "at: its-engine, when", "att: its-engine, when", "key of a produces row"),
        (CHECK, "aim: ", "#aim: ", "check has no 'aim'; add it"),
        (CHECK, "line-pressure: none, ", "", "'aeroplane' does not state 'line-pressure'"),
        # figures
        (STRAINER, "chance: .95", "chance: 1", "'chance' is 1; it must be from 0.01 to 0.999"),
        (STRAINER, "chance: .95", "chance: high", "'chance' is a number, not 'high'"),
        (STRAINER, "{half: often", "{half: 1.5", "'how-often' is 1.5; it must be from 0 to 1"),
        (STRAINER, "{half: often", "{half: 1", "nothing is that certain"),
        ("causes/pump/engine-pump-worn.yaml", "severe: .5}", "severe: .6}", "sums to 1.1, not 1"),
        (BEHAVIOUR, "fades: .90", "fades: .80", "the row of 'fades' sums to 0.9, not 1"),
        (BEHAVIOUR, "{well: .96, fades: .02, stops: .02}", "{well: .98, fades: .02}",
         "gives 'stops' no chance at all"),
        (BEHAVIOUR, "  stops: {well: .02, fades: .08, stops: .90}\n", "",
         "'shows' has no row for 'stops' of effect 'engine-running'"),
        (GAUGE, "{low: .8, normal: .2}", "{low: .8, normal: .1}", "sums to 0.9, not 1"),
        (
            GAUGE,
            "{normal: {low: .8, normal: .2}, high: {normal: .7, high: .3}}",
            "{slight: {normal: {low: .8, normal: .2}}, sever: {high: {normal: .7, high: .3}}}",
            "'sever' is not a known grade; did you mean 'severe'?",
        ),
        (EFFECT, "{low: .005, high: .001}", "{low: .6, high: .4}", "leave no room for normal"),
        (EFFECT, "{low: .005, high: .001}", "{low: .005}", "'high' has no background rate"),
        (EFFECT, "high: .001", "high: 0", "a background rate is above 0"),
        (EFFECT, "{low: .005,", "{normal: .9, low: .005,", "'normal' is the normal value"),
        ("words.yaml", "off: .6, on: .4", "off: .6, on: .5", "weights of 'booster' sum to 1.1"),
        ("words.yaml", "never: .02", "never: 0", "'never' must be above 0"),
        # joins that could never apply
        (STRAINER, "is: low,", "is: normal,", "'normal' is the normal value of"),
        (STRAINER, "at: its-engine, when: {power: high", "at: itself, when: {power: high",
         "effect 'metering-pressure' is at 'engine', which 'itself' from 'strainer' never is"),
        (STRAINER, "booster: off}", "heat: hot}", "does not list under 'depends-on'"),
        (
            STRAINER,
            "part-kind: strainer",
            "part-kind: strainer\none-position: yes",
            "'one-position' is of a cock",
        ),
        (
            GAUGE,
            "    shows: {normal",
            "    when: {heat: hot}\n    shows: {normal",
            "does not list under 'depends-on'",
        ),
        (STRAINER, "chance: .95", "at: its-engine", "is done at 'strainer'"),
        (STRAINER, "result: plugged", "result: clean", "means that nothing was found"),
        (STRAINER, ".95}]", ".95}]\nalso-shows: [{check: inspect-strainer, result: plugged}]",
         "result 'plugged' of check 'inspect-strainer' stands twice; keep one"),
        (STRAINER, "chance: .95}]", "chance: .95}, {check: inspect-strainer, result: x}]",
         "the chances of what check 'inspect-strainer' shows add up to 1.9; 1 is all"),
        (CHECK, "access: cowling", "access: cowling\nfollows: [{effect: metering-pressure,"
         " is: [low], gives: plugged, share: .5, in: {power: high}}]", "a check has one state"),
        (CHECK, "access: cowling", "access: cowling\nfollows: [{effect: metering-pressure,"
         " is: [low], gives: clean, share: .5}]", "'clean' is not a known value other than"),
        (STRAINER, ".95}]", ".95, at: [itself, its-engin]}]", "'its-engin' is not a known relat"),
        (GAUGE, "part-kind: pressure-gauge", "part-kind: engine", "under 'instruments'"),
        (ASK, "at: engine", "at: tank", "the question is asked at 'tank' but effect"),
        (RESTORES, "at: engine", "at: tank", "'fuel-pressure' is of 'engine', which 'itself'"),
        (RESTORES, "[pressure-gauge-low]", "[strainer-plugged]", "and speaks against it"),
        (BEHAVIOUR, "opening: yes", "cut: fuel-flow\nunit: flow", "add 'cut-as:"),
        # forms
        (RESTORES, "  all:\n", "  al:\n", "any, not, all-in-one-state, sign, symptom"),
        (SMELL_STOP, "{sign: fuel-smell, is: none}", "[]", "'not' is empty"),
        (STRAINER, "on: 2026-11-25", "on: 25.11.2026", "'25.11.2026' is not a date"),
        (STRAINER, "provenance:", "pattern: sometimes\nprovenance:", "pattern 'sometimes' is not"),
        (STRAINER, "provenance:", "status: reviewed\nprovenance:", "'reviewed by <initials> on"),
        (STRAINER, "cause: strainer-plugged", "cause: strainer-blocked", "file name and id agree"),
        (STRAINER, "look-alikes: [{", "look-alikes: [] #", "'look-alikes' is empty"),
        (CHECK, "access: cowling", "steps: [Open the bowl.]", "steps need a published source"),
        (BEHAVIOUR, "opening: yes", "opening: maybe", "'opening' is yes or no, not 'maybe'"),
        (BEHAVIOUR, "title: how the engine behaves", "title: [a, b]", "is one piece of text"),
        (BEHAVIOUR, "ask: What did the engine do?", "ask:", "'ask' is empty"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_where_it_is_with_what_to_do(
    tmp_path: Path, file: str, old: str, new: str, says: str
) -> None:
    """The message stands at file, line and column and names the remedy."""
    problems = told(tmp_path, file, old, new)

    assert any(says in one for one in problems), problems
    for one in problems:
        assert re.match(r"knowledge/[\w/.-]+:\d+:\d+: \S", one)
        assert "\n" not in one


def test_a_near_name_is_never_used_silently(tmp_path: Path) -> None:
    """The suggestion is only a suggestion: the load fails."""
    assert told(tmp_path, STRAINER, "is: low,", "is: lw,")


def test_a_misspelt_part_kind_is_blamed_and_nothing_that_hangs_on_it(tmp_path: Path) -> None:
    """The checks and effects at that part are right once its kind is."""
    (problem,) = told(tmp_path, STRAINER, "part-kind: strainer", "part-kind: filter")
    assert problem.endswith(
        ":3:12: 'filter' is not a known part kind. 'diagnose layout kinds' lists them."
    )


def test_a_misspelt_name_is_blamed_once_even_with_several_values(tmp_path: Path) -> None:
    """Two classes of an unknown question are one mistake."""
    problems = told(
        tmp_path,
        RESTORES,
        "{sign: fuel-pressure, is: [normal, high]",
        "{sign: fuel-pressur, is: [normal, high]",
    )

    assert len(problems) == 1


@pytest.mark.parametrize(
    ("file", "text", "says"),
    [
        ("effects/extra.yml", "a: b", "the name ends in .yml"),
        ("cause/x.yaml", "a: b", "stands in a folder that is not read"),
        ("causes/x.yaml", "a: b", "stands at the wrong depth"),
        ("checks/deep/x.yaml", "a: b", "stands at the wrong depth"),
        ("causes/other/engine-pump-worn.yaml", FILES["causes/pump/engine-pump-worn.yaml"],
         "'engine-pump-worn' is also knowledge/causes/"),
        ("words.yaml", None, "knowledge/words.yaml:1:1: the file is missing"),
        ("sources.yaml", None, "the file is missing"),
        ("effects/smell.yaml", "- a\n- b\n", "written as 'key: value' lines, not as a list"),
        ("sources.yaml", "sources:\n- {source: a, title: t, kind: report}\n"
         "- {source: a, title: t, kind: report}\n", "source 'a' stands twice"),
    ],
)  # fmt: skip
def test_files_where_nobody_would_look_are_told(
    tmp_path: Path, file: str, text: str | None, says: str
) -> None:
    """A rule in the wrong place would otherwise be silent for ever."""
    root = write_tiny(tmp_path, {file: text})
    with pytest.raises(KnowledgeError, match=re.escape(says)):
        load_library(root, use_cache=False)


@pytest.mark.parametrize("file", ["words.yaml", "sources.yaml", "effects/metering-pressure.yaml"])
@pytest.mark.parametrize("text", ["- a\n", "a: [\n", "hello\n", "", "a: 1\na: 2\n"])
def test_a_file_that_is_lost_whole_is_one_message(tmp_path: Path, file: str, text: str) -> None:
    """What names the things in it is not to blame, and thousands would hide the one mistake."""
    root = write_tiny(tmp_path, {file: text})
    with pytest.raises(KnowledgeError) as caught:
        load_library(root, use_cache=False)
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].origin.file == f"knowledge/{file}"


def test_a_missing_folder_is_told_by_name(tmp_path: Path) -> None:
    """Not an empty library."""
    with pytest.raises(KnowledgeError, match="no knowledge folder at"):
        load_library(tmp_path / "nowhere", use_cache=False)


def test_steps_may_stand_on_a_published_source(tmp_path: Path) -> None:
    """The same steps with a handbook behind them are accepted."""
    text = FILES[CHECK].replace("access: cowling", "steps: [Open the bowl.]")
    text = text.replace("[common-practice]", "[common-practice, handbook-one]")
    root = write_tiny(tmp_path, {CHECK: text})

    assert load_library(root, use_cache=False).checks["inspect-strainer"].steps
