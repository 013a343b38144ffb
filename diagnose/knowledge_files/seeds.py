"""Seed questions: published facts whose answers are known, asked among the others.

They show how well an expert's ranges hold, and say nothing of fuel faults by themselves.  They
stand in ``seeds.yaml`` of the knowledge, each with its source.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from diagnose.errors import KnowledgeError
from diagnose.knowledge_files.whole_file import list_beside
from diagnose.model import Library, Seed

FILE: Final = "seeds.yaml"


def read_seeds(root: Path, library: Library) -> tuple[Seed, ...]:
    """Read the seed questions of a knowledge folder; none if it has no such file.

    Raises:
        KnowledgeError: With every problem in the file.
    """
    fields = list_beside(root, FILE, "the list of seed questions")
    if fields is None:
        return ()
    gather = fields.gather
    out: dict[str, Seed] = {}
    for one in fields.tables("seeds", "a seed question", required=True):
        seed = one.build(
            Seed,
            id=one.id("seed"),
            ask=one.text("ask", required=True),
            unit=one.text("unit", required=True),
            answer=one.number("answer", required=True, low=0.0, high=1e6),
            source=one.choice("source", library.sources, required=True),
        )
        if seed.id in out:
            gather.add(one.origin, f"seed '{seed.id}' stands twice; keep one")
        out[seed.id] = seed
    fields.finish()
    gather.check(KnowledgeError)
    return tuple(out.values())
