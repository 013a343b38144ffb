"""What bears on a draft: the words said, lint, the invented cases, where experts differ."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path

from diagnose.capture.counts import Count, counts_of, experts_of
from diagnose.capture.drafting import Draft
from diagnose.capture.folder import Folder
from diagnose.capture.moves import Held, Move, holds_on, moves
from diagnose.capture.overlay import ONE_WORD, Laid
from diagnose.capture.record import Interview, folder
from diagnose.cli.printing import told_on_a_terminal
from diagnose.cli.room import wrap
from diagnose.errors import ProblemsError
from diagnose.knowledge_files import (
    layout_of_case,
    list_layouts,
    load_case,
    load_layout,
)
from diagnose.lint import Found, chosen, lint
from diagnose.lint.proofs import NO_CASE
from diagnose.model import Case, Layout, Library

MOST_SHOWN = 12
APART = 0.20
"""A spread of more than the step between two neighbouring frequency words in the middle."""


def words_said(interview: Interview, entries: Sequence[int]) -> list[str]:
    """Return the answers a draft was made of, each with its number."""
    by_entry = {s.entry: s for s in interview.told().said.values()}
    lines: list[str] = []
    for entry in sorted(set(entries)):
        said = by_entry.get(entry)
        if said is None:
            lines.append(f"  {entry:>4}  (taken back since)")
            continue
        lines += wrap(said.prompt, " " * 8, f"  {entry:>4}  ")
        for line in said.text.splitlines():
            lines += wrap(f"'{line}'", " " * 11, " " * 10)
        if said.chosen:
            lines += wrap(said.chosen, " " * 12, " " * 10)
    return lines


def present_lines(library: Library, draft: Draft) -> list[str]:
    """Return what the knowledge says now of the causes a new item is about, [] where of none."""
    lines: list[str] = []
    for name in sorted(draft.about & set(library.causes)):
        cause = library.causes[name]
        lines += wrap(f"{name} ({cause.origin}): {cause.because}", "      ", "  ")
        for verb, found in (
            ("pointed to by", [s for s in library.symptoms.values() if name in s.points_to]),
            ("spoken against by", [s for s in library.symptoms.values() if name in s.against]),
        ):
            titles = "; ".join(s.title for s in found)
            lines += wrap(f"{verb}: {titles}", "        ", "      ") if titles else []
    return ["The knowledge now, of what it is about:", *lines] if lines else []


class Linted:
    """What lint finds without and with drafts; a knowledge edition is looked through once."""

    def __init__(self) -> None:
        """Nothing was looked through yet."""
        self._known: dict[str, frozenset[tuple[str, str]]] = {}

    def added(self, root: Path, edition: str, laid: Laid) -> list[str]:
        """Return what lint finds with the drafts and did not without, at the drafts' lines.

        ``edition``: of the knowledge in ``root``.  Cases are not looked for: those beside a folder
        of one's own need not be there yet.
        """
        if edition not in self._known:
            self._known[edition] = _places(_found(root))
        known = self._known[edition]
        with tempfile.TemporaryDirectory() as place:
            # on disk, because lint looks values up in their files
            laid.write_to(Path(place) / root.resolve().name)
            now = _found(Path(place) / root.resolve().name)
        # accepted, this is the knowledge that the next draft is laid over
        self._known[laid.files.edition] = _places(now)
        told_on_a_terminal("")
        fresh = [f for f in now if (f.code, f.item) not in known]
        return [f"{laid.origin_in_draft(f.origin)}: {f.code} {f.text}" for f in fresh]


def _found(root: Path) -> tuple[Found, ...]:
    codes = [c for c in chosen((), (), model=False) if c != NO_CASE.id]
    return lint(root, codes, progress=told_on_a_terminal).stands


def _places(found: Sequence[Found]) -> frozenset[tuple[str, str]]:
    return frozenset((f.code, f.item) for f in found)


def move_lines(
    cases: Sequence[tuple[Case, Layout]],
    root: Path,
    before: Library,
    after: Library,
    draft: Draft,
    made: Folder,
) -> list[str]:
    """Return how the invented ``cases`` stand with a draft, or which of them its rule holds on."""
    if draft.id.startswith(ONE_WORD):
        return []
    told_on_a_terminal("going through the invented cases")
    if draft.kind == "rule":
        rule = draft.id.rpartition("/")[2]
        lines = _rule_lines(holds_on(cases, after, rule), len(cases))
        if made.case:
            lines.append(f"  On the case told it {_on_the_case_told(root, after, made, rule)}.")
    else:
        lines = _moved_lines(moves(cases, before, after, draft.about))
    told_on_a_terminal("")
    return [*lines, "  (The published cases are kept to judge by, and not looked at.)"]


def _on_the_case_told(root: Path, library: Library, made: Folder, rule: str) -> str:
    """Return whether a rule holds on the expert's own case, or why that cannot be said."""
    file = made.path / "cases" / f"{made.case_id}.yaml"
    try:
        layout = load_layout(list_layouts(root)[layout_of_case(file)])
        told = load_case(file, library, layout)
    except ProblemsError as error:
        return f"cannot be tried: {error.problems[0]}"
    return "holds" if holds_on([(told, layout)], library, rule) else "does not hold"


def _moved_lines(found: Sequence[Move]) -> list[str]:
    moved = [m for m in found if m.moved]
    up = sum(m.rank[1] < m.rank[0] for m in moved)
    down = sum(m.rank[1] > m.rank[0] for m in moved)
    lines = [
        f"Invented cases it touches most, {len(found)}: the true cause stands higher in {up}, "
        f"lower in {down}."
    ]
    for m in sorted(moved, key=lambda m: (m.rank[0] - m.rank[1], m.case))[:MOST_SHOWN]:
        lines.append(
            f"  {m.case}: {m.truth} {m.rank[0]} -> {m.rank[1]}, "
            f"{m.chance[0]:.2f} -> {m.chance[1]:.2f}"
        )
    if len(moved) > MOST_SHOWN:
        lines.append(f"  and {len(moved) - MOST_SHOWN} more")
    return lines


def _rule_lines(found: Sequence[Held], of: int) -> list[str]:
    right = sum(h.points for h in found)
    lines = [
        f"A rule moves no ranking. It holds on {len(found)} of {of} invented cases and points to "
        f"what it was in {right}."
    ]
    lines += [f"  it speaks against what it was in {h.case}: {h.truth}" for h in found if h.against]
    others = [f"{h.case} ({h.truth})" for h in found if not h.points and not h.against]
    if others:
        lines += wrap(
            f"it points elsewhere in {len(others)}: {', '.join(others[:4])}", "    ", "  "
        )
    return lines


def differ_lines(interview: Interview, draft: Draft) -> list[str]:
    """Return every expert's own numbers behind a draft, and how far they lie apart."""
    counts = [c for c in counts_of(experts_of(folder(), interview)) if c.ask in draft.counts]
    if not counts:
        return []
    alone = all(len(c.own) == 1 for c in counts)
    lines = ["Counts, each expert's own (linear pool, equal weights, floor .01):"]
    lines += [x for c in counts for x in count_lines(c)]
    if alone:
        lines.append(
            f"  One expert only. A second, blind: diagnose interview blind {interview.name}"
        )
    return lines


def count_lines(count: Count) -> list[str]:
    """Return one frequency question with all that was said to it."""
    lines = wrap(count.prompt, "    ", "  ")
    for own in count.own:
        why = f": {own.reason}" if own.reason else ""
        lines += wrap(f"{own.words}{why}", "        ", "      ")
    if len(count.own) > 1:
        pool = count.pool
        lines.append(f"      pooled {pool.value:.2f}, spread {pool.spread:.2f}")
        if pool.spread > APART:
            lines.append("      They differ by more than a word: hear both before you accept.")
    return lines
