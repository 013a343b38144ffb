"""What a symptom says of causes: named, spoken against, excluded; what is evidence."""

from __future__ import annotations

from functools import partial
from typing import Any

from rules.meaning_kit import LOW, LOW_TOO, NORMAL, PRESSURE, concluded
from rules.rules_kit import (
    cause,
    found,
    library,
    question,
    sign,
    symptom,
)

from diagnose.model import AEROPLANE, CauseAt, Library
from diagnose.rules import Outcome

# ------------------------------------------------------------------ causes


def pointing(**more: Any) -> Library:
    """A symptom that names, speaks against and excludes causes."""
    return library(
        [question(PRESSURE, instruments=("pressure-gauge",)), question("leak", ("no", "yes"))],
        [
            symptom(
                "s",
                sign(PRESSURE, "low"),
                points_to=("pump-worn", "strainer-plugged"),
                against=("gauge-off",),
                never_with=("tank-empty",),
            ),
            symptom("dry", sign("leak", "no"), never_with=("pump-worn",)),
        ],
        [
            cause("pump-worn", "engine-pump", (PRESSURE, "low", "its-engine", {})),
            cause("strainer-plugged", "strainer", (PRESSURE, "low", "engines-fed-through-it", {})),
            cause("gauge-off", "pressure-gauge", distorts=(PRESSURE,)),
            cause("tank-empty", "tank", (PRESSURE, "low", "engines-fed-through-it", {})),
        ],
    )


def test_a_true_symptom_names_the_causes_at_the_parts_of_its_place() -> None:
    """Engine 2's low pressure means engine 2's pump, strainer, gauge and tank."""
    (points,) = concluded(pointing(), LOW_TOO).points

    assert points.to == (
        CauseAt("pump-worn", "pump-2"),
        CauseAt("strainer-plugged", "strainer-2"),
    )
    assert points.against == (CauseAt("gauge-off", "gauge-2"),)


def test_an_open_cross_feed_in_the_findings_widens_what_is_named() -> None:
    """With the cross-feed known open, either side's tank can be meant; else only its own."""
    low = partial(found, PRESSURE, "low", known_by="measured", booster="off")
    (shut,) = concluded(pointing(), low()).points
    (across,) = concluded(pointing(), low(crossfeed="open")).points

    assert [c.at for c in shut.never] == ["tank-1"]
    assert [c.at for c in across.never] == ["tank-1", "tank-2"]


def test_a_part_that_can_have_the_cause_itself_is_the_one_meant() -> None:
    """A symptom of one strainer means that strainer, though others could have the cause too."""
    clogs = cause("strainer-plugged", "strainer", (PRESSURE, "low", "engines-fed-through-it", {}))
    dirty = symptom("s", sign("dirt", "yes"), at="strainer", points_to=("strainer-plugged",))
    asked = [question(PRESSURE), question("dirt", ("no", "yes"), at="strainer")]
    (points,) = concluded(
        library(asked, [dirty], [clogs]), found("dirt", "yes", at="strainer-2", crossfeed="open")
    ).points

    assert points.to == (CauseAt("strainer-plugged", "strainer-2"),)


def test_a_symptom_of_the_aeroplane_means_the_cause_at_every_part() -> None:
    """What concerns the whole aeroplane cannot tell one part from another."""
    rain = symptom("wet", sign("rain", "yes"), at=AEROPLANE, points_to=("pump-worn",))
    worn = cause("pump-worn", "engine-pump", (PRESSURE, "low", "its-engine", {}))
    asked = [question(PRESSURE), question("rain", ("no", "yes"), at=AEROPLANE)]
    (points,) = concluded(library(asked, [rain], [worn]), found("rain", "yes", AEROPLANE)).points

    assert points.to == (CauseAt("pump-worn", "pump-1"), CauseAt("pump-worn", "pump-2"))


def test_a_reading_a_faulty_gauge_could_have_given_excludes_nothing() -> None:
    """Never-with is held back while it rests on a gauge, and acts once the pressure is measured."""
    (seen,) = concluded(pointing(), LOW).points
    measured = found(PRESSURE, "low", known_by="measured", booster="off")
    (sure,) = concluded(pointing(), measured).points

    assert seen.never == ()
    assert sure.never == (CauseAt("tank-empty", "tank-1"),)


def test_hearsay_excludes_nothing_and_a_look_does() -> None:
    """Told or assumed never excludes; seen does where no instrument comes between."""
    for known_by, excluded in (("told", 0), ("assumed", 0), ("seen", 1), ("read", 1)):
        (points,) = concluded(pointing(), found("leak", "no", known_by=known_by)).points  # type: ignore[arg-type]

        assert len(points.never) == excluded


def test_one_confirmed_finding_among_hearsay_is_enough_to_exclude() -> None:
    """The exclusion rests on the confirmed finding; hearsay beside it does not spoil it."""
    told = found("leak", "no", known_by="told", power="low")
    (points,) = concluded(pointing(), told, found("leak", "no", power="high")).points

    assert points.never == (CauseAt("pump-worn", "pump-1"),)


def test_a_false_symptom_points_to_nothing_and_says_nothing() -> None:
    """Only what is known true, or in conflict, is shown."""
    assert concluded(pointing(), NORMAL).points == ()


# ------------------------------------------------------------------ evidence


def rows_of(outcome: Outcome) -> set[tuple[int, str, str, int]]:
    """(finding, place of the sign, cause at part, line of the row)."""
    return {(e.finding, e.at, str(e.cause), e.row.line) for e in outcome.evidence}


def test_each_row_and_table_that_fits_a_sign_is_evidence_once() -> None:
    """A row fires for the parts that reach the sign's place, a table for the gauge there."""
    outcome = concluded(pointing(), found(PRESSURE, "normal", crossfeed="shut"))

    assert rows_of(outcome) == {
        (0, "engine-1", "pump-worn@pump-1", 10),
        (0, "engine-1", "strainer-plugged@strainer-1", 10),
        (0, "engine-1", "tank-empty@tank-1", 10),
        (0, "engine-1", "gauge-off@gauge-1", 50),
    }
    assert len(outcome.evidence) == 4


def test_a_row_whose_state_does_not_fit_is_silent() -> None:
    """A row for booster off does not speak of a reading with it on; unstated, it may."""
    book = library(
        [question(PRESSURE)],
        (),
        [cause("worn", "engine-pump", (PRESSURE, "low", "its-engine", {"booster": ("off",)}))],
    )

    assert concluded(book, found(PRESSURE, "low", booster="on")).evidence == ()
    assert len(concluded(book, found(PRESSURE, "low")).evidence) == 1


def test_a_row_that_says_normal_is_no_evidence() -> None:
    """What is net of background cannot weigh for the normal value."""
    book = library(
        [question(PRESSURE)],
        (),
        [cause("worn", "engine-pump", (PRESSURE, "normal", "its-engine", {}))],
    )

    assert concluded(book, LOW).evidence == ()


def test_evidence_counts_the_signs_that_the_others_are_normal_implies() -> None:
    """The scope answer is a sign at each other engine, under the same finding."""
    outcome = concluded(pointing(), found(PRESSURE, "low", crossfeed="shut", others_normal=True))

    assert (0, "engine-2", "pump-worn@pump-2", 10) in rows_of(outcome)


def test_of_disputed_findings_the_last_one_is_evidence() -> None:
    """Evidence enters once per sign, as the belief counts it."""
    outcome = concluded(pointing(), LOW, NORMAL)

    assert {e.finding for e in outcome.evidence} == {1}
