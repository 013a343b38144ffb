"""The fault-finding table: the planner's checks, the belief's order, one entry for alike places."""

from __future__ import annotations

import re
from functools import lru_cache
from html import unescape

import pytest
from diagnosis.shipped import bench

from diagnose.chart.card import card_numbers
from diagnose.chart.check_sheet import CheckSheets
from diagnose.chart.start import finding_starts, named, symptom_starts
from diagnose.chart.table import BESIDE, FaultTable, fault_table
from diagnose.chart.table_page import on_paper
from diagnose.errors import UsageError
from diagnose.grammar import capital
from diagnose.job.diagnosis import Diagnosis
from diagnose.job.gates import need_of_check
from diagnose.job.wording import hazards_of_mending
from diagnose.model import CauseAt
from diagnose.paper.blocks import A3, A4, Paper
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


def test_a_part_is_named_only_at_the_places_where_it_is_likely() -> None:
    """Dirt in one strainer is not laid on the tanks of the other side, nor on the other strainer.

    What holds for every such place is told as seen from there; the part of the place itself needs
    no name.
    """
    b = bench(LAYOUT)
    parts = {b.places.label(p): p for p in b.layout.parts}
    shared = [e for e in table().findings if len(e.places) > 1]
    dirt = next(e for e in shared if e.name.startswith("strainer-drain-sample=dirt@"))
    assert next(c for c in dirt.causes if c.cause == "strainer-plugged").where == ()
    assert any("a tank that feeds it" in c.where for e in shared for c in e.causes)
    for entry in shared:
        what = entry.name.partition("@")[0]
        for place in entry.places:
            found = named(b, f"{what}@{parts[place]}").findings
            ranked = dict(Diagnosis(b, engine=False).see(found).posterior.ranking())
            for c in entry.causes:
                if c.only and place not in c.only:
                    continue
                best = max(p for at, p in ranked.items() if at.cause == c.cause)
                for part in (parts[w] for w in c.where if w in parts):
                    assert ranked[CauseAt(c.cause, part)] >= BESIDE * best, (entry.name, place)


def test_what_is_likely_at_one_place_only_says_at_which() -> None:
    """One line for all tanks names the tank that has the transfer valve."""
    made = fault_table(bench("four-engine-injection"), ("ledger-check",))
    less = next(e for e in made.findings if e.name.startswith("ledger-check=fuel-missing@"))
    assert len(less.places) == 6
    only = [c.only for c in less.causes if c.only]
    assert only
    assert all(set(places) < set(less.places) for places in only)


def test_a_mode_that_many_parts_share_is_still_told() -> None:
    """On four engines no one union is likely for a smell of fuel; the unions together are."""
    made = fault_table(bench("four-engine-injection"), ("fuel-smell",))
    outside = next(e for e in made.findings if e.name.startswith("fuel-smell=outside@"))
    told = {c.cause for c in (*outside.causes, *outside.seldom)}
    assert "union-loose-after-work" in told or "hose-cracked" in told, told


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
    page = page_text(on_paper(b, made, A4).html())
    for entry, begins in ((smell, "In the cabin or cockpit."), (leak, "Fuel from a cock in the")):
        row = page.rpartition(f"{begins} ")[2]
        for said in entry.stops:
            assert row.index(f"STOP: {' '.join(said.split())}") < row.index(" 1. ")
    assert f"CAUTION: {' '.join(dirt.warns[0].split())}" in page


def test_causes_stand_in_the_order_of_belief() -> None:
    """The table ranks as a job would with that finding alone, a mode's parts taken together."""
    b = bench(LAYOUT)
    for entry in (*table().findings, *table().symptoms):
        chances = [c.probability for c in entry.causes]
        assert chances == sorted(chances, reverse=True)
        start = named(b, entry.name)
        summed: dict[str, float] = {}
        for cause, p in Diagnosis(b, engine=False).see(start.findings).posterior.ranking():
            if cause.cause in b.library.causes:
                summed[cause.cause] = summed.get(cause.cause, 0.0) + p
        best = max(summed, key=lambda c: summed[c])
        assert best in {c.cause for c in entry.causes}
        if len(entry.places) == 1:
            assert entry.causes[0].cause == best


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


def page_text(html: str) -> str:
    """Return what a reader sees of a page."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.mark.parametrize("paper", [A4, A3], ids=lambda p: p.name)
def test_every_check_named_is_told_in_full_behind_the_sheet_of_cautions(paper: Paper) -> None:
    """The cautions are whole on their sheet, each check names its own before it begins."""
    b = bench(LAYOUT)
    html = on_paper(b, table(), paper).html()
    pages = [page_text(p) for p in re.findall(r'<section class="sheet">.*?</section>', html, re.S)]
    checks = {c.check for e in (*table().findings, *table().symptoms) for c in e.causes}
    assert html.count("Close-out:") >= len(checks)
    (at,) = [k for k, page in enumerate(pages) if "take this sheet along" in page]
    mended = {c.cause for e in (*table().findings, *table().symptoms) for c in e.causes}
    hazards = {h for c in checks for h in b.library.checks[c].hazards}
    hazards |= {h for c in mended for h in hazards_of_mending(b, b.library.causes[c])}
    for h in hazards:
        assert " ".join(b.library.hazards[h].text.split()) in pages[at]
    assert "RUN list, known before a propeller turns" in pages[at]
    assert "STOP AT ONCE" in pages[at]
    for page in pages[at + 1 :]:
        assert page.count(f"BEFORE EACH CHECK read what it names of the cautions and lists on page "
                          f"{at + 1}") == 1  # fmt: skip
    behind = " ".join(pages[at + 1 :])
    for check in (b.library.checks[c] for c in checks):
        (told,) = re.findall(rf"\d+ {re.escape(check.title)} \([^)]*\) (.{{400}})", behind)
        first = told.partition("Aeroplane:")[0]
        assert all(b.library.hazards[h].title in first for h in check.hazards)
        assert ("the RUN list" in first) == (need_of_check(check) == "run")


def test_the_index_names_the_page_of_every_subject() -> None:
    """Who looks for a finding turns to one page, and it is there."""
    b = bench(LAYOUT)
    html = on_paper(b, table(), A4).html()
    pages = [page_text(p) for p in re.findall(r'<section class="sheet">.*?</section>', html, re.S)]
    asked = [b.library.questions["fuel-pressure"].title, b.library.symptoms[ABOUT[1]].title]
    for title in map(capital, asked):
        (page,) = re.findall(rf"{re.escape(title)}: (\d+)", pages[0])
        assert title in pages[int(page) - 1]


def test_a_remedy_stands_once_and_no_cause_is_lost() -> None:
    """What is said at one check is not said again; what no line names is listed with its card."""
    b = bench("header-biplane")
    text = page_text(on_paper(b, fault_table(b, ()), A4).html())
    told = {c.cause: c for e in fault_table(b, ()).findings for c in e.causes}
    remedies = [" ".join(c.remedy.split()) for c in told.values()]
    for cause, c in told.items():
        remedy = " ".join(c.remedy.split())
        title = b.library.causes[cause].title
        home = f"{title.upper()} (card {card_numbers(b)[cause]}). {remedy}"
        assert text.count(home) == 1, (cause, remedies.count(remedy))
    for cause, card in card_numbers(b).items():
        assert f"(card {card})" in text, cause


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
    text = page_text(on_paper(bench(LAYOUT), said, A4).html()).lower()
    assert "what one look or reading shows" in text
    assert ("what several findings make together" in text) == bool(said.symptoms)
    assert not said.symptoms


def test_only_what_is_not_just_possible_is_marked() -> None:
    """A word on every line would be read on none; the opening says what no word means."""
    page = page_text(on_paper(bench(LAYOUT), table(), A4).html())
    rows = page.partition("What one look or reading shows".lower())[2].partition("Cautions and")[0]
    words = {c.word for e in table().findings for c in e.causes}
    assert "possible" in words
    assert "(possible)" not in rows
    assert ("(likely)" in rows) == ("likely" in words)
    assert "what is not marked likely or unlikely is possible" in page


def test_what_no_check_settles_is_sent_to_the_cautions_of_its_mending_too() -> None:
    """It may fill the last sheet alone, and its remedy opens a fuel part all the same."""
    b = bench("four-engine-injection")
    sheets = CheckSheets({}, {"return-into-full-tank": ""}, card_numbers(b))
    (block,) = sheets.blocks(b)
    (strip,) = sheets.over((block,))
    assert "BEFORE EACH CHECK" in strip.paras[0].text
    assert b.library.causes["return-into-full-tank"].title.upper() in block.paras[-1].text
