"""The proof of every cause: a sample replayed from the findings alone, the whole by command."""

from __future__ import annotations

import zlib
from functools import lru_cache

import pytest
from diagnosis.shipped import CASES, LAYOUTS, bench, library

from diagnose.belief import UNKNOWN
from diagnose.knowledge_files import load_shelf
from diagnose.knowledge_files.proof_text import with_proof
from diagnose.model import Case
from diagnose.replay.proof import Held, Ranked, alone, fires, hold, proofs_of, silent

SAMPLE = 24
"""Proofs replayed in a test run, picked by the hash of their names; `diagnose cases prove` takes
them all.  After a change of knowledge `diagnose cases prove --write` chooses them anew."""
UNPROVED = 32
"""Causes without a case that fires them, at most; two of them have no layout to be on."""


@lru_cache(maxsize=1)
def shelf() -> tuple[Case, ...]:
    """Return every kept case."""
    return load_shelf(CASES, library(), {n: bench(n).layout for n in LAYOUTS}).sound()


@lru_cache(maxsize=1)
def ranked() -> Ranked:
    """Return the kept cases, each ranked when first asked for."""
    return Ranked(shelf(), {n: bench(n) for n in LAYOUTS})


def all_proofs() -> list[tuple[str, str, str]]:
    """Return (cause, side, case) of every proof in the knowledge."""
    return [(c.id, side, case) for c in library().causes.values() for side, case in proofs_of(c)]


def test_a_sample_of_all_proofs_holds() -> None:
    """Named cases raise their cause, or leave it silent, from the findings alone."""
    picked = sorted(all_proofs(), key=lambda p: zlib.crc32(" ".join(p).encode()))[:SAMPLE]
    failed = [h for p in picked if not (h := hold(*p, ranked())).verdict.holds]
    assert failed == []


def test_every_proof_names_a_case_of_the_right_cause() -> None:
    """Under fires-on stand own cases, under silent-on others'; published ones under neither."""
    cases = {c.id: c for c in shelf()}
    for cause, side, name in all_proofs():
        truths = {t.cause for t in (*cases[name].causes, *cases[name].also_accept)}
        assert (cause in truths) == (side == "fires-on"), (cause, name)
        assert cases[name].invented, f"{name} is kept as a judge"


def test_nearly_every_cause_is_proved_both_ways() -> None:
    """What is not proved is counted; a cause without a case it stays silent on has no layout."""
    there = {c.cause for n in LAYOUTS for c in bench(n).net.instances}
    causes = library().causes.values()
    assert sum(not c.fires_on for c in causes) <= UNPROVED
    assert [c.id for c in causes if c.id in there and not c.silent_on] == []


@pytest.mark.parametrize(
    ("side", "case", "says"),
    [
        ("fires-on", "nowhere", "no such case"),
        ("fires-on", "PC-02", "kept as a judge"),
        ("fires-on", "inv-hose-cracked", "of another cause"),
        ("silent-on", "inv-ground-run-strainer", "of this very cause"),
        ("silent-on", "demo-job", "of this very cause"),
    ],
)
def test_a_proof_that_proves_nothing_fails_and_says_why(side: str, case: str, says: str) -> None:
    """A wrong name, a judge or the wrong side never passes for a proof."""
    held: Held = hold("strainer-plugged", side, case, ranked())
    assert not held.verdict.holds
    assert says in held.verdict.why


def test_a_cause_that_cannot_be_on_the_layout_is_not_silent_there() -> None:
    """The header biplane has no electric pump: no booster fault is proved silent on it."""
    found = ranked()("inv-hose-cracked")
    assert found is not None
    assert not silent(found, "booster-dead").holds


def test_a_case_without_its_findings_fires_nothing() -> None:
    """The criterion rests on the findings: take them away and no odds rise."""
    (case,) = (c for c in shelf() if c.id == "inv-ground-run-strainer")
    told = alone(bench(case.layout), case)
    untold = alone(bench(case.layout), Case(**{**case.__dict__, "findings": ()}))
    assert fires(told, "strainer-plugged").holds
    assert not fires(untold, "strainer-plugged").holds
    assert UNKNOWN not in untold.stands


def test_writing_a_proof_touches_nothing_else_of_the_file() -> None:
    """One line or a block, with or without the key: the rest stays byte for byte."""
    head, tail = "cause: x\nstatus: draft\n", "sources:\n  - common-practice\n"
    wanted = head + "proof:\n  fires-on: [a, b]\n  silent-on: [c]\n" + tail
    for old in ("proof: {fires-on: [], silent-on: []}\n", "proof:\n  fires-on: [z]\n", ""):
        assert with_proof(head + old + tail, ["a", "b"], ["c"]) == wanted
    assert with_proof(wanted, ["a", "b"], ["c"]) == wanted
    long = with_proof(head + tail, [f"case-number-{n:02}" for n in range(9)], [])
    assert max(map(len, long.splitlines())) <= 100
