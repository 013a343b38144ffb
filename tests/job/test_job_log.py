"""The log of a job: what a kill, a full disk or an editor can do to it, and what is told."""

from __future__ import annotations

import errno
import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from job.job_kit import every_kind, lines_of, open_job, tiny_bench, write_lines

from diagnose.errors import CaseError
from diagnose.job.job import Job
from diagnose.job.keeping.log import MOST_PROBLEMS, JobLog
from diagnose.job.keeping.shapes import NEEDED, wrong_with

OPENED = {"layout": "tiny-single", "edition": "e", "reported": "Quit in the climb – “dead”."}


def small_log(folder: Path) -> JobLog:
    """Write an opened job with a few notes."""
    log = JobLog(folder / "2026-11-25-01.jsonl")
    log.append("opened", **OPENED)
    for k in range(3):
        log.append("note", text=f"note {k} – °C")
    return log


def damaged(folder: Path, line: int, data: bytes) -> CaseError:
    """Return the error told when ``data`` stands for ``line`` (from 1) of a small log."""
    log = small_log(folder)
    lines = log.path.read_bytes().split(b"\n")
    lines[line - 1] = data
    log.path.write_bytes(b"\n".join(lines))
    with pytest.raises(CaseError) as caught:
        JobLog(log.path)
    return caught.value


def event_line(n: int, **changed: Any) -> bytes:
    """Return a note as a line of a log, with keys changed."""
    event = {"n": n, "at": "2026-11-25T10:00:00+00:00", "event": "note", "text": "x", **changed}
    return json.dumps(event).encode()


def test_missing_file_is_an_empty_log(tmp_path: Path) -> None:
    """A job not yet written to has no events and nothing set aside."""
    log = JobLog(tmp_path / "none.jsonl")
    assert log.events == []
    assert log.set_aside == ""


def test_reading_gives_what_was_appended(tmp_path: Path) -> None:
    """Events in memory are those a later session reads, tuples already lists."""
    log = small_log(tmp_path)
    log.append("run", readings=[("fuel-pressure", "engine", "static")])
    assert JobLog(log.path).events == log.events
    assert log.events[-1]["readings"] == [["fuel-pressure", "engine", "static"]]


def test_every_kind_of_event_is_read_again(tmp_path: Path) -> None:
    """A log with every kind a session records is read without complaint."""
    job = open_job(tmp_path / "home", tiny_bench(tmp_path))
    every_kind(job)
    assert {e["event"] for e in lines_of(job)} == set(NEEDED)
    assert JobLog(job.log.path).events == job.log.events


def test_cut_at_every_byte_keeps_every_whole_event_and_tells(tmp_path: Path) -> None:
    """Cut anywhere, the log keeps the lines that are whole, tells of the rest and goes on."""
    log = small_log(tmp_path)
    data = log.path.read_bytes()
    cut_path = tmp_path / "cut" / "cut.jsonl"
    cut_path.parent.mkdir()
    for size in range(len(data) + 1):
        cut_path.write_bytes(data[:size])
        cut = JobLog(cut_path)
        whole = data[:size].count(b"\n")
        torn = data[:size].rpartition(b"\n")[2]
        assert cut.events == log.events[:whole]
        assert bool(cut.set_aside) == bool(torn)
        assert cut_path.read_bytes() == data[:size], "reading must change nothing"
        if whole:
            cut.append("note", text="after the cut")
            later = JobLog(cut_path)
            assert later.set_aside == ""
            assert later.events == [*log.events[:whole], cut.events[-1]]
        if torn and whole:
            aside = cut_path.with_suffix(".torn")
            assert aside.read_bytes() == torn + b"\n"
            assert aside.name in cut.set_aside
            aside.unlink()


@pytest.mark.parametrize(
    ("line", "data", "said"),
    [
        (2, b"", "not a JSON event"),
        (2, b"{", "not a JSON event"),
        (2, b"[" * 100_000, "not a JSON event"),
        (2, b'{"n": ' + b"9" * 5000 + b"}", "not a JSON event"),
        (2, event_line(2, text=float("nan")), "not a JSON event"),
        (2, event_line(2, text="x").replace(b'"text"', b'"text":"y","text"'), "not a JSON event"),
        (2, event_line(2, text="\ud800"), "not a JSON event"),
        (2, event_line(2, text="\x1b[2J"), "not a JSON event"),
        (2, event_line(2, text="x").replace(b"x", b"\xc2\x9b"), "not a JSON event"),
        (3, b"\xff\xfe", "not UTF-8"),
        (2, b"[]", "not an event of a job"),
        (2, b"3", "not an event of a job"),
        (2, event_line(2, event=7), "not an event of a job"),
        (3, event_line(2), "event number 2 where 3 should stand"),
        (2, event_line(4), "event number 4 where 2 should stand"),
        (2, event_line("2"), "event number '2' where 2 should stand"),  # type: ignore[arg-type]
        (1, event_line(True, event="opened", **OPENED), "event number True where 1"),
        (2, event_line(2, at=None), "without its time"),
        (2, event_line(2, at="yesterday"), "without its time"),
        (2, event_line(2, at="2026-11-25T10:00:00"), "without its time"),
        (2, event_line(2, event="guessed"), "not a kind of event"),
        (2, event_line(2, event="opened", **OPENED), "opened by its first event"),
        (1, event_line(1), "opened by its first event"),
        (2, event_line(2, text=["x"]), "for its 'text'"),
        (2, event_line(2, event="withdrawn"), "without its 'of'"),
        (2, event_line(2, event="withdrawn", of=2), "stands no earlier"),
        (2, event_line(2, event="verified", gone="yes"), "for its 'gone'"),
        (2, event_line(2, event="answered", finding={"question": "x"}), "for its 'finding'"),
        (2, event_line(2, event="not-checked", reading=["x"]), "for its 'reading'"),
        (2, event_line(2, event="ranked", ranking=[{"rank": "1"}]), "for its 'ranking'"),
    ],
)
def test_damage_is_told_with_its_line(tmp_path: Path, line: int, data: bytes, said: str) -> None:
    """Any damage but a torn last line is an error that names file and line and what is wrong."""
    error = damaged(tmp_path, line, data)
    assert len(error.problems) == 1
    origin = error.problems[0].origin
    assert (origin.file, origin.line) == ("2026-11-25-01.jsonl", line)
    assert said in error.problems[0].text
    assert "Restore the file from a copy" in error.problems[0].text
    assert len(str(error)) < 400


def test_column_of_a_byte_that_is_not_utf8_is_told(tmp_path: Path) -> None:
    """The column points at the first byte that is no text."""
    error = damaged(tmp_path, 2, b'{"n": \xff}')
    assert error.problems[0].origin.col == 7


def test_a_file_damaged_throughout_is_not_told_line_by_line(tmp_path: Path) -> None:
    """A wrong file of a thousand lines gives a handful of problems."""
    path = tmp_path / "wrong.jsonl"
    path.write_text("rubbish\n" * 1000)
    with pytest.raises(CaseError) as caught:
        JobLog(path)
    assert len(caught.value.problems) == MOST_PROBLEMS


def test_a_folder_in_place_of_the_log_is_one_message(tmp_path: Path) -> None:
    """What cannot be read at all is a case error too."""
    with pytest.raises(CaseError, match="cannot be read"):
        JobLog(tmp_path)


def test_a_second_window_cannot_write_over_the_first(tmp_path: Path) -> None:
    """Two sessions on one job: the one left behind is told, and the log stays sound."""
    first = small_log(tmp_path)
    second = JobLog(first.path)
    second.append("note", text="from the second window")
    with pytest.raises(CaseError, match="another window"):
        first.append("note", text="from the first")
    assert JobLog(first.path).events == second.events


def test_full_disk_leaves_the_log_sound(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line only half on disk is cut back, told, and can be entered again."""
    log = small_log(tmp_path)
    before = log.path.read_bytes()

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        with pytest.raises(CaseError, match="No space left on device"):
            log.append("note", text="lost")
    assert log.path.read_bytes() == before
    assert log.append("note", text="again")["n"] == 5
    assert JobLog(log.path).events == log.events


@pytest.mark.parametrize("on_disk", [True, False])
def test_ctrl_c_while_an_entry_is_written_leaves_a_log_that_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, on_disk: bool
) -> None:
    """What was written just then stands or does not, and what comes after it is kept."""
    log = small_log(tmp_path)

    def interrupted(fd: int) -> None:
        if not on_disk:
            os.ftruncate(fd, os.fstat(fd).st_size - 5)
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", interrupted)
        with pytest.raises(KeyboardInterrupt):
            log.append("note", text="cut off")
    log.append("paused")
    kept = [e["event"] for e in JobLog(log.path).events]
    assert kept[4:] == (["note", "paused"] if on_disk else ["paused"])
    assert JobLog(log.path).events == log.events


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("caf\udce9", "caf?"),
        ("left\x1b[Dright", "left?[Dright"),
        ("bell\x07", "bell?"),
        ("\x9b2J", "?2J"),
        ("two\nlines\tand a tab", "two\nlines\tand a tab"),
        ("two\r\nlines", "two\nlines"),
        ("a backslash \\u001b", "a backslash \\u001b"),
        ("–°µ “quoted” 燃料", "–°µ “quoted” 燃料"),
    ],
)
def test_keys_that_are_no_text_are_kept_as_question_marks(
    tmp_path: Path, typed: str, kept: str
) -> None:
    """Arrow keys and half characters neither damage a log nor drive the screen that shows it."""
    log = small_log(tmp_path)
    assert log.append("note", text=typed)["text"] == kept
    assert JobLog(log.path).events == log.events


@pytest.mark.parametrize(
    ("kind", "carries"),
    [("guessed", {}), ("note", {}), ("note", {"text": float("nan")}), ("withdrawn", {"of": 99})],
)
def test_an_event_that_could_not_be_read_again_is_not_written(
    tmp_path: Path, kind: str, carries: dict[str, Any]
) -> None:
    """A mistake of the program stops at the door and leaves the file alone."""
    log = small_log(tmp_path)
    before = log.path.read_bytes()
    with pytest.raises(ValueError, match=r"not kept|JSON compliant"):
        log.append(kind, **carries)
    assert log.path.read_bytes() == before
    assert len(log.events) == 4


ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=6,
)


@settings(max_examples=300)
@given(kind=st.sampled_from(sorted(NEEDED)), data=st.data(), value=ANY_JSON)
def test_any_value_for_any_key_is_judged_without_failing(
    kind: str, data: st.DataObject, value: object
) -> None:
    """Whatever stands in an event, the answer is a short text, never an exception."""
    keys = ["n", "at", "event", "reading", "check", "other", *NEEDED[kind]]
    event = {"n": 2, "at": "2026-11-25T10:00:00+00:00", "event": kind}
    event[data.draw(st.sampled_from(keys))] = value
    said = wrong_with(event, 2)
    assert isinstance(said, str)
    assert len(said) < 200


def table(job: Job, rows: int = 3) -> list[tuple[str, dict[str, Any]]]:
    """Return ``rows`` notes that are to count together."""
    return [("note", {"text": f"row {k}"}) for k in range(rows)]


def test_a_group_cut_anywhere_counts_as_nothing(tmp_path: Path) -> None:
    """A log cut at any byte of a group holds what stood before the group, and goes on after it."""
    job = open_job(tmp_path / "home", tiny_bench(tmp_path))
    before = len(job.log.path.read_bytes())
    job.log.append_group(table(job))
    whole = job.log.path.read_bytes()
    for cut in range(before + 1, len(whole)):
        job.log.path.write_bytes(whole[:cut])
        log = JobLog(job.log.path)
        assert [e["event"] for e in log.events] == ["opened"], cut
        assert log.set_aside
        log.append("note", text="after")
        again_read = JobLog(job.log.path)
        assert [e["event"] for e in again_read.events] == ["opened", "note"]
        assert not again_read.set_aside
    job.log.path.write_bytes(whole)
    assert len(JobLog(job.log.path).events) == 4


def test_a_group_with_one_missing_in_the_middle_is_damage(tmp_path: Path) -> None:
    """A row cut out of a table that others follow is told with its place, not passed over."""
    job = open_job(tmp_path / "home", tiny_bench(tmp_path))
    job.log.append_group(table(job))
    job.record("note", text="later")
    lines = lines_of(job)
    del lines[2]
    write_lines(job, [{**e, "n": n} for n, e in enumerate(lines, start=1)])
    with pytest.raises(CaseError, match="group"):
        JobLog(job.log.path)
