"""Judged reports: how far the ranking agrees with them, and the odds fitted to them."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from diagnosis.shipped import CASES, KNOWLEDGE, bench, library
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from session_kit import as_json, run

from diagnose.belief.hypotheses import Floats
from diagnose.errors import CaseError, KnowledgeError, UsageError
from diagnose.knowledge_files import layout_of_case, list_judged, load_case, load_library
from diagnose.merit.judged import agreement, fit, judged_text, ranked, tilt, wanted_of
from diagnose.model import Case


def _shares(rows: int, modes: int) -> st.SearchStrategy[Floats]:
    positive = st.floats(1e-3, 1.0)
    return arrays(np.float64, (rows, modes), elements=positive).map(
        lambda a: a / a.sum(axis=1, keepdims=True)
    )


SOME = slice(None, None, 4)
"""One in four of the judged reports, of every kind: ranking all takes most of a minute."""


def _judged() -> list[Case]:
    files = list_judged(CASES)[SOME]
    return [load_case(f, library(), bench(layout_of_case(f)).layout) for f in files]


@given(_shares(7, 4), arrays(np.float64, 4, elements=st.floats(-2.0, 2.0)))
def test_the_factors_that_made_the_shares_are_found_again(held: Floats, factor: Floats) -> None:
    """With no penalty to speak of, tilting by the fit gives back what was asked for."""
    wanted = tilt(held, factor)
    assert np.abs(tilt(held, fit(held, wanted, 1e-9)) - wanted).max() < 1e-3


@given(_shares(7, 4), _shares(7, 4))
def test_a_fit_never_fits_worse_and_a_heavy_penalty_holds_it_at_the_words(
    held: Floats, wanted: Floats
) -> None:
    """Cross-entropy falls or stays; with the penalty large the odds stay as they were."""

    def entropy(given: Floats) -> float:
        return -float((wanted * np.log(given)).sum())

    assert entropy(tilt(held, fit(held, wanted))) <= entropy(held) + 1e-9
    assert np.abs(fit(held, wanted, 1e9)).max() < 1e-6


@pytest.mark.outside
def test_the_fit_is_the_minimum_that_a_reference_library_finds() -> None:
    """scipy.optimize (L-BFGS-B), on the same loss: the same factors to three places."""
    optimize = pytest.importorskip("scipy.optimize")
    rng = np.random.default_rng(5)
    held, wanted = rng.dirichlet(np.ones(9), 40), rng.dirichlet(np.full(9, 0.3), 40)

    def loss(a: Floats) -> float:
        return -float((wanted * np.log(tilt(held, a))).sum()) + 0.1 * float(a @ a)

    found = optimize.minimize(loss, np.zeros(9), method="L-BFGS-B", options={"ftol": 1e-14}).x
    assert np.abs(found - fit(held, wanted, 0.1)).max() < 1e-3


def test_what_judgements_leave_to_others_is_spread_as_the_tool_spreads_it() -> None:
    """Half named, half left: the modes not named share it in the tool's proportions."""
    held, named = np.array([[0.4, 0.4, 0.2]]), np.array([[0.5, 0.0, 0.0]])
    assert wanted_of(held, named)[0].tolist() == pytest.approx([0.5, 1 / 3, 1 / 6])


def test_the_ranking_agrees_with_judged_reports_it_was_fitted_to() -> None:
    """A loss of agreement after a change of knowledge is told; README has the figures."""
    reports = ranked(_judged(), bench)
    found = agreement(reports.held, reports)
    assert found.reports == 161
    assert found.in_three >= 0.76
    assert found.mass >= 0.5
    assert found.mass < found.best_mass


def test_a_judged_report_needs_no_cause_and_its_shares_are_checked(tmp_path: Path) -> None:
    """Nobody looked, so there is no cause; a mode nobody knows and a sum above 100 are told."""
    file = list_judged(CASES)[0]
    good = load_case(file, library(), bench(layout_of_case(file)).layout)
    assert good.judged
    assert not good.causes
    bad = tmp_path / file.name
    text = file.read_text(encoding="utf-8").split("judged:")[0]
    bad.write_text(text + "judged:\n  - {strainer-pluged: 60, vent-nest: 60}\n", encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        load_case(bad, library(), bench(good.layout).layout)
    told = "\n".join(str(p) for p in caught.value.problems)
    assert "did you mean 'strainer-plugged'" in told
    assert "sum to 120, above 100" in told


def test_a_factor_for_a_mode_nobody_knows_or_out_of_bounds_is_told(tmp_path: Path) -> None:
    """judged.yaml is held against the causes; a factor may lean on a word, not delete it."""
    root = tmp_path / "knowledge"
    shutil.copytree(KNOWLEDGE, root)
    (root / "judged.yaml").write_text("odds: {vent-nst: 2, vent-nest: 0}\n", encoding="utf-8")
    with pytest.raises(KnowledgeError) as caught:
        load_library(root, use_cache=False)
    told = "\n".join(str(p) for p in caught.value.problems)
    assert "judged.yaml:1:8: 'vent-nst'" in told
    assert "'vent-nest' is 0; it must be from 0.001 to 1000" in told


def test_judged_odds_are_written_and_read_back(tmp_path: Path) -> None:
    """The command keeps what it fitted where the next job will find it."""
    root, cases = tmp_path / "knowledge", tmp_path / "cases"
    shutil.copytree(KNOWLEDGE, root)
    (cases / "judged").mkdir(parents=True)
    for file in [f for f in list_judged(CASES) if layout_of_case(f) == "header-biplane"][:4]:
        shutil.copy(file, cases / "judged")
    words = ["--knowledge", str(root), "cases", "judged", "--cases", str(cases), "--write"]
    body = as_json(*words)
    read = load_library(root, use_cache=False).causes
    assert {m: read[m].judged for m in body["odds"]} == body["odds"]
    assert judged_text(body["odds"], 4) == (root / "judged.yaml").read_text(encoding="utf-8")
    none = run("cases", "judged", "--cases", str(root))
    assert isinstance(none.exception, UsageError)
