"""What every draft needs: the words of who said it, places as relations, rows as text."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.capture.asking import Ground
from diagnose.capture.counts import Count, Expert
from diagnose.capture.told import Told
from diagnose.job.diagnosis import Bench
from diagnose.knowledge_files.vocabulary import RELATION_KINDS, RELATIONS
from diagnose.knowledge_files.yaml_writing import flow_text, scalar_text
from diagnose.model import Finding

FIRST_TRIED = (
    "itself",
    "engines-fed-through-it",
    "its-engine",
    "tanks-feeding-it",
    "its-tank",
    "aeroplane",
)
"""Relations in the order in which one is looked for; knowledge uses the general ones first."""


@dataclass(frozen=True)
class Draft:
    """One piece of knowledge made of what was said.

    id: its file under a knowledge folder, without its ending.  text: the whole file; of a trade
    word its one line of a list.  entries: answers it was made of.  says: what it is, in a line.
    about: causes and effects it bears on, for the cases it may move.  counts: the frequency
    questions it rests on, whoever answered them.
    """

    id: str
    kind: str  # changed cause | new cause | rule | trade word
    text: str
    entries: tuple[int, ...]
    says: str
    about: frozenset[str] = frozenset()
    counts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Basis:
    """What drafts are made from: what was said, on what ground, and the pooled counts."""

    told: Told
    ground: Ground
    experts: tuple[Expert, ...]
    counts: tuple[Count, ...]
    day: str
    entries_used: dict[int, str] = field(default_factory=dict)  # filled as drafts are made

    @property
    def source(self) -> str:
        """Return the id under which the knowledge cites the interview."""
        return self.experts[0].source

    def use(self, draft: str, *asks: str) -> tuple[int, ...]:
        """Return the entries of ``asks`` that were answered, noted as used by ``draft``."""
        found = tuple(self.told.said[a].entry for a in asks if a in self.told.said)
        for entry in found:
            self.entries_used.setdefault(entry, draft)
        return found

    def sources_text(
        self, entries: tuple[int, ...], gives: str, counts: Sequence[Count]
    ) -> list[str]:
        """Return the lines of ``sources`` that cite the interview and who gave ``counts`` blind."""
        lines = [f"  - {self.ref(entries, gives)}"] if entries else []
        for expert in self.experts[1:]:
            blind = tuple(o.entry for c in counts for o in c.own if o.expert is expert)
            if blind:
                ref = {"id": expert.source, "part": part_of(blind), "gives": f"{expert.who}, blind"}
                lines.append(f"  - {flow_text(ref)}")
        return lines

    def ref(self, entries: tuple[int, ...], gives: str) -> str:
        """Return one reference to the interview as a flow mapping."""
        return flow_text({"id": self.source, "part": part_of(entries), "gives": gives})

    @property
    def provenance(self) -> str:
        """Return the provenance of what rests on this interview alone."""
        sure = [o.figures.sure for c in self.counts for o in c.own]
        low = min(sure, default=0.0)
        level = "high" if low >= 90 else "medium" if low >= 70 else "low"
        return flow_text(
            {"said-by": self.told.who, "on": self.day, "how": "interview", "confidence": level}
        )


def part_of(entries: tuple[int, ...]) -> str:
    """Return where in the record: 'entry 31', 'entries 31 33'."""
    if not entries:
        return "no entry"
    word = "entry" if len(entries) == 1 else "entries"
    return f"{word} {' '.join(map(str, sorted(set(entries))))}"


def with_limits(reason: str, told: Told) -> str:
    """Return a reason with where it does not hold, in his words: without it more is claimed."""
    limits = told.words("limits").strip().rstrip(".")
    if not limits:
        return reason
    return f"{reason.strip().rstrip('.')}. Not so: {limits[0].lower()}{limits[1:]}."


MOST_LETTERS = 50
"""Letters of an id; a longer name is cut behind a word."""


def slug(text: str, taken: Mapping[str, object]) -> str:
    """Return an id of the words of ``text`` that is none of ``taken``."""
    words = re.findall("[a-z0-9]+", text.lower()) or ["unnamed"]
    while len(words) > 1 and len("-".join(words)) > MOST_LETTERS:
        words.pop()
    name = "-".join(words)[:MOST_LETTERS].strip("-")
    number, out = 2, name
    while out in taken:
        out, number = f"{name}-{number}", number + 1
    return out


def relation_to(
    bench: Bench, part: str, place: str, known: Mapping[str, str], first: Iterable[str] = ()
) -> str:
    """Return the relation that leads from ``part`` to ``place``, the most general first, ''.

    ``first``: relations tried before all others.
    """
    kind = bench.layout.parts[place].kind if place in bench.layout.parts else place
    tried = dict.fromkeys((*first, *FIRST_TRIED, *RELATIONS))
    for relation in tried:
        kinds = RELATION_KINDS.get(relation, (kind,))
        if kind in kinds and bench.places.related(part, relation, known).get(place, 0.0) > 0.0:
            return relation
    return ""


def state_that_matters(bench: Bench, f: Finding) -> dict[str, str]:
    """Return what of the run state of a finding matters to what it reads, without the tank."""
    effect = bench.library.effect_of(f.question)
    known = f.state.known()
    return {d: known[d] for d in effect.depends_on if d in known and d != "tank"}


def flow_rows(items: Mapping[str, str]) -> str:
    """Return one list item as a flow mapping over as many lines as it needs; values are YAML."""
    lines = ["  - {"]
    room = 96
    for k, (key, value) in enumerate(items.items()):
        piece = f"{key}: {value}" + ("," if k < len(items) - 1 else "}")
        if len(lines[-1]) + len(piece) + 1 > room and lines[-1].strip() != "- {":
            lines.append(f"     {piece}")
        else:
            lines[-1] += piece if lines[-1].endswith("{") else f" {piece}"
    return "\n".join(lines)


def values_text(state: Mapping[str, tuple[str, ...]]) -> str:
    """Return settings as a flow mapping: one value bare, several as a list."""
    pairs = (
        f"{d}: {scalar_text(v[0]) if len(v) == 1 else '[' + ', '.join(map(scalar_text, v)) + ']'}"
        for d, v in state.items()
    )
    return "{" + ", ".join(pairs) + "}"
