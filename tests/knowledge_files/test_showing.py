"""How well a question shows what is the matter, where its file says it in a word."""

from diagnosis.shipped import bench

QUESTIONS = bench("low-wing-single").library.questions


def test_what_is_opposed_to_the_truth_is_read_no_oftener_than_where_nothing_is_wrong() -> None:
    """'More than booked' speaks for no fuel missing: nobody reads one for the other."""
    shows = QUESTIONS["ledger-check"].shows
    assert shows["fuel-missing"]["fuel-over"] == shows["agree"]["fuel-over"]
    assert shows["fuel-over"]["fuel-missing"] == shows["agree"]["fuel-missing"]


def test_the_rest_of_the_usual_error_goes_to_what_is_near() -> None:
    """As much is misread as the word says: overlooked, or taken for what lies beside it."""
    row = QUESTIONS["ledger-check"].shows["fuel-missing"]
    assert round(sum(row.values()), 9) == 1.0
    assert round(row["fuel-missing"], 9) == 0.85
    assert row["agree"] == row["one-fifth-out"] > 0.07
