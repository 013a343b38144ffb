"""What judged reports say of how common each failure mode is: one file beside the causes.

    odds: {engine-pump-worn: 7.5, seals-dried-in-storage: .2}

A factor on the odds that the word of the cause gives, fitted by ``diagnose cases judged --write``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Final

from diagnose.knowledge_files.fields import Fields, number, scalar
from diagnose.knowledge_files.gather import Gather
from diagnose.knowledge_files.reader import Node
from diagnose.model import Cause

FILE: Final = "judged.yaml"
MOST: Final = 1e3
"""No factor is above it, or below one over it: judgements may lean on a word, not delete it."""


def judged(
    node: Node, gather: Gather, causes: Mapping[str, Cause], known: Collection[str]
) -> dict[str, Cause]:
    """Return ``causes``, each with its factor where ``node`` names it.

    ``known`` also has the ids of files that could not be read, which have no factor.
    """
    fields = Fields(node, gather, FILE)
    table = fields.table("odds", required=True)
    out = dict(causes)
    for name, value in table.pairs() if table else ():
        found = scalar(value, gather, f"'{name}'")
        factor = number(found, gather, f"'{name}'", 1.0 / MOST, MOST)
        if name not in known:
            gather.unknown(name, "cause", known)
        elif name in causes:
            out[str(name)] = replace(causes[name], judged=factor)
    fields.finish()
    return out
