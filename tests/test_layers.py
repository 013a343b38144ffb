"""The architecture, held: imports point down, modules stay small, experta stays fenced in."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "diagnose"

LAYERS: list[set[str]] = [
    {"__main__"},
    {"cli"},
    {"merit"},
    {"training", "replay", "capture", "report", "lint", "chart"},
    {"casebook"},
    {"job"},
    {"planner"},
    {"aeroplane"},
    {"predict"},
    {"rules", "belief", "fuel", "knowledge_files", "paper"},
    {"in_use", "in_time", "in_places"},
    {"signs"},
    {"places"},
    {"model"},
    {"units", "counted", "kept"},
    {"errors", "grammar", "by_key", "how_far"},
]
"""Topmost first; a module may import from its own package and from layers below."""

LEVEL = {name: k for k, names in enumerate(LAYERS) for name in names}
MODULES = sorted(p for p in PACKAGE.rglob("*.py") if "shipped" not in p.parts)
TESTS = sorted(Path(__file__).parent.rglob("*.py"))


def _top(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def _imports(path: Path) -> set[str]:
    out: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            out.update(a.name for a in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            out.update({node.module} | {f"{node.module}.{a.name}" for a in node.names})
    return out


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_imports_point_down(path: Path) -> None:
    """A module imports only from its own package and from layers below it."""
    me = _top(path)
    if me == "__init__":
        return
    assert me in LEVEL, f"{me} has no place in the layers"
    for name in _imports(path):
        if not name.startswith("diagnose."):
            continue
        other = name.split(".")[1]
        if other in LEVEL and other != me:
            assert LEVEL[other] > LEVEL[me], f"{path.name} imports upwards or sideways: {name}"


@pytest.mark.parametrize(
    "path",
    sorted((PACKAGE / "job").rglob("*.py")),
    ids=lambda p: str(p.relative_to(PACKAGE)),
)
def test_imports_within_a_job_point_down(path: Path) -> None:
    """What is kept knows no reasoning; hearing, tests and the day stand on the job, apart."""
    me = path.parent.name
    may = {"job": {"keeping"}, "keeping": set()}.get(me, {"keeping", "job"})
    packages = {p.name for p in (PACKAGE / "job").iterdir() if p.is_dir()} | {"job"}
    for name in _imports(path):
        parts = name.split(".")
        if parts[:2] != ["diagnose", "job"] or len(parts) == 2:
            continue
        other = parts[2] if parts[2] in packages - {"job"} else "job"
        assert other == me or other in may, f"{path.name} imports upwards or sideways: {name}"


@pytest.mark.parametrize(
    "path", [*MODULES, *TESTS], ids=lambda p: str(p.relative_to(PACKAGE.parent))
)
def test_no_module_passes_400_lines(path: Path) -> None:
    """A module, or a file of tests, does one thing; 400 lines is the end of patience."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


def test_only_the_rules_import_experta() -> None:
    """The engine has one door."""
    users = {_top(p) for p in MODULES if any(n.split(".")[0] == "experta" for n in _imports(p))}
    assert users <= {"rules"}


@pytest.mark.parametrize(
    "path",
    [p for p in MODULES if LEVEL.get(_top(p), 0) > LEVEL["cli"]],
    ids=lambda p: str(p.relative_to(PACKAGE)),
)
def test_only_the_edge_prints_or_reads_a_terminal(path: Path) -> None:
    """No layer below the command line prints, reads input or knows rich and typer."""
    assert not {n.split(".")[0] for n in _imports(path)} & {"rich", "typer", "getpass"}
    calls = {
        n.func.id
        for n in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
    }
    assert not calls & {"print", "input"}


def test_the_top_level_holds_the_design_card_and_nothing_else() -> None:
    """README, DEVELOPERS, pyproject, LICENSE, four folders, and dotfiles."""
    allowed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "LICENSE",
        "diagnose",
        "knowledge",
        "cases",
        "tests",
    }
    build = {"dist", "build"}
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")} - build
    assert {f for f in found if not f.endswith(".egg-info")} <= allowed
