"""Findings told in sentences: as people report them, and heard back as they were meant."""

from __future__ import annotations

import pytest
from diagnosis.shipped import bench

from diagnose.job.hearing.report_words import hear
from diagnose.job.telling import told_in_words
from diagnose.model import Finding, Question, State

FOUR, HAND = "four-engine-injection", "radial-single-hand-pump"
RUN_UP = State("run-up", {"booster": "off", "crossfeed": "shut"})


def test_place_state_and_answer_make_one_sentence_and_are_not_said_twice() -> None:
    """'It' and 'its' stand for the place just named, 'the same' for what another state changes."""
    idle = State("idle", {"booster": "on", "crossfeed": "shut"})
    told = [
        Finding("pressure-lamp", "no2-engine", "lit", RUN_UP),
        Finding("fuel-pressure", "no2-engine", "low", RUN_UP, typed="11 psi", number=7.6e4),
        Finding("fuel-pressure", "no2-engine", "low", idle),
        Finding("engine-behaviour", "no2-engine", "normal", idle),
        Finding("tank-stains", "port-inner-tank", "at-vent", State("static", {"booster": "off"})),
    ]
    assert told_in_words(bench(FOUR), told) == (
        "On the run-up with the booster off, the fuel pressure lamp of no. 2 engine (port inner) "
        "was lit; its fuel pressure was low, 11 psi. The same at idle with the booster on; it ran "
        "well. There was a stain at the vent of no. 3 tank (port inner)."
    )


@pytest.mark.parametrize(
    ("settings", "words"),
    [
        ({"booster": "on"}, "On the run-up with the hand pump worked, the engine surged."),
        ({"booster": "off", "tank": "right-tank", "heat": "hot"},
         "On the run-up on the right tank when hot with the hand pump left alone, the engine "
         "surged."),
        ({}, "On the run-up, the engine surged."),
    ],
)  # fmt: skip
def test_a_state_is_told_in_the_words_of_the_layout(settings: dict[str, str], words: str) -> None:
    """A hand pump is worked or left alone; what was not stated is not told."""
    finding = Finding("engine-behaviour", "engine", "surges", State("run-up", settings))
    assert told_in_words(bench(HAND), [finding]) == words


def test_a_question_without_sentences_and_an_answer_left_open_are_told_plainly() -> None:
    """Nothing is told that was not found, and nothing that was found is lost."""
    sample = Finding("tank-drain-sample", "port-inner-tank", "clean")
    assert told_in_words(bench(FOUR), [sample]).startswith("Sample from the tank drain, no. 3 tank")
    either = Finding("engine-behaviour", "no1-engine", "fades", one_of=("fades", "stops"))
    assert "not known which" in told_in_words(bench(FOUR), [either])


def told() -> list[tuple[Question, str]]:
    """Return every class that has a sentence of its own."""
    questions = bench(FOUR).library.questions.values()
    return [(q, value) for q in questions for value in q.told]


def test_what_is_told_is_never_heard_as_another_answer() -> None:
    """The words of a report lead to the finding it was made of, or to a question."""
    b, right = bench(FOUR), 0
    here = {r.question: r for r in reversed(b.planner.catalogue.readings)}
    every = [(q, value) for q, value in told() if q.id in here]
    for question, value in every:
        finding = Finding(question.id, here[question.id].place, value, here[question.id].state)
        words = told_in_words(b, [finding])
        heard = {s.value for s in hear(words, b) if s.question == question.id and s.value}
        assert heard <= {value}, words
        right += value in heard
    assert right >= 0.55 * len(every)


def test_whatever_is_told_of_one_class_is_told_of_all() -> None:
    """A drawn report never falls from sentences into labels."""
    assert len({q.id for q, _ in told()}) > 25
    assert all(set(q.told) == set(q.classes) for q, _ in told())
