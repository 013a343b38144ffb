"""What of a case file may not count as meant is told with its line; the case loads all the same."""

from __future__ import annotations

from pathlib import Path

from diagnosis.shipped import bench, library
from session_kit import run

from diagnose.job.case_warnings import warnings_of
from diagnose.knowledge_files import load_case

HEAD = "case: x\nsource: invented\ninvented: yes\nlayout: low-wing-single\nreported: r\nfindings:\n"
LOST = "{finding: engine-behaviour, at: engine, value: stops, state: {stage: climb}}"
CAUSE = "cause: {cause: strainer-plugged, at: strainer}\n"


def warned(tmp_path: Path, *findings: str, rest: str = CAUSE) -> list[str]:
    """Return the warnings on a case of these findings."""
    file = tmp_path / "x.yaml"
    file.write_text(HEAD + "".join(f"  - {f}\n" for f in findings) + rest)
    b = bench("low-wing-single")
    return [str(w) for w in warnings_of(b, load_case(file, library(), b.layout))]


def test_an_answer_that_replaces_another_in_one_state_is_told(tmp_path: Path) -> None:
    """With both lines; another state, another epoch and the same answer again are no matter."""
    found = warned(tmp_path, LOST, LOST.replace("stops", "normal"))
    assert len(found) == 1
    assert "x.yaml:8:5: 'engine-behaviour' at 'engine' was answered otherwise in line 7" in found[0]
    assert not warned(tmp_path, LOST, LOST)
    assert not warned(tmp_path, LOST, LOST.replace("stops", "normal").replace("climb", "idle"))
    mended = LOST.replace("stops", "normal").replace("}}", "}, epoch: 1}")
    assert not warned(tmp_path, LOST, mended)
    # 'stops', then 'fades or stops': the later is vaguer, but they agree
    assert not warned(tmp_path, LOST, LOST.replace("stops", "[fades, stops]"))


def test_good_before_bad_is_a_story_and_no_correction(tmp_path: Path) -> None:
    """Take-off good, climb bad: read in time, so neither replaces the other."""
    good = LOST.replace("stops", "normal").replace("climb", "take-off")
    assert not warned(tmp_path, good, LOST)


def test_two_results_of_one_check_are_told(tmp_path: Path) -> None:
    """A replay asks once; the last result answers."""
    check = "{check: inspect-strainer-element, at: strainer, result: "
    rest = f"examination: [{check}clean}}, {check}plugged}}]\n{CAUSE}"
    found = warned(tmp_path, LOST, rest=rest)
    assert len(found) == 1
    assert "has another result in line 8" in found[0]


def test_what_the_layout_cannot_have_is_told(tmp_path: Path) -> None:
    """A flow meter's question on a layout without one, and a cause that cannot be there."""
    flow = "{finding: flow-indication, at: engine, value: low}"
    found = warned(tmp_path, flow)
    assert len(found) == 1
    assert "'flow-indication' does not fit 'engine' of layout 'low-wing-single'" in found[0]
    assert "needs has-flow-meter yes" in found[0]


def test_warnings_go_to_stderr_and_into_json(tmp_path: Path) -> None:
    """The ranking is printed all the same."""
    warned(tmp_path, LOST, LOST.replace("stops", "normal"))
    file = str(tmp_path / "x.yaml")
    result = run("rank", file)
    assert result.exit_code == 0
    assert "warning: " in result.stderr
    assert "answered otherwise in line 7" in result.stderr
    assert "told unlike in one state, only the last counts: how the engine runs" in result.stdout
    assert '"warnings": [\n' in run("rank", file, "--json").stdout
