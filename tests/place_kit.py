"""Layouts with their relations, and rows to put on them, for the tests of places."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from diagnose.knowledge_files import list_layouts, load_layout
from diagnose.model import Produces
from diagnose.places import Places

FILES = list_layouts(Path(__file__).parents[1] / "knowledge")
PLACES = {name: Places(load_layout(path)) for name, path in FILES.items()}
FOUR = PLACES["four-engine-injection"]
SINGLE = PLACES["low-wing-single"]
TWIN = PLACES["low-wing-twin"]
HIGH = PLACES["high-wing-single"]
BIPLANE = PLACES["header-biplane"]

PORT = {"no1-engine", "no2-engine"}
SHUT = {"crossfeed": "shut"}
OPEN = {"crossfeed": "open"}


def row(at: str = "engines-fed-through-it", **when: str | tuple[str, ...]) -> Produces:
    """Return a row that lowers the metering pressure ``at`` some places in some states."""
    fit = {d: (v,) if isinstance(v, str) else v for d, v in when.items()}
    return Produces("metering-pressure", "low", at, {"half": 0.7}, {"half": "often"}, fit)


def share(places: Places, r: Produces, part: str, place: str, known: Mapping[str, str]) -> float:
    """Return how far a row applies at ``place`` with the cause at one part."""
    (found,) = places.shares(r, [part], place, known)
    return found


def close(shares: Mapping[str, float]) -> object:
    """Return ``shares`` to compare with, to rounding."""
    return pytest.approx(dict(shares), abs=1e-12)
