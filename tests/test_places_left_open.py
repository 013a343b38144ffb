"""'At one of two places, not known which', from the case file to rank, why, replay and the log."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from diagnosis.shipped import bench, library
from typer.testing import CliRunner

from diagnose.casebook.writing import finding_text
from diagnose.cli.main import app
from diagnose.errors import CaseError
from diagnose.job.case_warnings import warnings_of
from diagnose.job.diagnosis import Diagnosis, open_gates
from diagnose.job.keeping.finding_data import finding_as_json, finding_of
from diagnose.knowledge_files import load_case
from diagnose.model import CauseAt, Finding, State

LAYOUT = "four-engine-injection"
PORT = ("no1-engine", "no2-engine")
LAMP = (
    "{finding: pressure-lamp, at: [no1-engine, no2-engine], value: lit, state: {stage: take-off}, "
    "known-by: told}"
)
HEAD = f"case: x\nsource: invented\ninvented: yes\nlayout: {LAYOUT}\nreported: r\nfindings:\n"
CAUSE = "cause: {cause: engine-pump-drive-sheared, at: no1-engine-pump}\n"


def case_file(tmp_path: Path, *findings: str, rest: str = CAUSE) -> Path:
    """Write a case of these findings."""
    file = tmp_path / "x.yaml"
    file.write_text(HEAD + "".join(f"  - {f}\n" for f in findings) + rest)
    return file


def test_a_list_of_places_is_read_and_written_as_one_finding(tmp_path: Path) -> None:
    """It stands at the aeroplane, so that whatever asks of one engine does not find it there."""
    b = bench(LAYOUT)
    case = load_case(case_file(tmp_path, LAMP), library(), b.layout)
    (finding,) = case.findings
    assert (finding.at, finding.places) == ("aeroplane", PORT)
    kept = finding_of(json.loads(json.dumps(finding_as_json(finding))))
    assert replace(kept, origin=finding.origin) == finding
    assert finding_text(finding) == LAMP
    assert not warnings_of(b, case)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "[no1-engine, no2-engine]",
            "[no1-engine, no9-engine]",
            "'no9-engine' is not a known part",
        ),
        ("[no1-engine, no2-engine]", "[no1-engine, no1-engine]", "stands twice in the list"),
        ("[no1-engine, no2-engine]", "[no1-engine]", "write one part without brackets"),
        ("pressure-lamp", "fuel-pressure", "a figure is read at one part"),
        ("known-by: told", "after: refuelled", "is asked at one part"),
    ],
)
def test_what_cannot_be_meant_is_told_in_its_place(
    tmp_path: Path, old: str, new: str, says: str
) -> None:
    """Unknown, twice, alone; a figure, which is read on one gauge; and what is asked for later."""
    line = LAMP.replace(old, new)
    line = line.replace("value: lit", "value: 2 psi") if "figure" in says else line
    with pytest.raises(CaseError) as caught:
        load_case(case_file(tmp_path, line), library(), bench(LAYOUT).layout)
    assert any(says in str(p) and ":7:" in str(p) for p in caught.value.problems)


def test_an_examination_and_too_many_ways_are_refused(tmp_path: Path) -> None:
    """What a check shows is at its part; five such findings can be meant in more ways than 16."""
    layout = bench(LAYOUT).layout
    with pytest.raises(CaseError, match="what an examination shows is at one part"):
        load_case(case_file(tmp_path, LAMP, rest=f"examination: [{LAMP}]\n{CAUSE}"), library(),
                  layout)  # fmt: skip
    with pytest.raises(CaseError, match="32 ways"):
        load_case(case_file(tmp_path, *[LAMP] * 5), library(), layout)


def test_an_answer_at_each_place_that_denies_it_is_warned_of(tmp_path: Path) -> None:
    """One lamp out leaves the other; both out leave nothing, and that is said with its line."""
    b = bench(LAYOUT)
    out = [LAMP.replace("[no1-engine, no2-engine]", at).replace("lit", "out") for at in PORT]
    one = load_case(case_file(tmp_path, LAMP, out[0]), library(), b.layout)
    assert not warnings_of(b, one)
    both = load_case(case_file(tmp_path, LAMP, *out), library(), b.layout)
    (warning,) = warnings_of(b, both)
    assert "x.yaml:7:5" in str(warning)
    assert "this finding says nothing" in str(warning)


def test_rank_lies_between_the_two_places_and_the_others_stay_out(tmp_path: Path) -> None:
    """Port pumps alike, each less than if its own lamp had been named; starboard gains nothing."""
    diagnosis = Diagnosis(bench(LAYOUT), engine=False)
    told = Finding("pressure-lamp", "no1-engine", "lit", State("take-off"), "told")

    def beliefs(finding: Finding) -> dict[str, float]:
        ranking = diagnosis.see((finding,)).posterior.ranking()
        return {c.at: p for c, p in ranking if c.cause == "engine-pump-drive-sheared"}

    named = beliefs(told)
    left_open = beliefs(replace(told, at="aeroplane", one_of_places=PORT))
    pump = {n: f"no{n}-engine-pump" for n in (1, 2, 3)}
    assert left_open[pump[1]] == pytest.approx(left_open[pump[2]], rel=0.2)
    assert named[pump[2]] < left_open[pump[1]] < named[pump[1]]
    assert left_open[pump[3]] == pytest.approx(named[pump[3]], rel=0.2)


def test_rank_why_and_replay_take_such_a_case(tmp_path: Path) -> None:
    """Each says where it was in words, and 'why' lets the finding speak once."""
    file = str(case_file(tmp_path, LAMP))
    runner = CliRunner()
    both = "one of no. 1 engine (port outer); no. 2 engine (port inner), not known which: lit"
    ranked = json.loads(runner.invoke(app, ["rank", file, "--json"]).stdout)["causes"]
    pumps = [r["at"] for r in ranked if r["cause"] == "engine-pump-drive-sheared"]
    assert set(pumps[:2]) == {"no1-engine-pump", "no2-engine-pump"}
    why = runner.invoke(app, ["why", file, "engine-pump-drive-sheared@no1-engine-pump"]).stdout
    assert why.count(both) == 1
    assert "metering-pressure low" in why
    played = runner.invoke(app, ["replay", file, "--no-baselines", "--json"])
    assert played.exit_code == 0, played.output
    assert json.loads(played.stdout)["cases"][0]["findings_rank"]["probability"] > 0.0


def test_a_gate_left_open_between_engines_opens_neither() -> None:
    """Dry at one of the two is not known dry at either."""
    b = bench(LAYOUT)
    dry = Finding("engine-bay-leak", "aeroplane", "dry", one_of_places=PORT)
    still = {(g.question, g.place) for g in open_gates(b, [dry])}
    assert {("engine-bay-leak", at) for at in PORT} <= still


def test_the_reasoning_is_exact_again_when_the_place_comes_to_light() -> None:
    """Changed to the engine it was, the belief is that of the engine told at once."""
    told = Finding("pressure-lamp", "no1-engine", "lit", State("take-off"), "told")
    changed, fresh = (Diagnosis(bench(LAYOUT), engine=False) for _ in range(2))
    changed.see((replace(told, at="aeroplane", one_of_places=PORT),))
    cause = CauseAt("engine-pump-drive-sheared", "no1-engine-pump")
    now = dict(changed.see((told,)).posterior.ranking())[cause]
    assert now == pytest.approx(dict(fresh.see((told,)).posterior.ranking())[cause], abs=1e-12)
