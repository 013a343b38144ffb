"""A hundred damaged logs through the commands that read them: one clear message each."""

from __future__ import annotations

import io
import json
import random
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from job.job_kit import every_kind, open_job, tiny_bench

from diagnose.__main__ import main

MUTANTS = 100
ODD: tuple[Any, ...] = (
    None,
    True,
    -1,
    3.5,
    10**30,
    "",
    "no-such-thing",
    "x" * 5000,
    "\x1b[31m\x00",
    [],
    {},
    [["a"]],
    {"a": {"b": []}},
)
"""What may stand for any value of an event."""

RAW = (
    b"\xff\xfe\x00",
    b"{",
    b"[" * 50_000,
    b'{"a":' * 50_000,
    b'"' + b"x" * 1_000_000,
    b"9" * 10_000,
    b"NaN",
    b'"\\ud800"',
    b"\r",
    "{“n”:1}".encode(),
)
"""What may stand for any line."""


def paths_of(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the path of every value inside ``value``, outermost first."""
    items: Iterable[tuple[Any, Any]] = value.items() if isinstance(value, dict) else ()
    items = enumerate(value) if isinstance(value, list) else items
    for key, inner in items:
        yield (*path, key)
        yield from paths_of(inner, (*path, key))


def mutant(lines: list[bytes], chance: random.Random) -> bytes:
    """Return a log with one thing wrong with it (or, rarely, nothing that matters)."""
    k = chance.randrange(len(lines))
    how = chance.choice(["value", "value", "value", "key", "line", "drop", "twice", "bytes", "cut"])
    if how in ("value", "key"):
        event = json.loads(lines[k])
        *way, last = chance.choice(list(paths_of(event)))
        inside: Any = event
        for step in way:
            inside = inside[step]
        if how == "value":
            inside[last] = chance.choice(ODD)
        else:
            del inside[last]
        lines[k] = json.dumps(event).encode()
    elif how == "line":
        lines[k] = chance.choice(RAW)
    elif how == "drop":
        del lines[k]
    elif how == "twice":
        lines.insert(k, lines[k])
    data = b"\n".join(lines) + b"\n"
    if how == "bytes":
        at = chance.randrange(len(data))
        data = data[:at] + chance.randbytes(3) + data[at + 3 :]
    if how == "cut":
        data = data[: chance.randrange(len(data))]
    return data


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the log of a finished job on the tiny layout, in a home of its own."""
    job = open_job(tmp_path / "home", tiny_bench(tmp_path))
    every_kind(job)
    monkeypatch.setenv("DIAGNOSE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return job.log.path


def run(
    words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> tuple[int, str, str]:
    """Run the program as from a shell with its input at an end; return code, stdout, stderr."""
    monkeypatch.setattr(sys, "argv", ["diagnose", *words])
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    monkeypatch.setenv("DIAGNOSE_TRACE", "1")  # a failure not foreseen comes through as itself
    with pytest.raises(SystemExit) as left:
        main()
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


@pytest.mark.parametrize("seed", range(4))
def test_damaged_logs_give_one_clear_message_each(
    log: Path,
    seed: int,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Resume, report and list leave with 4 (or work on what is sound), and never a traceback."""
    sound = log.read_bytes()
    chance = random.Random(seed)
    knowledge = ["--knowledge", str(log.parents[2] / "knowledge")]
    refused = 0
    for _ in range(MUTANTS // 4):
        data = mutant(sound.splitlines(), chance)
        codes = set()
        # reading the card that is out is the one command more that trusts names in the log
        card = [["readings", log.stem, "--blank"]] if chance.random() < 0.25 else []
        for words in (["resume", log.stem], ["report", log.stem], ["list"], *card):
            log.write_bytes(data)
            (log.parents[1] / "index.sqlite").unlink(missing_ok=True)
            code, out, err = run([*knowledge, "job", *words], capsys, monkeypatch)
            assert code in (0, 2, 4), (words, err)
            if code:
                refused += 1
                assert err.strip(), words
                assert len(err) < 4000, words
                assert "Traceback" not in err
                assert "\x1b" not in err, "a log must not drive the terminal"
            assert "\x1b" not in out, "a log must not drive the terminal"
            if code and words[0] != "list":
                codes.add(err)
        assert len(codes) <= 1, "resume and report tell the same"
    assert refused > MUTANTS // 4, "the damage was hardly seen: the test proves nothing"


def test_a_sound_log_passes_where_the_damaged_ones_fail(
    log: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The job itself is reported and listed, so that a refusal above is the damage's."""
    knowledge = ["--knowledge", str(log.parents[2] / "knowledge")]
    for words in (["resume", log.stem], ["report", log.stem], ["list"]):
        code, out, _ = run([*knowledge, "job", *words], capsys, monkeypatch)
        assert code == 0
        assert log.stem in out
