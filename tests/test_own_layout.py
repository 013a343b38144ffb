"""A layout of one's own, outside the knowledge: jobs and cases work on it and stay readable."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from diagnosis.shipped import KNOWLEDGE
from session_kit import run

LAYOUT, CASE = "my-single", "my-case"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a layout under a name of its own and a case on it."""
    shipped = (KNOWLEDGE / "layouts" / "high-wing-single.yaml").read_text(encoding="utf-8")
    own = re.sub(r"^layout: .*$", f"layout: {LAYOUT}", shipped, count=1, flags=re.M)
    (tmp_path / f"{LAYOUT}.yaml").write_text(own, encoding="utf-8")
    (tmp_path / f"{CASE}.yaml").write_text(
        f"case: {CASE}\nsource: invented\ninvented: yes\nlayout: {LAYOUT}\n"
        "reported: The sample from the strainer was rusty.\nfindings:\n"
        "  - {finding: strainer-drain-sample, at: strainer, value: dirt, known-by: seen}\n"
        "cause: {cause: strainer-plugged, at: strainer}\n",
        encoding="utf-8",
    )
    return tmp_path


def test_a_job_on_an_own_layout_can_be_taken_up_when_its_file_is_gone(folder: Path) -> None:
    """The log keeps the file whole, so that nothing is lost with it."""
    file = folder / f"{LAYOUT}.yaml"
    report = "The sample from the strainer was rusty"
    begun = run("job", "new", "--layout", str(file), "--report", report, typed=["all"])
    job = re.findall(r"\d{4}-\d\d-\d\d-\d\d", begun.output)[0]
    file.unlink()

    resumed = run("job", "resume", job)
    assert resumed.exit_code == 0, resumed.output
    record = run("job", "report", job)
    assert record.exit_code == 0, record.output
    assert f"Layout file: {LAYOUT}.yaml" in record.output
    assert "layout_text" not in record.output
    assert "kind: tank" not in record.output  # the file itself is for the log


def test_a_case_finds_the_layout_that_lies_beside_it(folder: Path) -> None:
    """Ranked, and played into a job that can be told again."""
    case = str(folder / f"{CASE}.yaml")
    ranked = run("rank", case)
    assert ranked.exit_code == 0, ranked.output
    assert f"layout {LAYOUT}" in ranked.output
    played = run("job", "new", "--answers", case)
    assert played.exit_code == 0, played.output
    assert run("job", "report", played.output.split()[-1]).exit_code == 0


def test_an_aeroplane_over_an_own_layout_is_usable_and_its_jobs_keep_both(
    folder: Path, home: Path
) -> None:
    """The file of the aeroplane finds its layout in the data folder, a job in its own log."""
    file = folder / f"{LAYOUT}.yaml"
    made = run("aeroplane", "new", "X-OWN", "--layout", str(file))
    assert made.exit_code == 0, made.output
    file.unlink()
    assert run("aeroplane", "show", "X-OWN").exit_code == 0

    report = "The sample from the strainer was rusty"
    begun = run("job", "new", "--aeroplane", "X-OWN", "--report", report, typed=["all"])
    job = re.findall(r"\d{4}-\d\d-\d\d-\d\d", begun.output)[0]
    (home / "layouts" / f"{LAYOUT}.yaml").unlink()
    resumed = run("job", "resume", job)
    assert resumed.exit_code == 0, resumed.output


def test_a_second_layout_of_one_name_is_not_written_over_the_first(folder: Path) -> None:
    """Two aeroplanes cannot quietly share a name for two fuel systems."""
    file = folder / f"{LAYOUT}.yaml"
    assert run("aeroplane", "new", "X-OWN", "--layout", str(file)).exit_code == 0
    file.write_text(file.read_text().replace("16 imp gal", "17 imp gal"), encoding="utf-8")
    again = run("aeroplane", "new", "X-TWO", "--layout", str(file))
    assert again.exception is not None
    assert "not written over" in str(again.exception) + again.output


def test_a_copy_of_the_layout_in_the_readme_is_in_order(folder: Path) -> None:
    """Copied as it says it can be used, and nothing starves in it."""
    file = folder / "mine.yaml"
    assert run("layout", "copy", "high-wing-single", str(file)).exit_code == 0
    checked = run("layout", "check", str(file))
    assert checked.exit_code == 0, checked.output
    assert "in order" in checked.output
    assert "starves" not in checked.output
