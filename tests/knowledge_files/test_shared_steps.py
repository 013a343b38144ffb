"""Steps written once in steps.yaml and named where they are used; mistakes in either are told."""

from __future__ import annotations

from pathlib import Path

import pytest
from tiny_library import FILES, tiny_library

from diagnose.errors import KnowledgeError

STRAINER, INSPECT = "causes/filters/strainer-plugged.yaml", "checks/inspect-strainer.yaml"
STEPS = "steps:\n  - {step: look-again, text: Look again after the next flight.}\n"


def with_line(name: str, line: str) -> dict[str, str]:
    """Return the tiny files with one more line in one of them, and the shared steps."""
    return {"steps.yaml": STEPS, name: FILES[name] + line + "\n"}


def test_a_named_step_stands_in_the_item_in_full(tmp_path: Path) -> None:
    """Alone, or between what is particular, in the order written."""
    alone = tiny_library(tmp_path, with_line(STRAINER, "verify: {shared: look-again}"))
    assert alone.causes["strainer-plugged"].verify == "Look again after the next flight."
    line = "verify: [Run it., {shared: look-again}, Then log it.]"
    among = tiny_library(tmp_path, with_line(STRAINER, line))
    assert among.causes["strainer-plugged"].verify == (
        "Run it. Look again after the next flight. Then log it."
    )
    assert among.steps == {"look-again": "Look again after the next flight."}


def test_a_knowledge_folder_needs_no_shared_steps(tmp_path: Path) -> None:
    """The file may be missing."""
    assert tiny_library(tmp_path).steps == {}


def test_changed_steps_make_another_edition(tmp_path: Path) -> None:
    """A step is part of what the items say, so the edition and the cache know of it."""
    texts = (STEPS, STEPS.replace("next", "third"), None)
    editions = {tiny_library(tmp_path, {"steps.yaml": text}).edition for text in texts}
    assert len(editions) == 3


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            with_line(STRAINER, "verify: {shared: look-agian}"),
            "strainer-plugged.yaml:18:18: 'look-agian' is not a known shared step; did you mean"
            " 'look-again'?",
        ),
        (with_line(STRAINER, "verify: {shared: Look again}"), "names one step by its id"),
        (with_line(STRAINER, "verify: {shared: [look-again]}"), "names one step by its id"),
        (with_line(STRAINER, "verify: {step: look-again}"), "'verify' is one piece of text"),
        (with_line(STRAINER, "verify: [[Run it.]]"), "'verify' is one piece of text"),
        (with_line(STRAINER, "harm: {shared: look-again}"), "'harm' is one piece of text"),
        ({"steps.yaml": STEPS + STEPS.partition("\n")[2]}, "step 'look-again' stands twice"),
        ({"steps.yaml": "steps:\n  - {step: Look, text: Look.}\n"}, "cannot be an id"),
        ({"steps.yaml": "steps:\n  - {step: look, txt: Look.}\n"}, "'txt' is not a known key"),
        ({"steps.yaml": "steps: []\n"}, "'steps' is empty"),
    ],
)
def test_a_mistake_with_shared_steps_is_told_with_its_place(
    changes: dict[str, str], says: str, tmp_path: Path
) -> None:
    """Unknown steps with the nearest, wrong forms, and mistakes in the list itself."""
    with pytest.raises(KnowledgeError) as caught:
        tiny_library(tmp_path, changes)
    assert says in str(caught.value)
    assert all(p.origin.line for p in caught.value.problems)
