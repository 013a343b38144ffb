"""Misspelt words, words run together, other common forms: read as meant, and told."""

from __future__ import annotations

import random
import re
from collections import Counter
from functools import lru_cache

import pytest
import yaml
from diagnosis.shipped import CASES, KNOWLEDGE, ROOT, bench
from hypothesis import given
from hypothesis import strategies as st

from diagnose.job.hearing.as_meant import Spelling, as_meant
from diagnose.job.hearing.plain_words import NEVER_READ
from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.spelling import slips
from diagnose.job.hearing.word_forms import regular_of

SINGLE, FOUR = "low-wing-single", "four-engine-injection"
ONE_SLIP = ("swapped", "dropped", "doubled", "replaced")


@pytest.mark.parametrize(
    ("report", "findings"),
    [
        ("fuel presure lite on at the run up", {("pressure-lamp", "lit")}),
        ("enigne cut-out in the climb", {("engine-behaviour", "stops")}),
        ("carburetter drips", {("carburettor-drips", "drips")}),
        ("carb drips", {("carburettor-drips", "drips")}),
        ("fuel guage over reads", {("contents-gauge", "reads-high")}),
        ("selecter stiff", {("cock-handle", "stiff")}),
        ("water in the gasolator", {("strainer-drain-sample", "water")}),
        ("boster pump silent", {("booster-noise", "silent")}),
        ("fuelpressure low", {("fuel-pressure", "low")}),
        ("mis fires at idle", {("engine-behaviour", "rough")}),
        ("smell of gasoline in the cockpit", {("fuel-smell", "cabin")}),
        ("preasure flucuates", {("fuel-pressure", "hunting")}),
    ],
)
def test_what_is_misspelt_is_heard_as_meant(report: str, findings: set[tuple[str, str]]) -> None:
    """A slip, a missing or a superfluous space, a hyphen or another form takes nothing away."""
    assert {(s.question, s.value) for s in hear(report, bench(SINGLE))} == findings


def test_everything_read_is_told() -> None:
    """Each changed word stands beside what it was read as; all others stay as typed."""
    meant = as_meant("The fuel presure Lite nevr came ON", bench(SINGLE))
    assert meant.text == "The fuel pressure light nevr came ON"
    assert meant.read == (("presure", "pressure"), ("Lite", "light"))
    assert meant.unsure == (("nevr", ("never",)),)
    assert meant.told("nevr", "never").text == "The fuel pressure light never came ON"
    assert meant.told("nevr", "").text == meant.text


@pytest.mark.parametrize(
    "typed", ["nevr", "wihtout", "didtn", "rigth", "strboard", "thre", "galons"]
)
def test_a_denial_a_side_a_number_and_a_unit_are_asked(typed: str) -> None:
    """What would turn a finding round, move it or scale it is never read without asking."""
    meant = as_meant(f"pressure {typed} low", bench(FOUR))
    assert [u[0] for u in meant.unsure] == [typed]
    assert meant.read == ()


@given(st.text("abcdefghijklmnopqrstuvwxyz'", min_size=1, max_size=12))
def test_nothing_is_ever_read_as_a_denial_side_number_or_unit(typed: str) -> None:
    """A reading without a question is none of these; 'liter' is a form that is listed."""
    spelling = Spelling.of(bench(FOUR))
    meant = spelling.meant(typed)
    listed = {typed, typed.removesuffix("s")} & set(bench(FOUR).library.words.forms)
    if len(meant) == 1 and " " not in meant[0] and not listed:
        assert meant[0] not in NEVER_READ
    assert spelling.meant(typed) == meant


def test_two_near_words_are_asked_about() -> None:
    """'Drups' may be drips, drops or drums: none is taken."""
    assert as_meant("drups", bench(SINGLE)).unsure == (("drups", ("drips", "drops", "drums")),)


@pytest.mark.parametrize("word", ["phone", "phones", "lass"])
def test_an_everyday_word_one_slip_from_one_of_the_trade_means_itself(word: str) -> None:
    """'Pilot on the phone' tells of no lamp that shone."""
    meant = as_meant(f"the {word} was there", bench(SINGLE))
    assert (meant.read, meant.unsure) == ((), ())


def test_hardly_an_ordinary_word_of_our_own_texts_is_read_as_another() -> None:
    """README, knowledge and told reports are spelt right: 2 words in 1000 are read at most.

    What is found here belongs under 'ordinary' in words.yaml, whose other forms (carb, gas) are
    read as ours wherever they stand.
    """
    texts = [ROOT / "README.md", *KNOWLEDGE.rglob("*.yaml"), *CASES.rglob("*.yaml")]
    plain = re.compile(r"(?<![\w`'/-])[a-z]+(?![\w`'/-])")
    words = {w for path in texts if path.name != "words.yaml"
             for w in plain.findall(path.read_text("utf-8"))}  # fmt: skip
    spelling = Spelling.of(bench(FOUR))
    forms = bench(FOUR).library.words.forms
    read = {w: spelling.meant(w) for w in sorted(words) if not {w, w[:-1]} & set(forms)}
    wrong = {w: meant for w, meant in read.items() if meant}
    assert len(wrong) <= 0.002 * len(words), wrong


@pytest.mark.parametrize(
    ("typed", "meant", "cost"),
    [("presure", "pressure", 1.0), ("enigne", "engine", 1.0), ("selecter", "selector", 1.25),
     ("gasolator", "gascolator", 1.5), ("same", "same", 0.0), ("lfet", "left", 1.0),
     ("presuer", "pressure", 2.0)],
)  # fmt: skip
def test_slips_cost_by_how_often_they_are_made(typed: str, meant: str, cost: float) -> None:
    """Swapped and doubled letters are the cheapest, then vowels, then all others."""
    assert slips(typed, meant, 3.0) == cost


@given(*[st.text("abcde", max_size=7)] * 2)
def test_slips_count_alike_from_either_side(one: str, other: str) -> None:
    """Typed for meant or meant for typed: the same slips, and none only between equals."""
    there = slips(one, other, 99.0)
    assert there == slips(other, one, 99.0)
    assert (there == 0.0) == (one == other)


def test_forms_made_by_rule_are_no_slips() -> None:
    """'Dripped' is made of 'drip'; 'stoped' is made of nothing."""
    assert "drip" in regular_of("dripped")
    assert "stop" not in regular_of("stoped")
    assert "leak" in regular_of("leaked")
    assert "drum" not in regular_of("drumms")


# ------------------------------------------------------------------ one slip anywhere in a report


@lru_cache(maxsize=1)
def told() -> tuple[tuple[str, str], ...]:
    """Return (layout, report) of the invented jobs and demos."""
    paths = [*CASES.glob("demo-*.yaml"), *(CASES / "invented").glob("*.yaml")]
    jobs = [yaml.load(p.read_text("utf-8"), yaml.BaseLoader) for p in sorted(paths)]
    return tuple((str(j["layout"]), str(j["reported"])) for j in jobs if j.get("reported"))


@lru_cache(maxsize=512)
def found(layout: str, report: str) -> frozenset[object]:
    """Return what is heard with its class, place and state."""
    return frozenset(
        (s.question, s.value, s.places, str(s.state))
        for s in hear(report, bench(layout))
        if s.value
    )


def slipped(word: str, slip: str, k: int, letter: str) -> str:
    """Return ``word`` with one letter wrong."""
    k %= len(word) - 1
    return {
        "swapped": word[:k] + word[k + 1] + word[k] + word[k + 2 :],
        "dropped": word[:k] + word[k + 1 :],
        "doubled": word[:k] + word[k] + word[k:],
        "replaced": word[:k] + letter + word[k + 1 :],
    }[slip]


def content(report: str) -> list[re.Match[str]]:
    """Return the words of five letters and more that are no denial, side, number or unit."""
    every = re.finditer(r"[A-Za-z]{5,}", report)
    return [hit for hit in every if hit[0].lower() not in NEVER_READ]


@given(st.data())
def test_a_slip_brings_no_finding_that_is_not_told_as_a_reading(data: st.DataObject) -> None:
    """What is heard beyond the report as it should be rests on a word told, asked, or real."""
    layout, report = data.draw(st.sampled_from(told()))
    words = content(report)
    if not words:
        return
    hit = data.draw(st.sampled_from(words))
    typed = slipped(hit[0], data.draw(st.sampled_from(ONE_SLIP)), data.draw(st.integers(0, 20)),
                    data.draw(st.sampled_from("aeioutrsnl")))  # fmt: skip
    wrong = report[: hit.start()] + typed + report[hit.end() :]
    right, heard = ([s for s in hear(r, bench(layout)) if s.value] for r in (report, wrong))
    known = {(s.question, s.value) for s in right}
    # 'pump has hwined at a high note': what other words say without it was told all the same
    beyond = [
        s
        for s in heard
        if (s.question, s.value) not in known and typed.lower() in s.phrase.lower().split()
    ]
    meant = as_meant(wrong, bench(layout))
    if beyond:
        asked = typed in dict(meant.unsure)  # and settled on the screen before anything is heard
        assert asked or Spelling.of(bench(layout)).knows(typed.lower()) or typed in dict(meant.read)


def test_most_slips_leave_every_finding_as_it_was() -> None:
    """Of 150 slips at least 91 in 100 change nothing, of those that matter at least 80 in 100.

    Those that matter are in a word on which a finding rests.  Measured on 250: 94 and 83 or more.
    """
    draw = random.Random(7)
    same: Counter[tuple[bool, bool]] = Counter()
    while sum(same.values()) < 150:
        layout, report = draw.choice(told())
        words = content(report)
        if not words:
            continue
        hit = draw.choice(words)
        typed = slipped(
            hit[0], draw.choice(ONE_SLIP), draw.randrange(20), draw.choice("aeioutrsnl")
        )
        before, after = report[: hit.start()], report[hit.end() :]
        right = found(layout, report)
        rests = found(layout, f"{before}xqzx{after}") != right
        same[rests, found(layout, f"{before}{typed}{after}") == right] += 1
    assert same[True, True] + same[False, True] >= 0.91 * 150
    assert same[True, True] >= 0.8 * (same[True, True] + same[True, False])


def test_a_misspelt_several_stays_several() -> None:
    """'Both engins' is said of both, not of an engine."""
    meant = as_meant("both engins quit, the guages read low", bench(FOUR))

    assert meant.text == "both engines quit, the gauges read low"


def test_a_word_of_the_trade_names_its_part_where_there_is_one() -> None:
    """'Wobble pump' is the hand pump, so nobody is asked whether the primer was meant."""
    (heard,) = hear("wobble pump is stiff", bench("radial-single-hand-pump"))

    assert (heard.question, heard.places, heard.value) == ("plunger", ("hand-pump",), "stiff")
