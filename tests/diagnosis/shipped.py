"""The shipped knowledge and layouts, loaded and compiled once for the tests that need them."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files import list_layouts, load_layout, load_library
from diagnose.model import Library

ROOT = Path(__file__).parents[2]
KNOWLEDGE = ROOT / "knowledge"
CASES = ROOT / "cases"
LAYOUTS = tuple(list_layouts(KNOWLEDGE))


@lru_cache(maxsize=1)
def library() -> Library:
    """Return the shipped library."""
    return load_library(KNOWLEDGE)


@lru_cache(maxsize=16)
def bench(layout: str) -> Bench:
    """Return the shipped layout compiled on the shipped library."""
    return Bench(library(), load_layout(list_layouts(KNOWLEDGE)[layout]))
