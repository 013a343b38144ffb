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
    report = "Port engine surged in the climb. My cousin laughed, the dog saw a heron."
    assert [x.words for x in lost(report)] == ["my cousin laughed", "the dog saw a heron"]
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
    (clause,) = lost("Starboard engine had a gradual loss of puff in the climb.")
    (meant,) = [s for s in clause.may if (s.question, s.value) == ("engine-behaviour", "fades")]
    assert (meant.places, meant.state.stage) == (("no2-engine",), "climb")


def test_few_answers_are_shown_and_none_that_was_heard_already() -> None:
    """A list to pick from is short, near enough, and offers nothing twice."""
    here = bench(TWIN)
    near = Nearest.of(here).to("pressure in the climb went wrong at the needle")
    assert len(near) <= MOST
    assert all(FLOOR <= n.share <= 1 for n in near)
    again = Nearest.of(here).to("slow loss", ("engine-behaviour",), [("engine-behaviour", "fades")])
    assert ("engine-behaviour", "fades") not in {(n.question, n.value) for n in again}


def test_a_denial_is_nearer_to_what_denies() -> None:
    """'No drip' is nearer to dry than to wet: a picked answer must not turn the words round."""
    shares = {
        (n.question, n.value): n.share
        for n in Nearest.of(bench(TWIN)).to("no trace of wet about the cowl", ("engine-bay-leak",))
    }
    dry, wet = (shares.get(("engine-bay-leak", v), 0.0) for v in ("dry", "damp"))
    assert dry > wet


def test_a_figure_by_itself_is_near_nothing() -> None:
    """'3' typed where words were wanted is no repeated dip, and nothing is offered for it."""
    assert not any(x.may for x in lost("3"))
