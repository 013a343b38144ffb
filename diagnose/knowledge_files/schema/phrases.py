"""How people say each class of a question, the amounts that may stand in it, and how it is told."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from diagnose.knowledge_files.fields import Fields
from diagnose.knowledge_files.gather import Text

_AMOUNT = re.compile(r"<([^<>]*)>")
_ITS = "<it> "
"""Begins a phrase that counts only beside the subject of its question."""
_BRACES = re.compile(r"{\w*}|[{}]")


def heard(
    fields: Fields, classes: Mapping[Text, Text], amounts: Mapping[str, Sequence[str]]
) -> dict[Text, tuple[Text, ...]]:
    """Read how people say each class: class -> words and phrases.

    ``amounts``: name -> the words '<name>' stands for, as words.yaml lists them.
    """
    table = fields.table("heard", "the words for the classes of this question")
    if table is None:
        return {}
    found = {
        name: tuple(p for p in table.texts(name) if _is_known(p, amounts, fields))
        for name in classes
        if table.has(name)
    }
    table.finish()
    said: dict[str, Text] = {}
    for name, phrases in found.items():
        for phrase in phrases:
            first = said.setdefault(phrase.lower(), name)
            if first is not name:
                fields.gather.add(
                    phrase.origin,
                    f"'{phrase}' is said of '{first}' and of '{name}'; keep it where it is meant",
                )
    return found


def told(fields: Fields, classes: Mapping[Text, Text]) -> dict[Text, Text]:
    """Read how a report tells each class: class -> a sentence with ``{it}`` for the place."""
    table = fields.table("told", "the sentences for the classes of this question")
    if table is None:
        return {}
    found = {name: table.text(name, required=True) for name in classes}
    table.finish()
    for text in found.values():
        if wrong := set(_BRACES.findall(text)) - {"{it}"}:
            braces = ", ".join(sorted(wrong))
            fields.gather.add(
                text.origin, f"'{braces}' stands for nothing; only '{{it}}', the place, does"
            )
    return found


def _is_known(phrase: Text, amounts: Mapping[str, Sequence[str]], fields: Fields) -> bool:
    """Return whether every '<name>' in ``phrase`` stands for something."""
    unknown = [n for n in _AMOUNT.findall(phrase.removeprefix(_ITS)) if n not in amounts]
    for name in unknown:
        remedy = "Correct the name or add it under 'amounts' in words.yaml."
        fields.gather.unknown(Text(name, phrase.origin), "amount", tuple(amounts), remedy)
    return not unknown
