"""What stands on every page of every chart, and cautions as paragraphs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diagnose.job.diagnosis import Bench
from diagnose.job.wording import warnings_first
from diagnose.model import Layout, Library
from diagnose.paper.blocks import Para
from diagnose.paper.words import NOT_A_RELEASE, UNREVIEWED, layout_label, shown

APPROVED = (
    "The aeroplane's approved data, local codes and licensed practice come first. This paper "
    "certifies nothing."
)

NO_RATES = (
    "Likely, possible and unlikely rest on expert words, not on counted defects; no base rates "
    "are published."
)


def labels(library: Library, layout: Layout) -> tuple[str, ...]:
    """Return the labels of every page: not reviewed, layout, edition, no release."""
    return (
        f"{UNREVIEWED} by a licensed person",
        layout_label(layout.id, layout.invented),
        f"knowledge edition {shown(library.edition)}",
        NOT_A_RELEASE,
    )


def kind_words(kind: str) -> str:
    """Return a kind of part as it is written: 'shut-off cock', 'filler cap'."""
    words = kind.replace("-", " ")
    for joined in ("shut-off", "cross-feed", "dip-stick"):
        words = words.replace(joined.replace("-", " "), joined)
    return words


def printable(paras: Iterable[Para]) -> tuple[Para, ...]:
    """Return ``paras`` with what was typed in them made safe to print."""
    return tuple(replace(p, text=shown(p.text)) for p in paras)


def cautions(bench: Bench, hazards: Iterable[str]) -> tuple[Para, ...]:
    """Return the cautions in full, each once, warnings first."""
    return tuple(Para(f"{h.headed}: {h.text}") for h in warnings_first(bench, hazards))


def named(bench: Bench, hazards: Iterable[str]) -> str:
    """Return the titles of cautions whose text stands at the head of the sheet, '' for none."""
    return "; ".join(h.title for h in warnings_first(bench, hazards))
