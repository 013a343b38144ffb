"""A drawn exercise as the text of a file that an instructor hands to several apprentices."""

from __future__ import annotations

from diagnose.casebook.writing import finding_text
from diagnose.job.diagnosis import Bench
from diagnose.job.wording import cause_words
from diagnose.knowledge_files.yaml_writing import flow_text, folded_text, scalar_text
from diagnose.training.drawing import Drawn


def exercise_text(bench: Bench, drawn: Drawn, name: str) -> str:
    """Return ``drawn`` as YAML; read back it hides the same fault in the same aeroplane."""
    hidden = drawn.hidden
    cause = {"cause": hidden.cause.cause, "at": hidden.cause.at}
    note = (
        f"It hides: {cause_words(bench, hidden.cause)}. Invented; nothing of it was ever seen. "
        f"{drawn.modes} failure modes share the report ({drawn.level})."
    )
    return "\n".join(
        [
            f"exercise: {name}",
            "title: " + scalar_text("drawn exercise"),
            "invented: yes",
            f"layout: {bench.layout.id}",
            f"fault: {flow_text(cause)}",
            f"severity: {hidden.grade}",
            f"seed: {hidden.seed}",
            "reported: >-",
            *folded_text(drawn.reported),
            "told:",
            *(f"  - {finding_text(f)}" for f in drawn.told),
            "at-hand: {hands: 2, run: yes}",
            "notes: >-",
            *folded_text(note),
            "",
        ]
    )
