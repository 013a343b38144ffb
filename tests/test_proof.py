"""The proof of every cause: a sample replayed from the findings alone, the whole by command."""

from __future__ import annotations

import zlib
from dataclasses import replace
from functools import lru_cache

import pytest
from diagnosis.shipped import CASES, LAYOUTS, bench, library

from diagnose.belief import UNKNOWN
from diagnose.knowledge_files import load_shelf
from diagnose.knowledge_files.yaml_writing import with_proof
from diagnose.model import Case
from diagnose.replay.proof import (
    SETTLED,
    Held,
    Ranked,
    alone,
    fires,
    hold,
    proofs_of,
    settled,
    silent,
)
from diagnose.replay.proof_choice import choose

SAMPLE = 24
"""Proofs replayed in a test run, picked by the hash of their names; `diagnose cases prove` takes
them all.  After a change of knowledge `diagnose cases prove --write` chooses them anew."""
BY_CHECK = 10
"""Causes that only their check tells from their look-alikes, at most."""


@lru_cache(maxsize=1)
def shelf() -> tuple[Case, ...]:
    """Return every kept case."""
    return load_shelf([CASES], library(), {n: bench(n).layout for n in LAYOUTS}).sound()


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
    """Under silent-on stand others' cases, elsewhere its own; published ones nowhere."""
    cases = {c.id: c for c in shelf()}
    for cause, side, name in all_proofs():
        truths = {t.cause for t in (*cases[name].causes, *cases[name].also_accept)}
        assert (cause in truths) == (side != "silent-on"), (cause, name)
        assert cases[name].invented, f"{name} is kept as a judge"


def test_every_cause_is_proved_both_ways() -> None:
    """Each has a layout to be on, a case that raises it and one it stays silent on; those that need
    their check for it are few."""
    there = {c.cause for n in LAYOUTS for c in bench(n).net.instances}
    causes = library().causes.values()
    assert [c.id for c in causes if c.id not in there] == []
    assert [c.id for c in causes if not (c.fires_on or c.settled_on) or not c.silent_on] == []
    assert sum(not c.fires_on for c in causes) <= BY_CHECK


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


def test_a_check_settles_what_the_findings_leave_among_its_look_alikes() -> None:
    """Findings that could be several modes fire none of them; the check that was done names one."""
    mode = "cap-vent-stuck"
    case = next(c for c in shelf() if c.id == f"inv-{mode}")
    here = bench(case.layout)
    told = alone(here, case)
    assert not fires(told, mode).holds
    assert settled(told, mode).holds
    assert not settled(told, "cap-unvented-fitted").holds
    assert not settled(alone(here, Case(**{**case.__dict__, "examination": ()})), mode).holds
    chosen = choose(library(), [told])[mode]
    assert chosen.fires == ()
    assert chosen.settled == (case.id,)


def test_a_check_settles_nothing_that_the_findings_speak_against() -> None:
    """The odds must not have fallen, however sure the check is, and half is the least."""
    told = ranked()("inv-ground-run-strainer")
    assert told is not None
    (truth,) = told.truths
    for gain, p, holds in ((1.0, SETTLED, True), (0.9, 0.99, False), (9.0, 0.49, False)):
        stands = {truth: replace(told.stands[truth], gain=gain)}
        one = replace(told, stands=stands, first=(truth, p))
        assert settled(one, "strainer-plugged").holds is holds


def test_writing_a_proof_touches_nothing_else_of_the_file() -> None:
    """One line or a block, with or without the key: the rest stays byte for byte."""
    head, tail = "cause: x\nstatus: draft\n", "sources:\n  - common-practice\n"
    wanted = head + "proof:\n  fires-on: [a, b]\n  silent-on: [c]\n" + tail
    for old in ("proof: {fires-on: [], silent-on: []}\n", "proof:\n  fires-on: [z]\n", ""):
        assert with_proof(head + old + tail, ["a", "b"], ["c"]) == wanted
    assert with_proof(wanted, ["a", "b"], ["c"]) == wanted
    checked = with_proof(head + tail, [], ["c"], ["b"])
    assert "  fires-on: []\n  settled-on: [b]\n  silent-on: [c]\n" in checked
    long = with_proof(head + tail, [f"case-number-{n:02}" for n in range(9)], [])
    assert max(map(len, long.splitlines())) <= 100
