"""Figures told on an aeroplane with error cards: classed where they were read, and once."""

from __future__ import annotations

from aeroplane.own_kit import CARD, HEAD, own_bench

from diagnose.job.hearing.figures_placed import figures_placed
from diagnose.job.hearing.report_words import hear
from diagnose.job.hearing.vocabulary import Suggestion

LIMITED = HEAD + CARD
UNLIMITED = HEAD.replace("invented: yes", "invented: no") + CARD


def read(report: str, text: str = LIMITED) -> list[Suggestion]:
    """Return the pressures heard in ``report`` on the aeroplane ``text`` describes."""
    bench = own_bench(text)
    heard = figures_placed(bench, hear(report, bench))
    return [s for s in heard if s.question == "fuel-pressure"]


def test_a_figure_is_classed_by_the_card_of_the_gauge_it_was_read_on() -> None:
    """13 psi is below the band, and in it on the gauge that reads a pound and a half low."""
    of = {s.places: s.value for s in read("No. 1 fuel pressure 13 psi at the run-up")}
    assert of == {("no1-engine",): "low"}
    of = {s.places: s.value for s in read("No. 2 fuel pressure 13 psi at the run-up")}
    assert of == {("no2-engine",): "normal"}


def test_one_figure_of_several_gauges_is_one_line_a_class() -> None:
    """All four at 13 psi: three low, and one in the band by its card."""
    told = read("Fuel pressure 13 psi at the run-up on all four engines")
    assert {s.value: len(s.places) for s in told} == {"low": 3, "normal": 1}
    assert all(s.number is not None for s in told)


def test_what_words_say_beside_the_figure_is_no_second_reading() -> None:
    """'16 psi and steady' is one reading."""
    told = read("No. 1 fuel pressure 16 psi and steady at the run-up")
    assert [(s.phrase, s.value) for s in told] == [("16 psi", "normal")]


def test_a_figure_that_no_limit_classes_is_kept_and_called_nothing() -> None:
    """Without an approved figure the number stands and nobody's word is put in its place."""
    told = read("No. 1 fuel pressure 13 psi at the run-up", UNLIMITED)
    assert [(s.value, s.number is not None) for s in told] == [("", True)]
