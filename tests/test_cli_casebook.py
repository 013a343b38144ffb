"""``diagnose cases`` as people and machines use it, and past cases in a job at the terminal."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from diagnosis.shipped import CASES
from session_kit import as_json, run
from tiny_library import CASE, LAYOUT, write_tiny

from diagnose.errors import CaseError
from diagnose.job.keeping.registry import Registry

HOT = str(CASES / "demo-hot-soak.yaml")


def test_similar_names_what_is_alike_and_what_was_found_then() -> None:
    """Each case with its kind, its cause in words and by id, and the findings on either side."""
    body = as_json("cases", "similar", HOT)
    assert body["case"] == "demo-hot-soak"
    assert "demo-hot-soak" not in {r["case"] for r in body["similar"]}
    first = body["similar"][0]
    assert first["found"] == ["hot-soak-vapour@hose"]
    assert first["kind"] == "invented"
    assert first["shared"]
    assert all(r["kind"] != "from the model" for r in body["similar"])
    likeness = [r["likeness"] for r in body["similar"]]
    assert likeness == sorted(likeness, reverse=True)


def test_similar_says_in_words_that_the_ranking_takes_no_notice() -> None:
    """The text stays within the screen and says what the cases are for."""
    text = run("cases", "similar", HOT, "--most", "2").stdout
    assert "the ranking takes no notice" in text
    assert "found then: vapour after a hot soak" in text
    assert max(map(len, text.splitlines())) <= 100


def test_list_counts_each_kind_of_case() -> None:
    """Published, invented and drawn ones are told apart; a cause picks its own."""
    totals = as_json("cases", "list")["totals"]
    assert totals["published"] == 40
    assert totals["invented"] > 200
    assert totals["from the model"] > 200
    some = as_json("cases", "list", "--cause", "vent-nest")["cases"]
    assert all(any(c.startswith("vent-nest@") for c in r["causes"]) for r in some)


def test_draw_prints_or_writes_the_same_files(tmp_path: Path) -> None:
    """What is printed is what is written; the seed is in it."""
    shown = run("cases", "draw", "primer-not-locked", "--each", "1")
    assert shown.exit_code == 0, shown.output
    run("cases", "draw", "primer-not-locked", "--each", "1", "--out", str(tmp_path / "new"))
    (file,) = (tmp_path / "new").iterdir()
    assert file.read_text() in shown.stdout
    assert "from the model, seed" in shown.stdout


def test_draw_says_what_it_cannot_do(tmp_path: Path) -> None:
    """A folder that is a file, and a failure the model has no form of, are told in a line."""
    (tmp_path / "file").write_text("x")
    result = run("cases", "draw", "primer-not-locked", "--each", "1", "--out",
                 str(tmp_path / "file"))  # fmt: skip
    assert "name another folder with --out" in str(result.exception)
    result = run("cases", "draw", "stick-misused")
    assert result.exit_code == 0
    assert "No physical form in the model: stick-misused." in result.stderr


def test_prove_replays_the_proofs_of_one_cause() -> None:
    """Each proof with its verdict and why, in words and as data."""
    body = as_json("cases", "prove", "cap-left-off")
    assert body["causes"] == body["proved"] == 1
    assert {p["side"] for p in body["proofs"]} == {"fires-on", "silent-on"}
    text = run("cases", "prove", "cap-left-off").stdout
    assert "holds  cap-left-off  fires-on" in text
    assert "1 of 1 causes proved both ways" in text


@pytest.mark.parametrize("command", ["draw", "prove"])
def test_an_unknown_cause_is_one_clear_line(command: str) -> None:
    """The nearest name is offered and nothing is done."""
    result = run("cases", command, "strainer-pluged")
    assert "did you mean 'strainer-plugged'?" in str(result.exception)


def test_a_job_shows_past_cases_and_keeps_what_was_shown() -> None:
    """'similar' at a prompt lists them; the ranking is the same after; the record has them."""
    report = "No 2 engine, pressure low and the warning lamp lit on the run-up, boosters off."
    typed = ["yes", "2", "ranking", "similar", "ranking", "pause"]
    output = run(
        "job", "new", "--layout", "four-engine-injection", "--report", report, typed=typed
    ).output
    before, between, after = output.split("Still possible:")[-3:]
    assert "found then:" in before + between
    listed = [x for x in between.splitlines() if x.startswith(("  likely", "  possible"))]
    assert listed == [x for x in after.splitlines() if x.startswith(("  likely", "  possible"))]
    registry = Registry()
    name = registry.entries()[-1].id
    page = " ".join(run("job", "report", name).stdout.split())
    assert "FINISHED CASES LOOKED AT" in page.upper()
    assert "alike, " in page


def test_a_shipped_case_that_older_knowledge_cannot_read_stops_no_work_on_it(
    tmp_path: Path,
) -> None:
    """It is left out and said so; a case of one's own that cannot be read still stops."""
    root = write_tiny(
        tmp_path,
        {
            "layouts/tiny-single.yaml": None,
            "layouts/low-wing-single.yaml": LAYOUT.replace("tiny-single", "low-wing-single"),
            "cases/tiny-1.yaml": CASE.replace("tiny-single", "low-wing-single"),
        },
    )
    listing = ("--knowledge", str(root), "cases", "list", "--json")
    result = run(*listing)
    assert result.exit_code == 0, result.output
    assert "tiny-1" in {c["case"] for c in json.loads(result.stdout)["cases"]}
    assert "in shipped cases that this knowledge cannot read" in result.stderr

    (tmp_path / "cases" / "tiny-1.yaml").write_text("case: [")
    assert isinstance(run(*listing).exception, CaseError)
