"""``diagnose rank``, ``why``, ``replay`` and ``words`` as machines and people use them."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from diagnosis.shipped import CASES
from session_kit import as_json, run

from diagnose.errors import UsageError

STRAINER = str(CASES / "PC-02.yaml")


def told(*words: str) -> str:
    """Return what a command prints; it must end well."""
    result = run(*words)
    assert result.exit_code == 0, result.output
    return result.stdout


def test_rank_gives_one_object_schema_version_first() -> None:
    """Causes with ids beside labels, words beside numbers, probabilities that sum to about one."""
    body = as_json("rank", STRAINER)
    first = body["causes"][0]
    assert {"rank", "cause", "at", "label", "place_label", "family", "probability", "word"} <= set(
        first
    )
    assert [r["rank"] for r in body["causes"]] == list(range(1, len(body["causes"]) + 1))
    single = sum(r["probability"] for r in body["causes"])
    assert 1.0 - 1e-9 <= single <= 2.0  # a pair counts at both its causes


def test_rank_is_the_same_on_every_run() -> None:
    """Three hash seeds, one ranking."""
    seen = set()
    for seed in ("0", "1", "2"):
        done = subprocess.run(
            [sys.executable, "-m", "diagnose", "rank", STRAINER, "--json"],
            capture_output=True, text=True, check=True,
            env={"PYTHONHASHSEED": seed, "PATH": "", "HOME": str(Path.home())},
            cwd=CASES.parent,
        )  # fmt: skip
        seen.add(done.stdout)
    assert len(seen) == 1


def test_rank_shows_words_first_and_numbers_on_request() -> None:
    """No probability is printed unless it is asked for; UNREVIEWED always is."""
    plain, numbers = told("rank", STRAINER), told("rank", STRAINER, "--numbers")
    figure = re.compile(r" 0\.\d{3} ")
    assert not figure.search(plain)
    assert figure.search(numbers)
    assert "UNREVIEWED" in plain


def test_why_names_file_line_source_and_speaker() -> None:
    """A cause is traced to rows with file and line, to its sources and to who said it."""
    body = as_json("why", STRAINER, "strainer-plugged")
    rows = [r for s in body["speaks"] for r in s["rows"]]
    assert any("strainer-plugged.yaml:" in r["file"] for r in rows)
    assert body["sources"]
    assert body["said_by"]
    text = told("why", STRAINER, "strainer-plugged@strainer")
    assert "because:" in text
    assert "odds lifted" in text  # it had been repainted


def test_why_takes_a_line_of_the_ranking_by_its_number() -> None:
    """Who reads the ranking need not know the ids."""
    second = as_json("rank", STRAINER)["groups"][1]
    body = as_json("why", STRAINER, "2")
    assert body["cause"] == second["causes"][0]
    error = run("why", STRAINER, "99999").exception
    assert isinstance(error, UsageError)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("strainer-pluged", "near it: strainer-plugged"),
        ("strainer-plugged@no-such", "strainer-plugged@PART with one of: strainer."),
        ("jettison-valve-passes", "has no part for, so it is never ranked"),
    ],
)
def test_why_of_a_name_that_is_not_there_says_what_is(name: str, says: str) -> None:
    """The nearest word, the parts it can be at, or why it can be at none."""
    error = run("why", STRAINER, name).exception
    assert isinstance(error, UsageError)
    assert says in str(error)


def test_why_of_a_symptom_shows_the_chain_down_to_findings() -> None:
    """A rule is traced through its literals to what was found."""
    demo = str(CASES / "demo-job.yaml")
    text = told("why", demo, "booster-restores@no2-engine")
    assert "booster-restores.yaml:" in text
    assert "fuel pressure gauge, no. 2 engine" in text


def test_words_lists_everything_a_case_is_written_in() -> None:
    """Layouts, parts, questions, signs, symptoms, causes and checks, ids beside labels."""
    body = as_json("words")
    for group in ("layouts", "parts", "questions", "signs", "symptoms", "causes", "checks"):
        assert body[group]
        assert all(item["id"] and item["label"] for item in body[group])
    assert all(q["classes"] for q in body["questions"])
    assert {p["layout"] for p in body["parts"]} == {x["id"] for x in body["layouts"]}


@pytest.mark.parametrize(
    ("text", "code", "says"),
    [
        ("case: X\nlayout: low-wing-single\n", 4, ":"),
        ("case: X\nlayout: low-wing-singel\n", 4, "2:9: 'low-wing-singel' is not a layout; did"),
        ("case: [", 4, ":"),
        ("\x00\xff", 4, ":"),
    ],
)
def test_bad_cases_are_told_with_their_place(
    tmp_path: Path, text: str, code: int, says: str
) -> None:
    """One line a problem, file:line:col, exit code 4, no traceback."""
    file = tmp_path / "bad.yaml"
    file.write_bytes(text.encode("latin-1"))
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "rank", str(file)], capture_output=True, text=True,
        check=False, cwd=CASES.parent,
    )  # fmt: skip
    assert done.returncode == code
    assert "bad.yaml" in done.stderr
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_contradicting_findings_leave_with_five_only_when_asked(tmp_path: Path) -> None:
    """The same reading given twice, differently, is a conflict; the exit code is opt-in."""
    file = tmp_path / "conflict.yaml"
    file.write_text(
        "case: CX\nsource: invented\ninvented: yes\nlayout: low-wing-single\n"
        "reported: x\nfindings:\n"
        "  - {finding: fuel-pressure, at: engine, value: low, known-by: read,"
        " state: {stage: run-up, booster: \"off\"}}\n"
        "  - {finding: fuel-pressure, at: engine, value: high, known-by: read,"
        " state: {stage: run-up, booster: \"off\"}}\n"
        "cause: {cause: strainer-plugged, at: strainer}\n"
    )  # fmt: skip
    words = [sys.executable, "-m", "diagnose", "rank", str(file)]
    quiet = subprocess.run(words, capture_output=True, check=False, cwd=CASES.parent)
    strict = subprocess.run(
        [*words, "--exit-code"], capture_output=True, check=False, cwd=CASES.parent
    )
    assert (quiet.returncode, strict.returncode) == (0, 5)
    assert b"conflict" in quiet.stdout


def _readme_section() -> str:
    """Return what README says of writing a case."""
    text = (CASES.parent / "README.md").read_text(encoding="utf-8")
    return text.split("\n## Write a case\n")[1].split("\n## ")[0]


def test_the_case_in_the_readme_loads_and_uses_every_key(tmp_path: Path) -> None:
    """Copied as it stands it ranks without a warning; no key of any table is left out."""
    section = _readme_section()
    example = section.split("```yaml\n")[1].split("```")[0]
    file = tmp_path / "my-case.yaml"
    file.write_text(example)
    result = run("rank", str(file))
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    for table, keys in as_json("words")["case_keys"].items():
        for key in keys:
            assert re.search(rf"\b{key}:|`{key}`|\*\*{key}\*\*", section), (table, key)


def test_the_keys_listed_are_those_the_loader_takes(tmp_path: Path) -> None:
    """Each listed key is known where it is said to stand; a key that is not listed is refused."""
    listed = as_json("words")["case_keys"]
    tables = {
        "before": "before: [{{zzz: 1, work: w, at: airframe{}}}]\n",
        "finding": "findings: [{{zzz: 1, finding: fuel-pressure, at: engine, value: low{}}}]\n",
        "check": "examination: [{{zzz: 1, check: inspect-strainer-element, at: strainer{}}}]\n",
        "cause": "cause: {{zzz: 1, cause: strainer-plugged, at: strainer{}}}\n",
    }
    body = "".join(
        line.format("".join(f", {k}: x" for k in listed[table] if f" {k}:" not in line))
        for table, line in tables.items()
    )
    rest = [k for k in listed["case"] if f"{k}:" not in body and k not in ("case", "layout")]
    file = tmp_path / "x.yaml"
    head = "case: x\nlayout: low-wing-single\n" + "".join(f"{k}: x\n" for k in rest)
    file.write_text(head + body)
    errors = str(run("rank", str(file)).exception)
    assert errors.count("'zzz' is not a known key") == len(tables)
    assert errors.count("is not a known key") == len(tables), errors


def test_words_can_be_looked_up_by_a_part_of_them_and_on_one_layout() -> None:
    """Who writes a case need not read a thousand lines; each hit stands under its group."""
    lines = told("words", "strainer", "--layout", "low-wing-twin").splitlines()
    assert all("strainer" in line for line in lines if line.startswith(" "))
    assert lines[:2] == ["parts:", "  no1-strainer: main strainer of no. 1 engine (port)"]
    assert "causes:" in lines
    for words in (["zzz"], ["strainer", "--json"], ["--layout", "no-such"]):
        error = run("words", *words).exception
        assert isinstance(error, UsageError), words


def test_a_whole_group_of_words_comes_by_its_name() -> None:
    """The keys of a case file can be read without the thousand words before them."""
    lines = told("words", "keys").splitlines()
    keys = as_json("words")["case_keys"]
    assert lines[0] == "keys of a case file:"
    for table in keys.values():
        assert all(any(line.startswith(f"  {key}: ") for line in lines) for key in table)
    assert "causes:" not in lines


def test_words_in_plain_text_reach_the_last_group() -> None:
    """Everything the JSON lists is printed for people too, without a crash on the way."""
    text = told("words")
    for part in (
        "families:",
        "  landing: low",
        "right-tank, both]",
        "  assumed: nobody said it",
        "epoch: 0",
    ):
        assert part in text, part
