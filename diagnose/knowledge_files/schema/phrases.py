"""How people say each class of a question, and the amounts that may stand in it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from diagnose.knowledge_files.fields import Fields, Text

_AMOUNT = re.compile(r"<([^<>]*)>")


def heard(
    fields: Fields, classes: Mapping[Text, Text], amounts: Mapping[str, Sequence[str]]
) -> dict[Text, tuple[Text, ...]]:
    """Read how people say each class: class -> words and phrases, amounts written out.

    ``amounts``: name -> the words '<name>' stands for, as words.yaml lists them.
    """
    table = fields.table("heard", "the words for the classes of this question")
    if table is None:
        return {}
    found = {
        name: tuple(p for text in table.texts(name) for p in _written_out(text, amounts, fields))
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


def _written_out(
    phrase: Text, amounts: Mapping[str, Sequence[str]], fields: Fields
) -> tuple[Text, ...]:
    """Return ``phrase`` once for each of the amounts that may stand in it."""
    hit = _AMOUNT.search(phrase)
    if hit is None:
        return (phrase,)
    if hit[1] not in amounts:
        remedy = "Correct the name or add it under 'amounts' in words.yaml."
        fields.gather.unknown(phrase.origin, hit[1], "amount", tuple(amounts), remedy)
        return ()
    before, after = phrase[: hit.start()], phrase[hit.end() :]
    each = (Text(f"{before}{word}{after}", phrase.origin) for word in amounts[hit[1]])
    return tuple(p for one in each for p in _written_out(one, amounts, fields))
