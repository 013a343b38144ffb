"""What a question asks can be answered as people answer."""

from __future__ import annotations

import re

from diagnosis.shipped import library

_YES_OR_NO = re.compile(r"(?:Is|Are|Was|Were|Does|Do|Did|Has|Have|Can)\b")


def test_a_question_that_wants_yes_or_no_takes_one() -> None:
    """'Is the drop even?' is answered 'yes'; a list without a yes or a no must not ask so."""
    dead_ends = [
        q.id
        for q in library().questions.values()
        if _YES_OR_NO.match(q.ask)
        and "none" not in q.classes
        and not any(re.match(r"(?:yes|no)\b", label) for label in q.classes.values())
    ]
    assert dead_ends == []
