"""``--evidence`` of rank, replay and why: stated by default, the model on request."""

from __future__ import annotations

from pathlib import Path

import pytest
from diagnosis.shipped import CASES
from session_kit import as_json, run

CASE = str(CASES / "PC-38.yaml")  # on a small layout, so that solving takes little


@pytest.fixture(autouse=True)
def _own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))


def test_replay_says_what_it_weighed_and_the_model_changes_the_ranking(tmp_path: Path) -> None:
    """Stated is the default; both solves the model, keeps it, and gives other probabilities."""
    plain = as_json("replay", CASE, "--no-baselines")
    assert plain["evidence"] == "stated"
    assert not list(tmp_path.rglob("*.npz"))
    both = as_json("replay", CASE, "--no-baselines", "--evidence", "both")
    assert both["evidence"] == "both"
    assert len(list(tmp_path.rglob("*.npz"))) == 1
    first, second = (b["cases"][0]["findings_rank"]["probability"] for b in (plain, both))
    assert first != second
    why = as_json("why", CASE, "hot-soak-vapour", "--evidence", "both")
    weighed = [w for s in why["speaks"] for w in s["weighed"]]
    assert weighed
    assert all(" stated " in w and " model " in w and " weighed " in w for w in weighed)


def test_another_kind_of_evidence_is_refused() -> None:
    """A wrong word names the right ones."""
    result = run("rank", CASE, "--evidence", "guess")
    assert result.exit_code != 0
    assert "stated, model, both" in str(result.exception)


def test_predict_solves_a_layout_once_and_then_keeps_it(tmp_path: Path) -> None:
    """The first call makes the tables, the second finds them; what was solved is told."""
    first = as_json("predict", "high-wing-single")["layouts"][0]
    again = as_json("predict", "high-wing-single")["layouts"][0]

    assert first["made_now"] is True
    assert again["made_now"] is False
    assert len(list(tmp_path.rglob("*.npz"))) == 1
    for key in ("layout", "causes", "run_states", "solved", "without_steady_state"):
        assert first[key] == again[key]
    assert first["solved"] > 1000
