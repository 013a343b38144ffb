"""What a report says that was not heard is shown, with what it may mean where that is near."""

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.nearest import FLOOR, MOST, Nearest
from diagnose.job.hearing.not_heard import NotHeard, not_heard
from diagnose.job.hearing.report_words import listened

TWIN = "low-wing-twin"


def lost(report: str, layout: str = TWIN) -> list[NotHeard]:
    """Return the clauses of ``report`` that were not heard."""
    here = bench(layout)
    return list(not_heard(listened(report, here), here))


def test_every_clause_is_heard_or_shown_as_not_understood() -> None:
    """What nobody could understand is named in the words it was told in, and nothing else is."""
    report = "Port engine surged in the climb. My cousin laughed, a heron ate a ferret."
    assert [x.words for x in lost(report)] == ["my cousin laughed", "a heron ate a ferret"]
    assert not any(x.may for x in lost(report))


@pytest.mark.parametrize(
    "report",
    [
        "Port engine surged, boosters off.",  # a state
        "Starboard engine, in the climb, rough.",  # a place
        "Flow and pressure normal on the port engine.",  # one word said of both
        "Port engine rough. Its strainer was cleaned last week.",  # work, asked about by itself
        "Port engine rough, the others good.",
    ],
)
def test_what_tells_only_a_place_a_state_or_work_is_not_called_lost(report: str) -> None:
    """Clauses that are understood without being findings are no complaint to the person."""
    assert not lost(report)


def test_a_clause_in_other_words_gets_the_answer_meant_to_pick_from() -> None:
    """What is told in other words has its answer among the few shown, with place and stage."""
    (clause,) = lost("Starboard engine lacked a third of its power in the climb.")
    (meant,) = [s for s in clause.may if (s.question, s.value) == ("engine-behaviour", "fades")]
    assert (meant.places, meant.state.stage) == (("no2-engine",), "climb")


def test_few_answers_are_shown_and_none_that_was_heard_already() -> None:
    """A list to pick from is short, near enough, and offers nothing twice."""
    here = bench(TWIN)
    near = Nearest.of(here).to("climb pressure went wrong at needle")
    assert len(near) == MOST
    assert all(n.near >= FLOOR for n in near)
    fades = "engine-behaviour", "fades"
    first, *_ = Nearest.of(here).to("slow loss of power")
    assert (first.question, first.value) == fades
    again = Nearest.of(here).to("slow loss of power", told=[fades])
    assert fades not in {(n.question, n.value) for n in again}


def test_a_denial_is_nearer_to_what_denies() -> None:
    """'No drip' is nearer to dry than to wet: a picked answer must not turn the words round."""
    near = {
        (n.question, n.value): n.near
        for n in Nearest.of(bench(TWIN)).to("no trace of wet about the cowl")
    }
    dry, wet = (near.get(("engine-bay-leak", v), FLOOR) for v in ("dry", "damp"))
    assert dry > wet


def test_a_figure_by_itself_is_near_nothing() -> None:
    """'3' typed where words were wanted is no repeated dip, and nothing is offered for it."""
    assert not any(x.may for x in lost("3"))


def test_strange_words_with_one_known_among_them_get_no_answers() -> None:
    """One word that comes with everything says nothing of a heron."""
    assert not Nearest.of(bench(TWIN)).to("hound saw heron")
    assert Nearest.of(bench(TWIN)).to("hound wet cowl")


def test_the_clause_before_tells_what_a_clause_goes_on_about() -> None:
    """'It went up' behind a strange clause of a gauge is first of a gauge."""

    def of(before: str) -> set[str]:
        return {n.question for n in Nearest.of(bench(TWIN)).to("went back up by itself", before)}

    assert "contents-gauge" in "".join(sorted(of("contents gauge needle tank")))
    assert of("contents gauge needle tank") != of("strainer bowl water")


@pytest.mark.parametrize(
    "report",
    ["Port gauge reads rubbish.", "Port engine rough. Starboard fuel gauge reads rubbish."],
)
def test_a_gauge_of_which_nothing_was_understood_is_shown_once(report: str) -> None:
    """What a gauge showed is asked of an engine's trouble; without one its clause is not lost."""
    h = listened(report, bench(TWIN))
    shown = [x.words for x in lost(report)]
    asked = [s.question for s in h.said if s.question == "gauge-when-it-came"]
    assert len(shown) + len(asked) == 1


def test_she_is_the_engine_and_not_the_pressure_told_before() -> None:
    """'And it faded' may be the pressure; nobody calls a gauge she."""
    report = "Port fuel pressure low on the run-up and she faded at high power."
    said = listened(report, bench(TWIN)).said
    assert ("engine-behaviour", "fades") in {(s.question, s.value) for s in said}


def test_a_clause_of_which_only_the_name_was_heard_is_shown_with_answers_too() -> None:
    """What is said of a named thing in unknown words is no more lost than what names nothing."""
    (clause,) = lost("Could smell avgas walking up to the cowling.")
    assert ("fuel-smell", "outside") in {(s.question, s.value) for s in clause.may}
    assert not lost("Engine quit, contents gauge.")
