"""The shipped knowledge and layouts, loaded and compiled once for all tests."""

from __future__ import annotations

from pathlib import Path

from diagnose.cli.loading import bench_at, library_at
from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import list_layouts
from diagnose.model import Library

ROOT = Path(__file__).parents[2]
KNOWLEDGE = ROOT / "knowledge"
CASES = ROOT / "cases"
LAYOUTS = tuple(list_layouts(KNOWLEDGE))


def library() -> Library:
    """Return the shipped library, the one that the commands use."""
    return library_at(KNOWLEDGE)


def bench(layout: str) -> Bench:
    """Return the shipped layout compiled on the shipped library, the one that the commands use."""
    return bench_at(KNOWLEDGE, layout)
