"""How reports told what they told: one file beside the questions.

    reports:
    - engine-behaviour=fades: [climb lost power, would not give full revs]
      tank-dipped=plenty: []

Each answer that was coded of a report, with the clauses of it that told it, written by
``diagnose cases told --write``.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from diagnose.knowledge_files.fields import Fields, build
from diagnose.knowledge_files.gather import Gather, Text
from diagnose.knowledge_files.reader import Node
from diagnose.model import ToldAs

FILE: Final = "accounts.yaml"
JOIN: Final = "="
"""Between a question and one of its classes."""


def accounts(node: Node, gather: Gather) -> tuple[tuple[ToldAs, ...], ...]:
    """Return what each report of ``node`` told."""
    fields = Fields(node, gather, FILE)
    reports = fields.tables("reports", "a report", required=True)
    fields.finish()
    return tuple(tuple(_told(one, gather)) for one in reports)


def _told(report: Fields, gather: Gather) -> Iterator[ToldAs]:
    for key, _ in report.pairs():
        name, join, value = key.partition(JOIN)
        if join:
            gather.refer("question", Text(name, key.origin), Text(value, key.origin))
        else:
            text = f"'{key}' is no answer; write QUESTION{JOIN}CLASS, as 'fuel-smell{JOIN}cabin'"
            gather.add(key.origin, text)
        yield build(ToldAs, question=name, value=value, clauses=report.texts(key))
    report.finish()
