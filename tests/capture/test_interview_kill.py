"""Kills and cut-off files: an interview loses nothing that was told as kept."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from capture.capture_kit import (
    ALIKE,
    CASE,
    CUES,
    FIRST,
    OFTEN,
    OPENING,
    RULE,
    TIMELINE,
    WHAT_IF,
    interview,
    knowledge,
)

from diagnose.capture.asking import Ground
from diagnose.capture.record import INTERVIEW, Interview, folder
from diagnose.capture.steps import next_ask
from diagnose.cli.loading import bench_at, library_at
from diagnose.job.keeping.log import JobLog
from diagnose.knowledge_files.seeds import read_seeds

TALKER = Path(__file__).with_name("kill_talker.py")
KILLS = 25

TRIAD = "alike-strainer-plugged+engine-pump-worn+pressure-gauge-low"

ANSWERS = {
    "case": CASE[:3],
    "case-findings": CASE[3:5],
    "case-cause": CASE[5:],
    "timeline": TIMELINE[:4],
    "decisions": TIMELINE[4:],
    "cue-2-seen-words": CUES[:1],
    "cue-2-seen": CUES[1:3],
    "cue-2-expected": CUES[3:4],
    "cue-2-ruled-out": CUES[4:5],
    "cue-2-ruled-cause": CUES[5:],
    "what-if": WHAT_IF[:1],
    "trap": WHAT_IF[1:],
    TRIAD: ALIKE[:1],
    f"{TRIAD}-third": ALIKE[1:2],
    f"{TRIAD}-two": ALIKE[2:],
    "first-check": FIRST[:1],
    "first-reason": FIRST[1:2],
    "first-words": FIRST[2:],
    "seed-one": OFTEN[1:2],
    "rule-signs": RULE[:1],
    "rule-against": RULE[1:2],
    "rule-title": RULE[2:3],
    "rule-words": RULE[3:4],
    "rule-not-words": RULE[4:5],
    "rule-not": RULE[5:7],
    "rule-warns": RULE[7:8],
    "limits": RULE[8:9],
    "trade-1": RULE[9:10],
    "trade-1-means": RULE[10:11],
    "trade-1-finding": RULE[11:12],
    "trade-2": RULE[12:],
    "read-back": ["1"],
}
"""What the expert types to each question, by its id."""


def still_to_type(root: Path, name: str) -> list[str]:
    """Return what the expert types from the next question on, half a story taken into account."""
    ground = Ground(bench_at(root, "tiny-single"), read_seeds(root, library_at(root)))
    told = Interview.find(folder(), name).told()
    ask = next_ask(told, ground)
    if ask is None:
        return []
    begun = len(told.begun.get(ask.id, ()))
    order = list(ANSWERS)
    if ask.id.startswith("often-"):
        counts = sum(a.startswith("often-") for a in told.said)
        left = [OFTEN[k if k == 0 else k + 1] for k in range(counts, 4)]
        seed = [] if "seed-one" in told.said else OFTEN[1:2]
        rest = [*left[:1], *seed, *left[1:]]
        return [*rest, *_from(order.index("rule-signs"))]
    if ask.id == "seed-one":
        return [*OFTEN[1:], *_from(order.index("rule-signs"))]
    k = order.index(ask.id)
    own = ANSWERS[ask.id][begun:]
    before = order.index("seed-one")
    if k < before:
        between = [line for x in order[k + 1 : before] for line in ANSWERS[x]]
        return [*own, *between, *OFTEN, *_from(order.index("rule-signs"))]
    return [*own, *_from(k + 1)]


def _from(k: int) -> list[str]:
    return [line for x in list(ANSWERS)[k:] for line in ANSWERS[x]]


def words_of(name: str) -> dict[str, str]:
    """Return everything said, by question."""
    return {k: s.text for k, s in Interview.find(folder(), name).told().said.items()}


@pytest.mark.skipif(os.name != "posix", reason="forks its talkers and kills them by signal 9")
def test_a_talk_killed_again_and_again_ends_as_one_never_killed(tmp_path: Path) -> None:
    """Whatever was told as kept stands in the log; taken up to its end it says the same."""
    chance = random.Random(20261126)
    root = knowledge(tmp_path)
    whole = interview(root)
    name = interview(root, OPENING)
    typed = tmp_path / "typed"
    kills = 0
    with subprocess.Popen(
        [sys.executable, str(TALKER), str(root)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as w:
        assert w.stdin
        assert w.stdout
        while not Interview.find(folder(), name).told().finished:
            typed.write_text("\n".join(still_to_type(root, name)) + "\n", encoding="utf-8")
            w.stdin.write(f"{name} {typed}\n")
            w.stdin.flush()
            pid = int(w.stdout.readline().split()[1])
            if kills < KILLS:
                time.sleep(chance.uniform(0.0, 0.03))
                kills += _killed(pid)
            kept = []
            while (line := w.stdout.readline().strip()) != "gone":
                kept.append(int(line.split()[1]))
            there = len(JobLog(folder().path(name), INTERVIEW).events)
            assert there >= max(kept, default=0), "what was told as kept is gone"
        w.stdin.close()
    assert kills > KILLS // 4, "the talk was hardly ever killed: it proved nothing"
    assert words_of(name) == words_of(whole)


def _killed(pid: int) -> int:
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return 0
    return 1


def test_a_log_cut_off_anywhere_gives_every_whole_entry(tmp_path: Path) -> None:
    """A file that ends in the middle of an entry is read up to it and goes on after it."""
    root = knowledge(tmp_path)
    name = interview(root, [*OPENING, *CASE])
    path = folder().path(name)
    data = path.read_bytes()
    first = data.index(b"\n") + 1
    for cut in range(first, len(data), 97):
        path.write_bytes(data[:cut])
        there = Interview.find(folder(), name).log.events
        assert len(there) == data[:cut].count(b"\n")
