"""A whole interview on the tiny knowledge, typed by an invented expert, and what comes of it.

root = knowledge(tmp_path)
name = interview(root)                  # the expert's whole talk, played through pipes
drafts = drafted(root, name, tmp_path)  # the folder of drafts
run("interview", "review", ...)         # see ``review``
"""

from __future__ import annotations

import atexit
import hashlib
import shutil
import tempfile
from pathlib import Path

from lint.lint_kit import SOUND
from session_kit import run
from tiny_library import write_tiny
from typer.testing import Result

from diagnose.capture import record


def _said_of(question: str, called: str, heard: str) -> str:
    """Return the sound file of a question with other words for it and its answers."""
    sound, _, _ = SOUND[question].partition("heard: ")
    return f"{sound}also-called: [{called}]\nheard: {{{heard}}}\n"


CHANGES = {
    "questions/fuel-pressure.yaml": _said_of(
        "questions/fuel-pressure.yaml",
        "pressure",
        "low: [low, sagged], normal: [in the band], high: [over the band]",
    ),
    "questions/engine-behaviour.yaml": _said_of(
        "questions/engine-behaviour.yaml",
        "engine",
        "fades: [faded, fades], well: [ran well], stops: [stopped]",
    ),
    "seeds.yaml": """\
seeds:
  - {seed: one, ask: How many?, unit: feet, answer: 100, source: handbook-one}
""",
}
"""The tiny knowledge, sound, with words that are heard and a seed question."""

OPENING = ["yes", "AB", "JK", "ground engineer, retired", "41", "low wing singles"]
CASE = [
    "Engine faded at take-off.",
    "Fuel pressure low on the run-up, booster off.",
    "",
    "all",
    "",
    "strainer",
    "1",
]
TIMELINE = [
    "It faded at take-off",
    "Looked at the gauge on the run-up",
    "Opened the strainer",
    "",
    "2",
]
CUES = [
    "pressure sagged on the run-up, booster off",
    "1",
    "",
    "a worn pump",
    "the pump, it was new",
    "pump worn",
    "1",
]
WHAT_IF = ["gone for the pump", "takes the pump off first"]
ALIKE = ["1", "the gauge is read against a test gauge", "The pump is weak at idle too."]
FIRST = ["1", "1 3", "It is twenty minutes and no joint."]
OFTEN = [
    "10 16 14 80 it fades late",
    "90 110 100 90",
    "8 14 12 80 it sags with power",
    "1 4 2 80",
    "10 16 14 80",
]
RULE = [
    "1 2",
    "1",
    "Fades and sags",
    "A strainer passes idle flow and not full flow.",
    "engine ran well at take-off",
    "1",
    "",
    "Let it cool first.",
    "Where gravity feeds there is no gauge.",
    "gave up",
    "engine faded",
    "1",
    "",
]
READ_BACK = ["1"]
TALK = [*OPENING, *CASE, *TIMELINE, *CUES, *WHAT_IF, *ALIKE, *FIRST, *OFTEN, *RULE, *READ_BACK]
"""Everything the expert types, from the consent to the end."""


def knowledge(folder: Path, changes: dict[str, str] | None = None) -> Path:
    """Write the tiny knowledge and return its folder."""
    return write_tiny(folder, {**SOUND, **CHANGES, **(changes or {})})


def begun(root: Path, typed: list[str]) -> Result:
    """Begin an interview with lines typed until the input ends."""
    words = ("--knowledge", str(root), "interview", "start", "--layout", "tiny-single")
    return run(*words, typed=typed)


_HELD: dict[tuple[str, ...], tuple[str, bytes]] = {}
_DRAFTED: dict[tuple[str, ...], Path] = {}


def _contents(*folders: Path) -> str:
    """Return a hash of all files of folders, by their names in them."""
    files = [(f.relative_to(x), f) for x in folders for f in x.rglob("*") if f.is_file()]
    parts = (str(name).encode() + f.read_bytes() for name, f in sorted(files))
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def interview(root: Path, typed: list[str] | None = None) -> str:
    """Hold an interview and return its name; the same talk on the same knowledge is held once."""
    words = TALK if typed is None else typed
    place, key = record.folder(), (_contents(root), *words)
    if key in _HELD and not place.ids():
        name, kept = _HELD[key]
        place.path(name).parent.mkdir(parents=True, exist_ok=True)
        place.path(name).write_bytes(kept)
        return name
    result = begun(root, words)
    assert result.exit_code == 0, result.output
    name = result.stdout.split("Interview ")[1].split(".")[0]
    _HELD[key] = name, place.path(name).read_bytes()
    return name


def drafted(root: Path, name: str, folder: Path) -> Path:
    """Draft what was said and return the folder; the same record on the same knowledge once."""
    out = folder / "drafts"
    key = (_contents(root, record.folder().path(name).parent), name)
    if key in _DRAFTED and not out.exists():
        shutil.copytree(_DRAFTED[key], out)
        return out
    result = run("--knowledge", str(root), "interview", "draft", name, "--out", str(out))
    assert result.exit_code == 0, result.output
    _DRAFTED[key] = Path(tempfile.mkdtemp()) / "drafts"
    atexit.register(shutil.rmtree, _DRAFTED[key].parent, ignore_errors=True)
    shutil.copytree(out, _DRAFTED[key])
    return out


def review(root: Path, name: str, drafts: Path, into: Path, *typed: str) -> Result:
    """Review drafts: initials first, then what is typed at each."""
    return run(
        "--knowledge",
        str(root),
        "interview",
        "review",
        name,
        "--drafts",
        str(drafts),
        "--into",
        str(into),
        typed=list(typed),
    )
