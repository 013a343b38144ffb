"""Where jobs live: numbers never shared, an index that can always be made again."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest
from job.job_kit import DAY, every_kind, open_job, tiny_bench

from diagnose.errors import UsageError
from diagnose.job.keeping.registry import EMPTY, UNREADABLE, Entry, Registry


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Return a home with three jobs: one finished, one open, one stopped."""
    bench = tiny_bench(tmp_path)
    home = tmp_path / "home"
    every_kind(open_job(home, bench, aeroplane="X-ONE"))
    open_job(home, bench, aeroplane="X-TWO")
    open_job(home, bench).record("stopped", reason="rain")
    return home


def states(entries: list[Entry]) -> list[str]:
    """Return the state of each job."""
    return [e.state for e in entries]


def test_jobs_are_listed_oldest_first_with_what_they_were_opened_with(home: Path) -> None:
    """The index holds what a list shows."""
    entries = Registry(home).entries()
    assert [e.id for e in entries] == [f"{DAY}-01", f"{DAY}-02", f"{DAY}-03"]
    assert states(entries) == ["finished", "open", "stopped"]
    assert entries[0].aeroplane == "X-ONE"
    assert entries[0].reported == "Power faded at take-off."


@pytest.mark.parametrize("damage", ["deleted", "rubbish", "empty", "other table", "cut"])
def test_an_index_lost_or_damaged_is_made_again_from_the_logs(home: Path, damage: str) -> None:
    """Every job is listed as before, and the next look finds a sound index."""
    before = Registry(home).entries()
    index = home / "index.sqlite"
    if damage == "cut":
        index.write_bytes(index.read_bytes()[:5000])
    else:
        index.unlink()
    if damage == "rubbish":
        index.write_bytes(b"not a database at all " * 400)
    if damage == "empty":
        index.write_bytes(b"")
    if damage == "other table":
        with closing(sqlite3.connect(index)) as db, db:
            db.execute("create table jobs (id text, other text)")
    assert Registry(home).entries() == before
    with closing(sqlite3.connect(index)) as db:
        assert db.execute("select count(*) from jobs").fetchone() == (3,)


@pytest.mark.parametrize("content", [b"not a database at all " * 400, None])
def test_work_goes_on_over_a_damaged_index(home: Path, tmp_path: Path, content: bytes) -> None:
    """A job opened while the index is no good is kept, and the others are listed still."""
    index = home / "index.sqlite"
    index.unlink()
    if content is not None:
        index.write_bytes(content)
    open_job(home, tiny_bench(tmp_path))
    assert states(Registry(home).entries()) == ["finished", "open", "stopped", "open"]


def test_an_index_that_cannot_be_written_stops_no_job(home: Path, tmp_path: Path) -> None:
    """A folder in place of the index: the log has it all, the list is read from the logs."""
    index = home / "index.sqlite"
    index.unlink()
    index.mkdir()
    job = open_job(home, tiny_bench(tmp_path))
    job.record("note", text="kept")
    assert len(Registry(home).entries()) == 4


def test_a_job_known_to_the_index_but_gone_is_not_listed(home: Path) -> None:
    """The logs are the jobs; the index only knows of them."""
    (home / "jobs" / f"{DAY}-02.jsonl").unlink()
    assert [e.id for e in Registry(home).entries()] == [f"{DAY}-01", f"{DAY}-03"]


def test_a_damaged_log_is_listed_as_unreadable_and_hides_no_other(home: Path) -> None:
    """One bad file tells what is wrong with it in its own line of the list."""
    (home / "index.sqlite").unlink()
    (home / "jobs" / f"{DAY}-02.jsonl").write_text("rubbish\n")
    entries = Registry(home).entries()
    assert states(entries) == ["finished", UNREADABLE, "stopped"]
    assert f"{DAY}-02.jsonl:1:1: not a JSON event" in entries[1].reported


def test_a_job_killed_before_its_opening_is_listed_as_empty(home: Path) -> None:
    """A number taken and nothing written is shown for what it is."""
    Registry(home).new_id(DAY)
    assert states(Registry(home).entries())[-1] == EMPTY


def test_numbers_taken_at_once_are_never_shared(tmp_path: Path) -> None:
    """Eight sessions opening jobs together get eight times as many different numbers."""
    taken: list[str] = []
    together = threading.Barrier(8)

    def take() -> None:
        registry = Registry(tmp_path)
        together.wait()
        for _ in range(10):
            taken.append(registry.new_id(DAY))

    threads = [threading.Thread(target=take) for _ in range(8)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert sorted(taken) == [f"{DAY}-{n:02}" for n in range(1, 81)]


def test_a_number_left_free_is_taken_and_one_in_use_is_not(tmp_path: Path) -> None:
    """Numbers run from 01 each day and a file there already is never touched."""
    registry = Registry(tmp_path)
    path = registry.path(registry.new_id(DAY))
    path.write_text("kept")
    assert registry.new_id(DAY) == f"{DAY}-02"
    assert registry.new_id("2026-11-26") == "2026-11-26-01"
    assert path.read_text() == "kept"


@pytest.mark.parametrize("name", ["", "nothing", "../home/jobs/2026-11-25-01", "x" * 5000, ".."])
def test_an_unknown_job_is_told_with_those_there_are(home: Path, name: str) -> None:
    """No name leads out of the folder of jobs or fails otherwise."""
    with pytest.raises(UsageError, match=f"{DAY}-03"):
        Registry(home).find(name)


def test_home_is_taken_from_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """DIAGNOSE_HOME says where jobs live."""
    monkeypatch.setenv("DIAGNOSE_HOME", str(tmp_path / "elsewhere"))
    assert Registry().path("x") == tmp_path / "elsewhere" / "jobs" / "x.jsonl"
