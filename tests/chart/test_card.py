"""Cards: every failure mode of a layout on one page, with all that its file says."""

from __future__ import annotations

import re

import pytest
from diagnosis.shipped import bench

from diagnose.chart.card import cards, cards_here
from diagnose.errors import UsageError
from diagnose.job.elsewhere import as_fitted
from diagnose.job.wording import hazards_of_mending
from diagnose.model import CauseAt
from diagnose.paper.blocks import A4, Block

LAYOUT = "low-wing-single"


def text_of(html: str) -> str:
    """Return what a reader sees."""
    return " ".join(re.sub(r"<[^>]+>", " ", html).replace("&#x27;", "'").split())


def test_a_card_is_one_page_unless_its_letters_would_be_too_small_to_read() -> None:
    """Less than 6.8 points is not read at arm's length; few need a second page for that."""
    b = bench(LAYOUT)
    made = cards(b, cards_here(b), A4)
    assert len(made) > 100
    assert sum(len(m.sheets()) > 1 for m in made) <= 0.03 * len(made)
    assert max(len(m.sheets()) for m in made) <= 2
    blocks = [p for m in made for g in m.groups for p in g.parts if isinstance(p, Block)]
    assert min(p.scale for p in blocks) * 8.0 >= 6.8


def test_every_page_of_a_card_has_the_cautions_of_its_checks_its_remedy_and_its_proof() -> None:
    """A warning is never left behind on the page before."""
    b = bench(LAYOUT)
    cause = b.library.causes["suction-draws-air"]
    page = cards(b, [cause.id], A4)[0].html()
    sheets = re.findall(r'<section class="sheet">.*?</section>', page, re.S)
    assert len(sheets) == 2
    for sheet in map(text_of, sheets):
        for h in hazards_of_mending(b, cause):
            assert " ".join(b.library.hazards[h].text.split()) in sheet
        assert "RUN list, known before a propeller turns" in sheet


def test_a_card_says_what_its_file_says() -> None:
    """Reason, look-alikes, checks, cautions, remedy, root question, sources: all are there."""
    b = bench(LAYOUT)
    cause = b.library.causes["strainer-plugged"]
    page = text_of(cards(b, [cause.id], A4)[0].html())
    check = b.library.checks[cause.checks[0].check]
    said = [
        cause.title, cause.because, cause.rectify, cause.root_question,
        as_fitted(b, CauseAt(cause.id, "strainer")).also_look,
        cause.verify, cause.harm, check.aim, check.good, check.bad, check.close_out,
        *(x.told_apart_by for x in cause.look_alikes if x.cause in cards_here(b)),
        *(b.library.hazards[h].text for h in check.hazards),
        *(b.library.effects[r.effect].title for r in cause.produces
          if r.effect not in ("flow-through-meter", "flow-left")),  # no flow meter on this layout
        "main strainer", "UNREVIEWED", b.library.edition, LAYOUT, "page 1 of 1", "draft",
        "20 min and 10 for access",
    ]  # fmt: skip
    assert [x for x in said if " ".join(x.split()) not in page] == []
    assert "the other strainers" in cause.also_look
    assert "the other strainers" not in page, "this aeroplane has one"


def test_cards_lie_in_the_order_of_their_titles() -> None:
    """The table names a cause by its title; a card of two hundred is found by it alone."""
    b = bench(LAYOUT)
    titles = [b.library.causes[c].title for c in cards_here(b)]
    assert titles == sorted(titles)
    for k in (1, len(titles)):
        assert f"Card {k}: {titles[k - 1]}" in text_of(cards(b, [str(k)], A4)[0].html())


def test_a_check_stands_once_on_a_card_with_every_result_that_says_the_cause() -> None:
    """Debris in the jets and a blocked idle passage are found by one stripping."""
    b = bench("header-biplane")
    page = text_of(cards(b, ["carburettor-bowl-debris"], A4)[0].html())
    assert page.count("Check: Strip and look through jets and passages") == 1
    assert "debris in the jets (found 50 times in 100 when it is there); or idle passage" in page


def test_a_card_names_no_look_alike_and_no_work_that_its_aeroplane_cannot_have() -> None:
    """A look-alike without a card in the stack would send nowhere."""
    b = bench("header-biplane")
    here = set(cards_here(b))
    alike = [x for c in here for x in b.library.causes[c].look_alikes]
    assert {x.cause for x in alike} - here, "else there is nothing to leave out"
    for made in cards(b, ["vent-nest", "carburettor-screen-blocked"], A4):
        page = text_of(made.html())
        told = page.partition("Looks like")[2].partition("What it gives")[0]
        for x in alike:
            if x.cause not in here:
                assert f"{b.library.causes[x.cause].title}: " not in told
        assert "injection" not in page.partition("Likelier after work on")[2].partition("Check")[0]
    assert "Likelier after work on: hose, strainer, float carburettor." in page


def test_cautions_stand_before_the_check() -> None:
    """Who reads from the top has read them when the check comes."""
    page = text_of(cards(bench(LAYOUT), ["strainer-plugged"], A4)[0].html())
    assert page.index("Cautions, before any check") < page.index("Check: Open the strainer")


def test_what_a_mode_gives_is_told_in_the_words_of_the_answers() -> None:
    """'power-increase' is a key of the files, not what anybody says or writes down."""
    b = bench("header-biplane")
    page = text_of(cards(b, ["vent-nest"], A4)[0].html())
    runs = "how the engine runs, engines fed through it: loses power gradually, or will not give"
    assert runs in page
    assert page.count("how the engine runs, ") == 1
    assert "how long it had run well, aeroplane: a few minutes (half the time); a quarter" in page
    assert "suction in the tank, its tank: suction (" in page  # its answer is 'yes, ...'


def test_what_a_mode_gives_in_one_state_is_told_once() -> None:
    """A row said and one that follows from another are one likelihood, the larger of the two."""
    b = bench("low-wing-twin")
    page = text_of(cards(b, ["engine-pump-worn"], A4)[0].html())
    lean = page.partition("mixture burned, its engine: lean (")[2].partition(" fuel flow")[0]
    states = [",".join(sorted(x.split(", "))) for x in re.findall(r"\[(.*?)\]", lean)]
    assert len(states) == len(set(states))
    assert "half-grown: 6 %, severe: 12 %" in lean  # 2 % and 12 % said, 6 % and 8 % followed


def test_an_instrument_fault_tells_what_it_shows() -> None:
    """A gauge that reads low: what is true, and what is seen."""
    page = text_of(cards(bench(LAYOUT), ["pressure-gauge-reads-low"], A4)[0].html())
    assert "What the instrument shows then" in page
    shown = "shown slight: below the band 70 %, in the band 30 %; half-grown: below the band 93 %"
    assert f"truly 'in the band', {shown}" in page


def test_all_unknown_names_are_told_at_once() -> None:
    """A near miss names the nearest; a mode this layout cannot have says so."""
    with pytest.raises(UsageError) as told:
        cards(bench(LAYOUT), ["strainer-pluged", "jettison-valve-passes"], A4)
    assert "did you mean 'strainer-plugged'" in str(told.value)
    assert "No part of low-wing-single can have 'jettison-valve-passes'" in str(told.value)


def test_a_frequency_reads_as_people_say_it() -> None:
    """Severity 'half' and frequency 'half' are told apart, and a number is so many of a hundred."""
    metered = bench("low-wing-single-injected")
    text = text_of(cards(metered, ["strainer-plugged"], A4)[0].html())
    assert "half half" not in text
    assert "half-grown: half the time" in text
    assert "severe: very often" in text
    assert "severe: 45 %" in text


def test_a_card_says_nothing_of_what_its_layout_does_not_have() -> None:
    """On a gravity-fed biplane no row speaks of a fed pump, and none of a flow meter."""
    pumped, gravity = (
        text_of(cards(bench(name), ["pipe-flare-cracked"], A4)[0].html())
        for name in ("low-wing-single-injected", "header-biplane")
    )
    assert "fuel flow indicated" in pumped
    assert "feed pumped" in pumped
    assert "fuel wet in the engine bay" in gravity
    assert "fuel flow indicated" not in gravity
    assert "feed pumped" not in gravity


def test_a_mode_without_a_code_has_no_empty_place_for_it() -> None:
    """What is handed over has no code of the fuel chapter."""
    page = text_of(cards(bench(LAYOUT), ["intake-blocked"], A4)[0].html())
    assert "air filter or intake blocked (outside the fuel system (OTH))" in page


def test_a_fault_that_comes_and_goes_is_told_in_words() -> None:
    """'Random .5' is how its file has it, and no engineer says so."""
    b = bench(LAYOUT)
    some = next(c for c in cards_here(b) if b.library.causes[c].pattern.startswith("random ."))
    page = text_of(cards(b, [some], A4)[0].html())
    assert "Pattern: comes and goes, in about ." in page
    assert "random" not in page.partition("Pattern:")[2].partition("Severity")[0]
