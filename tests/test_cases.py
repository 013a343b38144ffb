"""The shipped cases: what they are, and how the reasoning does on them."""

from __future__ import annotations

import re
from collections import Counter
from functools import lru_cache
from typing import Any

import pytest
from diagnosis.shipped import CASES, bench

from diagnose.belief import UNKNOWN
from diagnose.job.case_warnings import warnings_of
from diagnose.job.diagnosis import Bench, Diagnosis
from diagnose.knowledge_files.cases import list_cases, list_told
from diagnose.model import Case
from diagnose.replay.guided import play
from diagnose.replay.score import Scored, place_of, totals
from diagnose.replay.study import load_cases, study

NAMED = {
    "pressure-warning", "gauge-disagreement", "siphoning-venting", "vapour-lock", "stuck-selector",
}  # fmt: skip


@lru_cache(maxsize=1)
def cases() -> tuple[tuple[Bench, Case], ...]:
    """Return every shipped case with its bench."""
    return tuple(load_cases(CASES, bench))


def published() -> list[tuple[Bench, Case]]:
    """Return the published occurrences."""
    return [(b, c) for b, c in cases() if not c.invented]


@lru_cache(maxsize=1)
def played() -> tuple[tuple[Case, Any], ...]:
    """Return each published case with its guided run; played once."""
    return tuple((c, play(b, c)) for b, c in published())


def test_forty_published_occurrences_are_cited_by_number_only() -> None:
    """Each is named by a report number or by where it was reprinted; none is marked invented."""
    assert len(published()) == 40
    for _, c in published():
        assert re.search(r"\d|number not shown", c.source)
        assert c.id.startswith("PC-")


def test_at_least_fifteen_demo_jobs_cover_the_five_named_families() -> None:
    """The demo jobs are marked invented, stand on the four-engine layout and cover the families."""
    demos = [c for _, c in cases() if c.invented]
    assert len(demos) >= 15
    assert {c.layout for c in demos} == {"four-engine-injection"}
    assert all("invented" in c.source for c in demos)
    assert set(Counter(c.family for c in demos)) >= NAMED


@pytest.mark.parametrize("k", range(40))
def test_the_true_cause_is_in_the_knowledge_or_said_not_to_be(k: int) -> None:
    """Every cause a case names can be at that part of its layout."""
    b, c = published()[k]
    for truth in (*c.causes, *c.also_accept):
        declared_missing = truth.cause in ("", UNKNOWN.cause)
        assert declared_missing or truth in b.net.index, f"{c.id}: {truth}"


def test_findings_alone_rank_the_true_cause_as_measured() -> None:
    """The floor under the ranking from the findings alone: 13 of 40 in the first three."""
    ranks = [g.findings.place.cause_and_place for _, g in played()]
    assert sum(0 < r <= 3 for r in ranks) >= 13
    assert sum(r == 1 for r in ranks) >= 7


def test_before_the_settling_check_the_ranking_has_improved() -> None:
    """Asking pays: the rank before the settling check beats the rank from the findings alone."""
    findings: list[Scored] = [g.findings for _, g in played()]
    before: list[Scored] = [g.before_check for _, g in played()]
    assert totals(before)["mrr"] > totals(findings)["mrr"]
    ranks = [s.place.cause_and_place for s in before]
    assert sum(0 < r <= 3 for r in ranks) >= 14
    assert sum(r == 1 for r in ranks) >= 9


def test_asked_to_the_end_most_true_causes_come_out() -> None:
    """Once the settling check is answered the true cause stands in the first three."""
    ranks = [g.final.place.cause_and_place for _, g in played()]
    assert sum(0 < r <= 3 for r in ranks) >= 32


def test_without_its_cause_the_knowledge_is_seldom_wrongly_sure() -> None:
    """Leave-one-out: at most a tenth of the cases put more than .8 on a wrong cause."""
    from diagnose.replay.study import _without

    wrongly = [_without(b, c)[1] for b, c in published()]
    assert sum(wrongly) <= len(wrongly) * 0.10


def test_demo_jobs_are_ranked_right() -> None:
    """Told everything a good engineer would ask, most demo jobs come out first."""
    from diagnose.job.diagnosis import Diagnosis
    from diagnose.replay.score import place_of

    ranks = []
    for b, c in cases():
        if c.invented:
            step = Diagnosis(b, c.before, engine=False).see(c.findings)
            ranks.append(place_of(step.posterior, c, b.library).place.cause_and_place)
    assert sum(r == 1 for r in ranks) >= 12
    assert sum(0 < r <= 4 for r in ranks) == len(ranks)


def test_a_study_is_one_plain_object_with_totals() -> None:
    """Rows and totals carry what outsiders score: ranks three ways, questions, minutes."""
    file = CASES / "PC-02.yaml"
    body: Any = study(file, bench, baselines=True, leave_out=True)
    (row,) = body["cases"]
    for key in ("findings_rank", "before_check_rank", "final_rank"):
        assert {"cause_and_place", "part", "family", "probability"} <= set(row[key])
    assert set(row["baselines"]) == {"random", "prior_only", "fixed"}
    total = body["totals"]
    assert {"top1", "top3", "mrr", "log_score", "brier_per_cause"} <= set(total["findings"])
    assert total["mean_minutes"] > 0


def test_a_second_reader_of_the_reports_gets_a_like_ranking() -> None:
    """The reports, transcribed again by readers who knew the words alone, rank about as well."""
    second = list(load_cases(CASES / "second", bench))
    assert {c.id for _, c in second} == {f"{c.id}-second" for _, c in published()}
    ranks = [
        place_of(Diagnosis(b, c.before, engine=False).see(c.findings).posterior, c, b.library)
        for b, c in second
    ]
    mine = sum(0 < s.findings.place.cause_and_place <= 3 for _, s in played())
    theirs = sum(0 < s.place.cause_and_place <= 3 for s in ranks)
    assert abs(mine - theirs) <= 4


def test_a_story_has_a_mode_of_its_own_that_can_be_at_its_place() -> None:
    """Written from the list of modes, each once; all that was told of it counts as meant."""
    stories = list(load_cases(CASES / "stories", bench))
    assert len(stories) > 60
    twice = [k for k, n in Counter(c.causes[0].cause for _, c in stories).items() if n > 1]
    assert twice == []
    for b, c in stories:
        assert c.invented, c.id
        assert len(c.causes) == 1, c.id
        assert c.family == b.library.causes[c.causes[0].cause].family, c.id
        assert {*c.causes, *c.also_accept} <= set(b.net.index), c.id
        assert not warnings_of(b, c), c.id


def test_stories_and_second_readings_are_played_by_their_folder_alone() -> None:
    """They only measure: nothing is proved by them, fitted to them or found like them."""
    kept_apart = {f for name in ("stories", "second") for f in (CASES / name).glob("*.yaml")}
    assert len(kept_apart) > 100
    assert not kept_apart & {*list_cases(CASES).values(), *list_told(CASES)}
