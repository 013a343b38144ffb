"""The program as it is started: closed, full or no folder around it, options that disagree."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from session_kit import new, run

from diagnose.errors import UsageError

DIAGNOSE = [sys.executable, "-m", "diagnose"]
ROOT = Path(__file__).parents[1]


def in_shell(line: str, home: Path) -> subprocess.CompletedProcess[str]:
    """Run one line of the shell with the program's words as its first argument."""
    words = {**os.environ, "DIAGNOSE_HOME": str(home), "PYTHONPATH": str(ROOT)}
    return subprocess.run(
        ["bash", "-c", f"set -o pipefail; {line}", "bash", *DIAGNOSE],
        capture_output=True,
        text=True,
        env=words,
        timeout=60,
        check=False,
    )


def test_a_reader_that_goes_away_is_no_failure(tmp_path: Path) -> None:
    """Whoever looks at the first line with ``head`` is told nothing and gets 0."""
    done = in_shell('"$@" words causes | head -n 1', tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("\n") == 1


def test_a_closed_keyboard_is_the_end_of_input(tmp_path: Path) -> None:
    """A job opened where nobody can type is paused like any other."""
    new = '"$@" job new --layout low-wing-single --report "It surged." <&-'
    done = in_shell(new, tmp_path)
    assert done.returncode == 0
    assert "Paused; nothing is lost." in done.stdout


def test_the_program_looks_through_what_stays_seldom() -> None:
    """Walking the compiled rules again and again makes one answer in twenty slow."""
    asked = "import gc, diagnose.__main__ as m; m.collect_seldom(); print(*gc.get_threshold())"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert int(done.stdout.split()[2]) >= 1000


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device here")
def test_a_full_disk_is_told_in_one_line(tmp_path: Path) -> None:
    """What cannot be printed is no mistake of the program."""
    done = in_shell('"$@" words keys > /dev/full', tmp_path)
    assert done.returncode == 2
    assert done.stderr == (
        "the output cannot be read or written: No space left on device. Mend that, then run it "
        "again; nothing confirmed was lost.\n"
    )


@pytest.mark.parametrize(
    "words", ["job demo", "job list", "exercise start low-wing-single --seed 1"]
)
def test_a_home_that_is_no_folder_is_told_with_what_to_do(tmp_path: Path, words: str) -> None:
    """A data folder that is a file keeps nothing, and is not taken for an empty one."""
    home = tmp_path / "home"
    home.touch()
    done = in_shell(f'"$@" {words}', home)
    assert done.returncode == 2
    assert "name a folder you may write to with DIAGNOSE_HOME" in done.stderr
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("demo --work --day", "leave one of them out"),
        ("new --answers x.yaml --layout low-wing-single", "--answers FILE stands alone"),
        ("new --answers x.yaml --place hangar", "--answers FILE stands alone"),
    ],
)
def test_options_that_contradict_each_other_are_refused(words: str, says: str) -> None:
    """None of them is passed over: nobody would know which was taken."""
    error = run("job", *words.split()).exception
    assert isinstance(error, UsageError)
    assert says in str(error)


def test_a_job_without_an_aeroplane_has_no_file_to_renew() -> None:
    """It says what to do, not that there is no file for a name nobody typed."""
    new(layout="low-wing-single", report="It surged.")
    error = run("job", "resume", "--renew-aeroplane").exception
    assert str(error) == "no aeroplane is named in this job; leave --renew-aeroplane out."
