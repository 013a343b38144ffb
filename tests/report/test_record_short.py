"""The record as an inspector reads it: the whole story first, then each thing told once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from report.record_kit import RUN_UP, opened

from diagnose.job.job import Job
from diagnose.model import Finding, State
from diagnose.report import build, render, shorten
from diagnose.report.grouped import merged
from diagnose.report.text import PAGE, in_fewer_pages, paged

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
PRESSURE = Finding("fuel-pressure", "no2-engine", "low", RUN_UP, "read")


def short_story(job: Job) -> dict[str, list[str]]:
    """Return the first section of the record: step -> what it says."""
    (story,) = [s for s in build(job, NOW).sections if s.id == "story"]
    out: dict[str, list[str]] = {}
    for r in story.rows:
        out.setdefault(str(r["step"]), []).append(str(r["what"]))
    return out


def test_the_first_page_tells_the_whole_story(tmp_path: Path) -> None:
    """Reported besides, noticed, checked, found, done, proved and open, each with its entry."""
    job = opened(tmp_path)
    job.record("complaint", text="smell as well", place="no3-engine")
    job.answer(PRESSURE)
    job.keep_ranking(job.step())
    story = short_story(job)
    assert story["also reported"] == ["no. 3 engine (starboard inner): smell as well (2)"]
    assert story["noticed"] == [
        "fuel pressure gauge [run-up, booster off], no. 2 engine (port inner): below the band (3)"
    ]
    assert story["found"][0].startswith("no cause is confirmed; stood first: ")
    assert story["open"] == ["still to be done, told below: isolate"]

    at = {"cause": "strainer-plugged", "place": "no2-strainer"}
    check = job.checked("inspect-strainer-element", "no2-strainer", "plugged")
    found = job.record("part-found", **at)
    job.record("rectified", **at, what="element changed", off="off-1", on="on-2")
    proved = job.record("verified", gone=True)
    story = short_story(job)
    assert story["checked"][0].endswith(f"(seen) ({check['n']})")
    assert story["found"] == [
        f"main strainer element plugged, main strainer of no. 2 engine (port inner) ({found['n']})"
    ]
    assert "part off off-1; part on on-2" in story["done"][0]
    assert story["proved"] == [f"verification: trouble gone ({proved['n']})"]
    assert "restore" in story["open"][0]
    page = render(build(job, NOW), "text").partition("\f")[0]
    assert all(w in " ".join(page.split()) for said in story.values() for w in said)


def test_what_was_mended_and_did_not_cure_is_told_so_on_the_first_page(tmp_path: Path) -> None:
    """Found it was, and yet the trouble stayed: what is open is the cause of that."""
    job = opened(tmp_path)
    job.answer(PRESSURE)
    at = {"cause": "strainer-plugged", "place": "no2-strainer"}
    job.record("part-found", **at)
    job.record("rectified", **at, what="element changed")
    job.record("verified", gone=False)
    job.keep_ranking(job.step())
    story = short_story(job)
    assert story["found"][1].startswith("no other cause is confirmed; stood first: ")
    assert "strainer element plugged" not in story["found"][1]
    assert "proved" not in story
    assert story["not proved"][0].startswith("verification: trouble still there")
    assert story["not proved"][-1].startswith("there, but not the whole of it: main strainer")
    assert story["open"] == ["still to be done, told below: isolate, verify"]


def test_no_page_is_begun_for_the_sake_of_empty_lines() -> None:
    """What overflows by less than its empty lines is set closer; what does not is left as it is."""
    room = PAGE - 3
    just_too_long = [["", "HEAD"], *[["line"]] * (room - 2), ["", "Handed over by: ____"]]
    assert "\f" in paged(["job"], just_too_long)
    close = in_fewer_pages(["job"], just_too_long)
    assert "\f" not in close
    assert close.endswith("line\nHanded over by: ____\n")
    short = [["", "HEAD"], ["line"], ["", "Handed over by: ____"]]
    assert in_fewer_pages(["job"], short) == paged(["job"], short)


def test_a_stop_that_stands_is_open_on_the_first_page(tmp_path: Path) -> None:
    """Whoever signs reads it before anything else that is owed."""
    job = opened(tmp_path)
    job.answer(Finding("fuel-smell", "aeroplane", "cabin", State(), "seen"))
    assert short_story(job)["open"][0].startswith("STOP: ")


def test_like_answers_of_several_places_are_one_line_of_the_record(tmp_path: Path) -> None:
    """Engine by engine with its own figure; another answer, or a second look, has its own line."""
    job = opened(tmp_path)
    typed = {"no1-engine": "16 psi", "no2-engine": "11 psi", "no3-engine": "15 psi"}
    for at, figure in typed.items():
        value = "low" if at == "no2-engine" else "normal"
        si = float(figure.split()[0]) * 6894.757
        job.answer(Finding("fuel-pressure", at, value, RUN_UP, "read", typed=figure, number=si))
    job.answer(Finding("fuel-pressure", "no1-engine", "normal", RUN_UP, "read"))
    found = next(s for s in shorten(build(job, NOW)).sections if s.id == "findings")
    assert [r["n"] for r in found.rows] == ["2, 4", 3, 5]
    assert found.rows[0]["place"] == "no. 1 engine (port outer); no. 3 engine (starboard inner)"
    assert found.rows[0]["figure"] == "16 psi = 110 kPa gauge; 15 psi = 103 kPa gauge"
    assert len(next(s for s in build(job, NOW).sections if s.id == "findings").rows) == 4


def test_what_was_not_checked_stands_in_one_sentence(tmp_path: Path) -> None:
    """A reading nobody could take is no row among the answers; it is named under them."""
    job = opened(tmp_path)
    job.answer(PRESSURE)
    skipped = next(
        r for r in job.bench.planner.catalogue.readings if r.question == "strainer-drain-sample"
    )
    event = job.skip(skipped)
    found = next(s for s in shorten(build(job, NOW)).sections if s.id == "findings")
    assert event["n"] not in [r["n"] for r in found.rows]
    assert f"Not checked: {event['n']} " in found.note
    assert job.bench.places.label(skipped.place) in found.note


def test_lines_taken_over_alike_and_gates_of_two_runs_are_told_once(tmp_path: Path) -> None:
    """A handover agreed line by line is one list; a gate confirmed twice names both runs."""
    job = opened(tmp_path)
    for by in ("AB", "AB", "CD"):
        job.record("confirmed", item="chocks", by=by)
        job.record("run", readings=[])
    job.record("handed-over", by="AB", lines=[["a", "first"], ["b", "second"], ["c", "third"]])
    for line in "abc":
        job.record("taken-over", line=line, by="CD", agreed=True)
    sections = {s.id: s for s in shorten(build(job, NOW)).sections}
    confirmed = [(r["for_run"], r["by"]) for r in sections["gates"].rows if r.get("for_run")]
    assert confirmed == [("run 1; run 2", "AB"), ("run 3", "CD")]
    last = sections["handovers"].rows[-1]
    assert last["what"] == "3 lines agreed (CD): 1. first; 2. second; 3. third"
    assert last["n"] == "9-11"


def test_the_cause_of_what_is_owed_is_named_once(tmp_path: Path) -> None:
    """Six lines that each end in the same words are read by nobody."""
    job = opened(tmp_path)
    job.checked("inspect-strainer-element", "no2-strainer", "plugged")
    job.record("part-found", cause="strainer-plugged", place="no2-strainer")
    still = next(s for s in shorten(build(job, NOW)).sections if s.id == "still")
    assert still.note.startswith("Of main strainer element plugged, main strainer of no. 2 engine")
    assert [key for key, _ in still.columns] == ["step", "what"]


def test_an_engine_run_says_what_it_was_made_for(tmp_path: Path) -> None:
    """'For a check, or to verify' leaves the inspector to guess which of the two."""
    job = opened(tmp_path)
    job.record("run", readings=[])
    job.checked("inspect-strainer-element", "no2-strainer", "plugged")
    job.record("rectified", cause="strainer-plugged", place="no2-strainer", what="cleaned")
    job.record("run", readings=[])
    job.record("verified", gone=True)
    told = render(build(job, NOW), "text")
    flat = " ".join(told.split())
    assert "for a check: Open the strainer and look at the element" in flat
    assert "engine run; to verify the repair" in flat


def test_a_confirmation_for_two_runs_names_each_once_and_the_day_not_twice(tmp_path: Path) -> None:
    """A pump and a run may stand before the same run; a span of times has one day and one UTC."""
    job = opened(tmp_path)
    job.record("confirmed", item="fire guard", by="AB")
    job.record("confirmed", item="fire guard", by="AB")
    job.record("run", readings=[])
    (gates,) = [s for s in shorten(build(job, NOW)).sections if s.id == "gates"]
    (row,) = [r for r in gates.rows if r["what"] == "fire guard"]
    assert row["for_run"] == "run 1"
    one, other = {"time": "2026-11-25 10:00:00 UTC"}, {"time": "2026-11-25 10:05:00 UTC"}
    assert merged([one, other])["time"] == "2026-11-25 10:00:00 to 10:05:00 UTC"
    later = {"time": "2026-11-26 09:00:00 UTC"}
    assert merged([one, later])["time"] == "2026-11-25 10:00:00 to 2026-11-26 09:00:00 UTC"


def test_what_was_told_and_seen_again_at_one_place_names_it_once(tmp_path: Path) -> None:
    """The pilot's streak and the stain looked at after the repair are one stain."""
    job = opened(tmp_path)
    stain = Finding("tank-stains", "no2-tank", "behind-cap", known_by="told", typed="blue streak")
    tank = next(t for t in job.bench.layout.parts if job.bench.layout.parts[t].kind == "tank")
    for f in (replace(stain, at=tank), replace(stain, at=tank, known_by="seen", typed="")):
        job.answer(f)
    (noticed,) = short_story(job)["noticed"]
    assert noticed.count(job.bench.places.label(tank)) == 1
    assert "('blue streak'): behind the filler cap (2, 3)" in noticed
