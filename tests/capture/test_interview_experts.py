"""A second expert, blind: the same counts, nobody's numbers shown, and where they differ."""

from __future__ import annotations

import json
from pathlib import Path

from capture.capture_kit import OFTEN, TALK, drafted, interview, knowledge
from session_kit import run

from diagnose.capture.folder import read_folder
from diagnose.capture.record import Interview, folder
from diagnose.cli.interview.evidence import differ_lines

BLIND = ["yes", "AB", "PQ", "inspector", "22", "radial singles"]
COUNTS = ["2 6 4 80 it stops outright", "90 110 100 90", "8 14 11 80", "1 4 2 80", "10 16 14 80"]


def both(tmp_path: Path) -> tuple[Path, str, str]:
    """Hold an interview, then ask a second expert blind; return what the second saw, too."""
    root = knowledge(tmp_path)
    name = interview(root)
    result = run("--knowledge", str(root), "interview", "blind", name, typed=[*BLIND, *COUNTS])
    return root, name, result.stdout


def test_the_second_expert_sees_none_of_the_first_ones_numbers(tmp_path: Path) -> None:
    """He is asked the same counts, and no figure or reason of the first is on his screen."""
    _, name, shown = both(tmp_path)
    first, second = (Interview.find(folder(), n).told() for n in folder().ids())
    counts = [a for a in first.said if a.startswith("often-")]
    assert [a for a in second.said if a.startswith("often-")] == counts
    assert "14 of 20" in shown, "his own, said back to him"
    for seen in ("it fades late", "it sags with power", "12 of 20", "JK"):
        assert seen not in shown.partition("--- 1 of 1")[2], seen
    assert f"differ {name}" in shown


def test_the_first_expert_cannot_answer_himself_blind(tmp_path: Path) -> None:
    """His initials are refused."""
    root = knowledge(tmp_path)
    name = interview(root)
    shown = run("--knowledge", str(root), "interview", "blind", name,
                typed=["yes", "AB", "jk", "PQ"]).stdout  # fmt: skip
    assert "JK gave the interview; another person is needed here." in shown


def test_the_widest_spread_comes_first_with_each_ones_reason(tmp_path: Path) -> None:
    """Text and JSON say who said how many, why, the pool and how far they lie apart."""
    root, name, _ = both(tmp_path)
    text = run("--knowledge", str(root), "interview", "differ", name).stdout
    first = text.partition("spread ")[2]
    assert first.startswith("0.50, pooled 0.45")
    assert "JK, 41 years: 14 of 20 (10 to 16, 80 % sure); why: it fades late" in first
    assert "PQ, 22 years: 4 of 20 (2 to 6, 80 % sure); why: it stops outright" in first
    assert "under 10 seeds: shown, no weight made of it" in text
    body = json.loads(run("--knowledge", str(root), "interview", "differ", name, "--json").stdout)
    spreads = [c["spread"] for c in body["counts"]]
    assert spreads == sorted(spreads, reverse=True)
    assert [e["seeds"] for e in body["experts"]] == [1, 1]


def test_plain_breaks_no_line(tmp_path: Path) -> None:
    """A screen reader gets each sentence whole."""
    root, name, _ = both(tmp_path)
    lines = run("--knowledge", str(root), "--plain", "interview", "differ", name).stdout
    assert any(line.startswith("Of 20 aeroplanes") and line.endswith("?")
               for line in lines.splitlines())  # fmt: skip


def test_drafts_pool_both_and_keep_each_ones_number(tmp_path: Path) -> None:
    """The row has the mean, and beside it who said how many; the blind sitting is cited."""
    root, name, _ = both(tmp_path)
    drafts = drafted(root, name, tmp_path)
    text = (drafts / "causes" / "filters" / "strainer-plugged.yaml").read_text(encoding="utf-8")
    assert "how-often: .45" in text
    assert "JK 14 of 20 (10 to 16, 80 % sure); PQ 4 of 20 (2 to 6, 80 % sure)" in text
    assert "pooled 0.45, spread 0.50" in text
    assert f"id: blind-{folder().ids()[1]}" in text


def test_a_count_that_only_the_blind_expert_gave_leads_back_to_him(tmp_path: Path) -> None:
    """His entry number in the record of another would lead to somebody else's words."""
    root = knowledge(tmp_path)
    first = [step if step != OFTEN[2] else "cannot say" for step in TALK]
    name = interview(root, first)
    run("--knowledge", str(root), "interview", "blind", name, typed=[*BLIND, *COUNTS])
    blind = Interview.find(folder(), folder().ids()[1])
    made = read_folder(drafted(root, name, tmp_path))
    cause = next(d for d in made.drafts if d.id.endswith("strainer-plugged"))
    (entry,) = [
        s.entry for s in blind.told().said.values()
        if s.about.get("value") == "low" and s.about["cause"] == "strainer-plugged"
    ]  # fmt: skip
    assert f"source: {{id: {blind.source}, part: entry {entry}, gives: " in cause.text
    assert "PQ 11 of 20" in "\n".join(differ_lines(Interview.find(folder(), name), cause))


def test_a_blind_sitting_is_cited_only_where_one_of_its_counts_stands(tmp_path: Path) -> None:
    """What it said of another cause is no source of this one."""
    root, name, _ = both(tmp_path)
    blind = Interview.find(folder(), folder().ids()[1])
    by_entry = {s.entry: s for s in blind.told().said.values()}
    for draft in read_folder(drafted(root, name, tmp_path)).drafts:
        for line in draft.text.splitlines():
            if line.startswith(f"  - {{id: {blind.source}"):
                part = line.partition("part: ")[2].partition(", gives")[0]
                cited = [by_entry[int(n)] for n in part.split()[1:]]
                assert all(s.about["cause"] == draft.id.rpartition("/")[2] for s in cited), line


def test_a_blind_sitting_is_not_drafted_by_itself(tmp_path: Path) -> None:
    """It belongs to the interview it answers."""
    root, name, _ = both(tmp_path)
    blind = folder().ids()[1]
    result = run(
        "--knowledge", str(root), "interview", "draft", blind, "--out", str(tmp_path / "x")
    )
    assert f"{blind} answers {name} blind; name {name}." in str(result.exception)
