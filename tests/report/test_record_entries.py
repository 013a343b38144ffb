"""The record shows every entry and what became of it, the same in each form, and reads nothing."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from html import unescape
from pathlib import Path

import pytest
from diagnosis.shipped import bench
from report.record_kit import LAYOUT, PRESSURE, opened, rows, worked

from diagnose.job.day.closeout import follow_key, follow_up
from diagnose.job.keeping.shapes import NEEDED
from diagnose.model import CauseAt
from diagnose.paper.page import css_string
from diagnose.report import Report, build, render, shorten

HOSTILE = "</style><script>alert(1)</script> & \"q\" 'x' | `code` [a](http://x.y) \x1b[31m \u202e"
NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def visible(page: str, form: str) -> str:
    """Return what a reader sees of a form: no markup, wrapping and page heads undone."""
    if form == "html":
        page = unescape(re.sub(r"<[^>]*>", " ", page.partition("<body>")[2]))
    if form == "md":
        page = re.sub(r"\\([^\w\s])", r"\1", page)
    if form == "text":
        page = re.sub(r"(?m)^\f?UNREVIEWED.*(?:\n.*)*?\n={20,}$", "", page)
    return " ".join(page.split())


def test_every_kind_of_event_is_an_entry(tmp_path: Path) -> None:
    """Machines get the log whole and in order; the job here holds every kind there is."""
    job = worked(tmp_path)
    log = rows(job, "log")
    assert [r["n"] for r in log] == [e["n"] for e in job.log.events]
    assert [r["event"] for r in log] == [e["event"] for e in job.log.events]
    assert {r["event"] for r in log} == set(NEEDED)


def test_every_entry_is_on_the_paper(tmp_path: Path) -> None:
    """In its own section or among the other entries; the report itself stands at the head."""
    job = worked(tmp_path)
    report = build(job, NOW)
    printed = [(s, r) for s in shorten(report).sections for r in s.rows]
    spans = [x for _, r in printed if r.get("n") for x in str(r["n"]).split(", ")]
    ends = [(int(x.split("-")[0]), int(x.split("-")[-1])) for x in spans]
    numbers = {n for first, last in ends for n in range(first, last + 1)}
    # who restored and looked is named in the line of the thing, with the entry
    signed = " ".join(c for s, r in printed if s.id == "disturbed" for c in s.cells(r))
    numbers |= {int(n) for n in re.findall(r"\((\d+), ", signed)}
    page = visible(render(report, "text"), "text")
    for e in job.log.events:
        skipped = e["event"] == "not-checked" and f" {e['n']} " in page
        assert e["n"] in numbers or skipped or e["event"] == "opened", e


def test_what_is_usual_is_said_once_at_the_head(tmp_path: Path) -> None:
    """No line says that it stands, nor the day, nor 'not stated'; what does not stand says so."""
    page = visible(render(build(worked(tmp_path), NOW), "text"), "text")
    assert "An entry stands unless its line says otherwise." in page
    assert "State of the entry: stands;" not in page
    assert page.count("not stated") == 0
    assert "Not stated: asked by, place" in page
    assert "State of the entry: taken back by entry" in page


def test_a_caution_acknowledged_twice_is_printed_once_with_both_entries(tmp_path: Path) -> None:
    """After a run it is told again; the record names both entries beside one text."""
    job = opened(tmp_path)
    for _ in range(2):
        job.record("acknowledged", hazard="running-engine", text="keep clear")
        job.record("run", readings=[])
    page = render(build(job, NOW), "text")
    assert page.count("keep clear") == 1
    assert "- 2, 4;" in page
    assert [r["n"] for r in rows(job, "cautions")] == [2, 4]


def test_the_ranking_after_each_step_is_a_line_of_letters(tmp_path: Path) -> None:
    """Each cause has one letter; steps that say the same share a line; JSON keeps the numbers."""
    job = opened(tmp_path)
    job.answer(PRESSURE)
    job.keep_ranking(job.step())
    (kept,) = [e for e in job.log.events if e["event"] == "ranked"]
    sections = {s.id: s for s in shorten(build(job, NOW)).sections}
    letters = [str(r["letter"]) for r in sections["ranked"].rows]
    (line,) = sections["rankings"].rows

    assert letters == ["A", "B", "C", "D", "E"]
    assert [x for x in str(line["order"]).replace(";", "").split() if x.isupper()] == letters
    assert len(rows(job, "rankings")) == len(kept["ranking"]) == 5
    job.record("ranked", ranking=kept["ranking"])
    (line,) = {s.id: s for s in shorten(build(job, NOW)).sections}["rankings"].rows
    assert str(line["n"]) == f"{kept['n']}, {kept['n'] + 1}"


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_forms_for_people_say_every_cell_of_the_record(tmp_path: Path, form: str) -> None:
    """Text, Markdown and HTML hold the same facts: the labels, and each cell of each section."""
    report = build(worked(tmp_path), NOW)
    page = visible(render(report, form), form)
    assert all(label in page for label in report.labels) or form == "text"  # its page heads are out
    for section in shorten(report).sections:
        for row in section.rows:
            for cell in filter(None, section.cells(row)):
                assert cell in page, (section.id, cell)


def test_typed_figures_stand_beside_si_with_the_unit_in_the_key(tmp_path: Path) -> None:
    """11 psi is 75.8 kPa (NIST SP 811), gauge said; the note and the conditions are kept."""
    job = opened(tmp_path)
    job.answer(replace(PRESSURE, typed="11 psi"), note="needle shook")
    (row,) = rows(job, "findings")
    assert row["si_Pa"] == pytest.approx(11 * 6894.757, rel=1e-6)
    assert row["typed"] == "11 psi"
    assert row["figure"] == "11 psi = 75.8 kPa gauge"
    assert (row["question"], row["what"]) == ("fuel-pressure", "fuel pressure gauge")
    assert "needle shook" in row["note"]
    assert "booster off" in row["conditions"]


def test_particulars_are_printed_as_typed_and_the_missing_ones_said(tmp_path: Path) -> None:
    """Serial, hours and wind as typed; what nobody typed is 'not stated'."""
    said = {r["key"]: r["value"] for r in rows(worked(tmp_path), "job")}
    assert (said["serial"], said["hours"], said["wind"]) == ("S-17", "4012", "240/12 kn")
    assert said["outside_air"] == "not stated"
    assert said["asked_by"] == "not stated"


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_the_record_names_who_answered_for_a_run(tmp_path: Path, form: str) -> None:
    """Chocks are somebody's word: his initials stand beside them."""
    job = opened(tmp_path)
    job.record("confirmed", item="chocks fore and aft of the main wheels", by="XY")
    assert "Answered for by" in render(build(job), form)
    assert "XY" in render(build(job), form)


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_hostile_text_stays_text(tmp_path: Path, form: str) -> None:
    """No script, style, link, terminal escape or turned writing direction gets through."""
    job = opened(tmp_path, aeroplane=HOSTILE, asked_by=HOSTILE, place=HOSTILE)
    job.record("note", text=HOSTILE)
    # the log keeps no escape, so one is put past it: a form must not rely on the log for that
    report = replace(build(job), reported=HOSTILE, outcome=HOSTILE, aeroplane=HOSTILE)
    assert "\x1b" in report.outcome
    page = render(report, form)
    assert "\x1b" not in page
    assert "\u202e" not in page
    if form == "html":
        assert not re.search(r"<script|<a |<img|<link|javascript:|\son\w+=", page)
        assert page.count("</style>") == 1
    if form == "md":
        assert not re.search(r"(?<!\\)(?:<script|\[a\]|`code`)", page)
        assert "http://" not in page
    assert json.loads(render(report, "json"))["aeroplane"] == HOSTILE
    assert json.loads(render(job, "json"))["aeroplane"] == HOSTILE.replace("\x1b", "?")


def test_a_css_string_holds_nothing_that_could_end_it() -> None:
    """Quotes, breaks, backslashes and tags are escaped by number."""
    inner = css_string(HOSTILE + "\n\\")[1:-1]
    assert re.fullmatch(r"(?:[A-Za-z0-9]|\\[0-9a-f]{6})*", inner)


def test_every_text_page_and_the_printed_frame_carry_the_labels(tmp_path: Path) -> None:
    """Each page names review state, job, aeroplane, edition and that it is no release."""
    report = build(worked(tmp_path), NOW)
    pages = render(report, "text").split("\f")
    assert len(pages) > 2
    assert "layout tiny-single (invented)" in report.labels
    for page in pages:
        head = " ".join(page.partition("====")[0].split())
        assert all(label in head for label in report.labels)
        assert len(page.splitlines()) <= 66  # lines of A4 at 6 to the inch
    html = render(report, "html")
    assert "table-header-group" in html
    assert " | ".join(report.labels) in unescape(
        html.partition("<thead>")[2].partition("</thead>")[0]
    )
    assert css_string(" | ".join(report.labels)) in html.partition("</style>")[0]


def test_json_has_schema_first_times_in_utc_and_ids_beside_labels(tmp_path: Path) -> None:
    """The shape machines rely on."""
    report = build(worked(tmp_path), NOW)
    body = json.loads(render(report, "json"))
    assert next(iter(body)) == "schema_version"
    assert body["labels"] == list(report.labels)
    assert body["made_at_utc"] == "2026-11-25T12:00:00+00:00"
    ranked = body["sections"]["rankings"][0]
    assert {"cause", "label", "at", "place", "probability", "word"} <= set(ranked)
    for section in body["sections"].values():
        for row in section:
            if "at_utc" in row:
                assert datetime.fromisoformat(row["at_utc"]).utcoffset() == NOW.utcoffset()


def test_a_limit_nobody_entered_is_said(tmp_path: Path) -> None:
    """A limit that questions are classed by and the layout lacks reads 'no approved figure'."""
    report: Report = build(opened(tmp_path), NOW)
    (limits,) = [s for s in report.sections if s.id == "limits"]
    entered = bench(LAYOUT).layout.limits
    for row in limits.rows:
        known = entered.get(str(row["limit"]))
        assert row["figure"] == (known.shown if known else "no approved figure entered")
        assert row["reference"] == (known.reference if known else "")
    assert set(entered) <= {str(r["limit"]) for r in limits.rows}


def test_what_is_still_owed_stands_in_the_record_until_the_job_is_finished(tmp_path: Path) -> None:
    """Part found is not finished: remedy, root question and verification are told to the signer."""
    job = opened(tmp_path)
    assert [r["step"] for r in rows(job, "still")] == ["isolate"]
    job.checked("inspect-strainer-element", "no2-strainer", "plugged")
    job.record("part-found", cause="strainer-plugged", place="no2-strainer")
    cause = job.bench.library.causes["strainer-plugged"]
    order = [r["step"] for r in rows(job, "still")]
    assert order.index("cautions first") < order.index("rectify")
    owed = {r["step"]: r["what"] for r in rows(job, "still")}
    assert "Hot exhaust" in owed["cautions first"]
    assert owed["rectify"] == cause.rectify
    assert owed["verify"] == cause.verify
    assert "not restored yet" in owed["restore"]
    job.record("rectified", cause="strainer-plugged", place="no2-strainer", what="cleaned")
    owed = {r["step"]: r["what"] for r in rows(job, "still")}
    assert "rectify" not in owed
    assert "verification in the state" in owed["verify"]


def test_a_follow_up_is_told_in_words_with_the_part_it_is_of(tmp_path: Path) -> None:
    """Its key in the log is for machines."""
    job = opened(tmp_path)
    of = CauseAt("strainer-plugged", "no2-strainer")
    job.record("rectified", cause=of.cause, place=of.at, what="cleaned")
    follow_up(job, follow_key("root-question", of), "a hose shed its lining", "AB")
    (row,) = rows(job, "followed")
    assert row["what"] == (
        "Why did it fail - main strainer element plugged, main strainer of no. 2 engine (port "
        "inner): a hose shed its lining (AB)"
    )


def test_a_verification_says_what_was_to_be_shown(tmp_path: Path) -> None:
    """Who signs reads what the repair was to be proved by, not only that somebody said 'gone'."""
    job = opened(tmp_path)
    job.record("rectified", cause="strainer-plugged", place="no2-strainer", what="cleaned")
    job.record("verified", gone=True)
    asked = job.bench.library.causes["strainer-plugged"].verify
    assert rows(job, "rectification")[-1]["what"] == f"trouble gone; to be shown: {asked}"


def test_a_stop_stands_in_the_record_by_its_words(tmp_path: Path) -> None:
    """The key that a stop is acknowledged by is for machines."""
    job = opened(tmp_path)
    job.record("acknowledged", hazard="stop fuel-smell-in-cabin cabin 2", text="Touch no switch.")
    titles = [r["title"] for r in rows(job, "cautions")]
    assert job.bench.library.symptoms["fuel-smell-in-cabin"].title in titles[-1]
    assert "stop " not in titles[-1]


def test_the_limit_of_figures_is_printed_once_and_kept_with_each_in_json(tmp_path: Path) -> None:
    """A page of readings does not say the band at every line."""
    job = opened(tmp_path)
    for engine in ("no1-engine", "no2-engine"):
        job.answer(replace(PRESSURE, at=engine, typed="11 psi"))
    text = " ".join(render(job, "text").split())
    assert text.count("low 13.5 psi, high 18.5 psi (invented for this layout") == 1
    for row in rows(job, "findings"):
        assert row["classed_by"].startswith("low 13.5 psi, high 18.5 psi")


def test_what_was_confirmed_for_power_alone_is_of_no_engine_run(tmp_path: Path) -> None:
    """A fire guard stood by while a pump was switched on: no run is made of it in the record."""
    job = opened(tmp_path)
    job.record("confirmed", item="fire guard in view")
    job.record("rectified", cause="booster-dead", place="port-inner-booster", what="new pump")
    job.record("confirmed", item="chocks in")
    job.record("run", readings=[])
    job.record("confirmed", item="area clear")
    said = [r["for_run"] for r in rows(job, "gates") if "item" in r]
    assert said == ["no engine run", "run 1", "no engine run"]


def test_no_column_of_the_printed_record_is_too_narrow_for_its_words(tmp_path: Path) -> None:
    """'Taken back by entry 24' in a column of a few letters is read by nobody."""
    page = render(worked(tmp_path), "html")
    for cols in re.findall(r"<colgroup>(.*?)</colgroup>", page):
        widths = [float(w) for w in re.findall(r"width: (\d+)%", cols)]
        free = cols.count("<col>")
        assert min([*widths, (100 - sum(widths)) / free if free else 100]) >= 6, cols
    cautions = re.search(r'class="data cautions"><colgroup>(.*?)</colgroup>', page)
    assert cautions is not None
    assert cautions[1].count("width") == 4, "the text has what the others leave"
