"""What is shown of clauses not heard: learned from coded reports, measured on others."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import pytest
from diagnosis.shipped import CASES, KNOWLEDGE, bench, library
from session_kit import as_json, run

from diagnose.errors import KnowledgeError, UsageError
from diagnose.job.hearing.nearest import Nearest
from diagnose.knowledge_files import layout_of_case, list_judged, list_told, load_case, load_library
from diagnose.merit.accounts import Told, is_kept_apart, laid, shown
from diagnose.model import ToldAs

ROUGH, LOW = ("engine-behaviour", "rough"), ("fuel-pressure", "low")


def test_a_strange_clause_is_laid_to_what_its_words_went_with_elsewhere() -> None:
    """What 'wheezed' means is learned where it stands beside a known word, and known from there."""
    both = Told(("ran rough and wheezed", "pressure low"), (ROUGH, LOW))
    alone = Told(("wheezed", "pressure low"), (ROUGH, LOW))
    *_, last = laid([*[both] * 9, alone], library())
    assert last == (ToldAs(*ROUGH, ("wheezed",)), ToldAs(*LOW, ("pressure low",)))


def test_a_clause_of_nothing_that_was_coded_is_laid_to_nothing() -> None:
    """Words of another thing altogether are no way of telling what was coded."""
    (one,) = laid([Told(("filler cap missing",), (LOW,))], library())
    assert one == (ToldAs(*LOW),)


def test_nothing_is_learned_from_reports_kept_apart(tmp_path: Path) -> None:
    """What measures the hearing is none of what it learned from; what was learned is read back."""
    root, cases = tmp_path / "knowledge", tmp_path / "cases"
    shutil.copytree(KNOWLEDGE, root)
    for folder in ("judged", "invented"):
        (cases / folder).mkdir(parents=True)
    some = [f for f in list_told(CASES) if layout_of_case(f) == "header-biplane"][::3]
    for file in some:
        shutil.copy(file, cases / file.parent.name)
    body = as_json("--knowledge", str(root), "cases", "told", "--cases", str(cases), "--write")
    here = bench("header-biplane")
    loaded = [load_case(f, library(), here.layout) for f in some]
    apart = sum(map(is_kept_apart, loaded))
    assert (body["learned_from"], body["apart"]) == (len(some) - apart, apart)
    read = load_library(root, use_cache=False).accounts
    assert len(read) == body["learned_from"]
    assert sum(len(t.clauses) for one in read for t in one) == body["clauses_laid"]
    none = run("cases", "told", "--cases", str(root))
    assert isinstance(none.exception, UsageError)


def test_a_third_of_what_was_not_heard_gets_the_right_answer_shown() -> None:
    """Of reports that nothing was learned from: twice what it is without any that were told."""
    files = list_judged(CASES)[::9]
    cases = [load_case(f, library(), bench(layout_of_case(f)).layout) for f in files]
    apart = [c for c in cases if is_kept_apart(c)]
    learned = shown(apart, lambda name: (bench(name), Nearest.of(bench(name))))
    before = shown(apart, cache(lambda name: (bench(name), Nearest(bench(name), ()))))
    assert learned.right > learned.clauses / 3
    assert learned.first > 1.3 * before.first


def test_an_answer_nobody_knows_is_told_where_it_stands(tmp_path: Path) -> None:
    """accounts.yaml is held against the questions."""
    root = tmp_path / "knowledge"
    shutil.copytree(KNOWLEDGE, root)
    text = "reports:\n- {fuel-smel=cabin: [], fuel-smell=cabn: [], fuel-smell: []}\n"
    (root / "accounts.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(KnowledgeError) as caught:
        load_library(root, use_cache=False)
    told = "\n".join(str(p) for p in caught.value.problems)
    assert "accounts.yaml:2:4: 'fuel-smel'" in told
    assert "did you mean 'cabin'?" in told
    assert "'fuel-smell' is no answer; write QUESTION=CLASS" in told
