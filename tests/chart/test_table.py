"""The fault-finding table: the planner's checks, the belief's order, one entry for alike places."""

from __future__ import annotations

import re
from functools import lru_cache

import pytest
from diagnosis.shipped import bench

from diagnose.chart.start import finding_starts, named, symptom_starts
from diagnose.chart.table import LEAST, FaultTable, fault_table
from diagnose.chart.table_page import on_paper
from diagnose.errors import UsageError
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.gates import need_of_check
from diagnose.job.wording import hazards_of_mending
from diagnose.model import CauseAt
from diagnose.paper.blocks import A3, A4, Block, Paper
from diagnose.planner.actions import NOTHING_DONE

LAYOUT = "low-wing-twin"
ABOUT = ("fuel-pressure", "booster-restores", "strainer-drain-sample")


@lru_cache(maxsize=1)
def table() -> FaultTable:
    """Return a part of the table of the shipped twin."""
    return fault_table(bench(LAYOUT), ABOUT)


def test_engines_alike_share_one_entry_that_names_them_all() -> None:
    """Low pressure has one entry for both engines, its parts told as seen from that engine."""
    low = [e for e in table().findings if e.name.startswith("fuel-pressure=low@")]
    assert len(low) == 1
    assert low[0].places == ("no. 1 engine (port)", "no. 2 engine (starboard)")
    said = {w for c in low[0].causes for w in c.where}
    assert not any("no. 1" in w or "no. 2" in w for w in said)


def test_a_part_named_for_several_places_is_likely_at_each_of_them() -> None:
    """Dirt in one strainer is not laid on the tanks of the other side, nor on the other strainer.

    What holds for every such place is told as seen from there: the strainer itself, its own tanks.
    """
    b = bench(LAYOUT)
    parts = {b.places.label(p): p for p in b.layout.parts}
    shared = [e for e in table().findings if len(e.places) > 1]
    assert any("that strainer" in c.where for e in shared for c in e.causes)
    assert any("a tank that feeds it" in c.where for e in shared for c in e.causes)
    for entry in shared:
        what = entry.name.partition("@")[0]
        for place in entry.places:
            found = named(b, f"{what}@{parts[place]}").findings
            ranked = dict(Diagnosis(b, engine=False).see(found).posterior.ranking())
            for c in entry.causes:
                for part in (parts[w] for w in c.where if w in parts):
                    assert ranked[CauseAt(c.cause, part)] >= LEAST, (entry.name, place, part)


def test_a_line_told_by_a_limit_has_the_limit() -> None:
    """The band stands where the finding is looked for, in the words of its own paper."""
    b = bench(LAYOUT)
    pressure = b.layout.limits["fuel-pressure"]
    low = next(e for e in table().findings if e.name.startswith("fuel-pressure=low@"))
    said = f"Limits of this layout: {pressure.shown} ({pressure.reference})"
    assert low.limits == (said,)
    page = " ".join(re.sub(r"<[^>]+>", " ", on_paper(b, table(), A4).html()).split())
    assert said in page
    dirty = next(e for e in table().findings if e.name.startswith("strainer-drain-sample="))
    assert dirty.limits == ()


def test_a_danger_has_its_stop_where_it_is_found_before_its_checks() -> None:
    """Who finds fuel in the cabin reads to get everybody out before he reads what to look at."""
    b = bench("header-biplane")
    rules = {s.stops for s in b.library.symptoms.values() if s.stops}
    made = fault_table(b, ("fuel-smell", "cock-leaks-in-cabin", "strainer-drain-sample"))
    smell = next(e for e in made.findings if e.name.startswith("fuel-smell=cabin@"))
    (leak, *_) = made.symptoms
    dirt = next(e for e in made.findings if e.name.startswith("strainer-drain-sample=dirt@"))
    assert smell.stops
    assert leak.stops
    assert {*smell.stops, *leak.stops} <= rules
    assert dirt.stops == ()
    assert dirt.warns
    page = " ".join(re.sub(r"<[^>]+>", " ", on_paper(b, made, A4).html()).split())
    for entry in (smell, leak):
        row = page.partition(f"{entry.title}.")[2]
        for said in entry.stops:
            assert row.index(f"STOP: {' '.join(said.split())}") < row.index("1. ")
    assert f"CAUTION: {' '.join(dirt.warns[0].split())}" in page


def test_causes_stand_in_the_order_of_belief() -> None:
    """The table ranks as a job would with that finding alone, a mode's parts taken together."""
    b = bench(LAYOUT)
    for entry in (*table().findings, *table().symptoms):
        start = named(b, entry.name)
        summed: dict[str, float] = {}
        for cause, p in Diagnosis(b, engine=False).see(start.findings).posterior.ranking():
            if p >= 0.02 and cause.cause in b.library.causes:
                summed[cause.cause] = summed.get(cause.cause, 0.0) + p
        best = sorted(summed, key=lambda c: -summed[c])[: len(entry.causes)]
        assert [c.cause for c in entry.causes] == best


def test_every_cause_has_its_remedy_and_the_check_the_planner_would_make() -> None:
    """No line without what to do; the check is one of the cause's own."""
    b = bench(LAYOUT)
    for entry in (*table().findings, *table().symptoms):
        for c in entry.causes:
            known = b.library.causes[c.cause]
            assert c.remedy == known.rectify
            assert c.check in {k.check for k in known.checks}
            at = next(x.at for x in b.net.instances if x.cause == c.cause)
            settled = b.planner.settles(CauseAt(c.cause, at), NOTHING_DONE)
            assert settled is not None
            assert c.check == settled[0]


def test_a_symptom_tells_the_findings_that_make_it() -> None:
    """Who reads 'the booster brings the pressure back' sees which two readings that is."""
    entry = next(e for e in table().symptoms if e.name.startswith("booster-restores@"))
    assert len(entry.says) == 2
    assert "below the band" in entry.says[0]
    assert "in the band" in entry.says[1]


@pytest.mark.parametrize("paper", [A4, A3], ids=lambda p: p.name)
def test_every_check_named_is_told_in_full_on_the_last_sheets(paper: Paper) -> None:
    """Its number is there, cautions stand at the head of its sheet, and it has a close-out."""
    b = bench(LAYOUT)
    made = on_paper(b, table(), paper)
    html = made.html()
    checks = {c.check for e in (*table().findings, *table().symptoms) for c in e.causes}
    assert html.count('id="step-') == len(checks)
    assert html.count("Close-out:") >= len(checks)
    pages = re.findall(r'<section class="sheet">.*?</section>', html, re.S)
    for page, sheet in zip(pages, made.sheets(), strict=True):
        used = sorted(checks)
        told = [used[p.about - 1] for column in sheet.columns for p in column if p.about]
        head = " ".join(re.sub(r"<[^>]+>", " ", page.split('class="column"')[0]).split())
        for h in {h for c in told for h in b.library.checks[c].hazards}:
            assert " ".join(b.library.hazards[h].text.split()) in head
        mended = [
            x
            for x in b.library.causes.values()
            if x.id in {i.cause for i in b.net.instances} and {k.check for k in x.checks} & {*told}
        ]
        for h in {h for x in mended for h in hazards_of_mending(b, x)}:
            assert " ".join(b.library.hazards[h].text.split()) in head
        needs: set[str] = {need_of_check(b.library.checks[c]) for c in told}
        needs |= {x.verify_needs for x in mended if not x.outside}  # a repair is proved by a run
        assert ("POWER list" in head) == ("power" in needs)
        assert ("RUN list" in head) == ("run" in needs)


def test_what_went_before_is_no_fault_to_find() -> None:
    """Rain, the last uplift and days parked are circumstances; they are not in the table."""
    asked = {s.name.partition("=")[0] for s in finding_starts(bench(LAYOUT))}
    assert "fuel-pressure" in asked
    assert "fuel-smell" in asked
    assert not asked & {"rained-on", "last-uplift", "days-parked", "outside-heat"}


def test_a_subject_the_layout_does_not_have_is_told() -> None:
    """All unknown names at once, in one line."""
    with pytest.raises(UsageError, match="nothing about nonsense, hand-pump-feel"):
        fault_table(bench(LAYOUT), ["nonsense", "hand-pump-feel", "fuel-pressure"])


def test_no_cause_is_blamed_for_what_it_does_not_give() -> None:
    """A tank run dry is common and gives no stiff handle; a seized cock does."""
    entries = fault_table(bench("header-biplane"), ("cock-handle",)).findings
    stiff = [e for e in entries if e.name.startswith("cock-handle=stiff")]
    assert stiff
    for entry in stiff:
        named_there = [c.cause for c in entry.causes]
        assert named_there[0] == "cock-seized"
        assert "fuel-used-up" not in named_there


def test_a_finding_that_nothing_in_the_knowledge_gives_here_has_no_line() -> None:
    """Without an electric pump nothing on this layout burns: no usual suspect stands for it."""
    with pytest.raises(UsageError, match="nothing in the knowledge gives"):
        fault_table(bench("high-wing-single"), ("burning-smell",))


def test_what_the_layout_lacks_makes_no_line() -> None:
    """A gravity single without lamp or gauge has no line that begins with reading one."""
    biplane = bench("header-biplane")
    for start in symptom_starts(biplane):
        for f in start.findings:
            asked = biplane.library.checks if f.check else biplane.library.questions
            assert biplane.places.allows(asked[f.question], f.at), (start.name, f.question)
    assert not list(symptom_starts(biplane, ["gauge-against-lamp", "booster-gives-nothing"]))


def test_a_table_without_sets_of_findings_has_no_heading_for_them() -> None:
    """A heading over nothing makes a reader look for a lost page."""
    said = fault_table(bench(LAYOUT), ("fuel-pressure",))
    texts = [p.text for s in on_paper(bench(LAYOUT), said, A4).sheets()
             for c in s.columns for b in c if isinstance(b, Block) for p in b.paras]  # fmt: skip
    assert "What one look or reading shows" in texts
    assert ("What several findings make together" in texts) == bool(said.symptoms)
    assert not said.symptoms
