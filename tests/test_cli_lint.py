"""``diagnose lint`` on the screen: findings, explanations, JSON and exit codes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from lint.broken import BROKEN
from lint.lint_kit import SOUND
from session_kit import run
from tiny_library import write_tiny

from diagnose.errors import UsageError


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep tiny libraries out of the user's cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def tiny(folder: Path, code: str = "") -> str:
    """Write the sound files, broken for ``code``, and return the knowledge folder."""
    changes = BROKEN[code][0] if code else {}
    return str(write_tiny(folder, {**SOUND, **changes}))


def test_a_clean_folder_is_told_in_one_line(tmp_path: Path) -> None:
    """Success is short and says how much was looked at; the exit code is 0."""
    result = run("--knowledge", tiny(tmp_path), "lint")
    assert result.exit_code == 0
    assert re.fullmatch(
        r"Clean: 3 causes, 2 symptoms, .* 1 layout; \d+ codes; \d+\.\d s\n", result.stdout
    )


def test_findings_stand_on_one_line_each_and_leave_with_3(tmp_path: Path) -> None:
    """File, line, column, code and words; then what to type to learn more."""
    result = run("--knowledge", tiny(tmp_path, "TEXT-01"), "lint")
    assert result.exit_code == 3
    first, count, more = result.stdout.splitlines()
    assert re.fullmatch(r"knowledge/causes/\S+\.yaml:\d+:\d+: TEXT-01 'rectify' says .+", first)
    assert count.startswith("1 finding: ")
    assert more == "What a code means: diagnose lint --explain TEXT-01"


def test_what_the_loader_refuses_has_a_code_too(tmp_path: Path) -> None:
    """A file that cannot be used is a finding, and it is said that nothing else was looked at."""
    result = run("--knowledge", tiny(tmp_path, "LOAD-02"), "lint")
    assert result.exit_code == 3
    assert ": LOAD-02 the row of 'well' sums to 0.99, not 1" in result.stdout
    assert result.stdout.endswith("Nothing else can be looked at until the files can be read.\n")


def test_json_is_one_object_with_the_version_first(tmp_path: Path) -> None:
    """Machines get every finding with its place, code, item and text."""
    result = run("--knowledge", tiny(tmp_path, "RULE-02"), "lint", "--json")
    body = json.loads(result.stdout)
    assert next(iter(body)) == "schema_version"
    assert result.exit_code == 3
    assert body["clean"] is False
    (row,) = body["findings"]
    assert (row["code"], row["item"], row["line"]) == ("RULE-02", "symptoms/a", 1)
    assert body["looked_at"]["causes"] == 3


def test_waived_findings_are_shown_with_their_reasons_on_request(tmp_path: Path) -> None:
    """What is let stand can be read, reason and place of the waiver beside it."""
    root = tiny(tmp_path, "RULE-02")
    reason = "It is kept for a test of waivers."
    waiver = f"waivers:\n  - {{code: RULE-02, item: symptoms/a, reason: {reason}}}\n"
    (Path(root) / "lint-waivers.yaml").write_text(waiver, encoding="utf-8")
    plain = run("--knowledge", root, "lint")
    assert plain.exit_code == 0
    assert plain.stdout.startswith("Clean, 1 let stand with a reason: ")
    shown = run("--knowledge", root, "lint", "--waived").stdout
    assert "let stand: knowledge/symptoms/a.yaml:1:1: RULE-02" in shown
    assert "  because: It is kept for a test of waivers. (knowledge/lint-waivers.yaml:2:5)" in shown


def test_explain_tells_meaning_reason_and_remedy() -> None:
    """One code, in words; case does not matter."""
    out = run("lint", "--explain", "rule-03").stdout
    assert out.startswith("RULE-03  rule that can never be true\n")
    assert [line.split(":")[0].strip() for line in out.splitlines()[1:]] == [
        "means",
        "matters",
        "do",
    ]


def test_explain_all_lists_every_code_also_as_json() -> None:
    """The list is complete and the same for people and machines."""
    codes = [
        c["code"] for c in json.loads(run("lint", "--explain", "all", "--json").stdout)["codes"]
    ]
    out = run("lint", "--explain", "all").stdout
    assert codes == re.findall(r"^([A-Z]+-\d\d)  ", out, flags=re.MULTILINE)
    assert len(codes) > 60


def test_only_and_skip_choose_what_is_looked_for(tmp_path: Path) -> None:
    """Groups and codes can be picked and left out."""
    root = tiny(tmp_path, "TEXT-01")
    assert run("--knowledge", root, "lint", "--only", "RULE").exit_code == 0
    assert run("--knowledge", root, "lint", "--skip", "text-01").exit_code == 0
    assert run("--knowledge", root, "lint", "--only", "TEXT").exit_code == 3


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--only", "RULE-77"), "'RULE-77' is not a lint code"),
        (("--explain", "RULE-77"), "'RULE-77' is not a lint code"),
        (("--layout", "no-such"), "'no-such' is not a layout. There are: tiny-single."),
    ],
)
def test_what_is_not_known_is_refused_in_one_line(
    arguments: tuple[str, ...], says: str, tmp_path: Path
) -> None:
    """A wrong code or layout is a usage error that names what there is."""
    result = run("--knowledge", tiny(tmp_path), "lint", *arguments)
    assert isinstance(result.exception, UsageError)
    assert says in str(result.exception)


def test_nothing_is_drawn_where_nobody_looks(tmp_path: Path) -> None:
    """Progress is for a terminal; a pipe gets the result alone."""
    result = run("--knowledge", tiny(tmp_path), "lint")
    assert result.stderr == ""
    assert "\r" not in result.stdout
