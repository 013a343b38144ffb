"""One card a failure mode: what it is, what it gives, what settles it, what to do, who said so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from diagnose.by_key import by_key
from diagnose.chart.checks import (
    LEAK_CHECK,
    how_checked,
    how_long,
    known_before,
    needs_to_prove,
    remedy,
)
from diagnose.chart.gives import gives, where
from diagnose.chart.labels import APPROVED, cautions, kind_words, labels, printable
from diagnose.errors import UsageError, did_you_mean
from diagnose.job.diagnosis import Bench
from diagnose.job.gates import need_of_check
from diagnose.job.wording import hazards_of_mending
from diagnose.model import AEROPLANE, Cause, CauseAt, CauseCheck
from diagnose.paper.blocks import Block, Paper, Para
from diagnose.paper.sheets import Group, Set
from diagnose.paper.words import shown

SCALES = (1.0, 0.95, 0.9, 0.85)
"""Sizes of letters tried, largest first, until a card is one page; the last is as small as is read
at arm's length, so a few cards are two pages."""

CAUTIONS = "Cautions, before any check, and before anything is mended and proved"

MOST_PLACES = 8


def cards_here(bench: Bench) -> tuple[str, ...]:
    """Return the failure modes that parts of the layout can have, in the order of their titles.

    A card is found in its stack like a word in a book, or by its number.
    """
    causes = bench.library.causes
    return tuple(sorted({c.cause for c in bench.net.instances}, key=lambda c: causes[c].title))


def card_numbers(bench: Bench) -> Mapping[str, int]:
    """Return the number of the card of each failure mode, by which the other papers name it."""
    return {cause: k for k, cause in enumerate(cards_here(bench), 1)}


def cards(bench: Bench, causes: Sequence[str], paper: Paper) -> tuple[Set, ...]:
    """Return a card for each of ``causes``, by id or by the number of its card.

    Raises:
        UsageError: If a name is not known, or no part of the layout can have it; all at once.
    """
    here = cards_here(bench)
    number = {str(k): cause for cause, k in card_numbers(bench).items()}
    causes = [number.get(name, name) for name in causes]
    wrong = [_wrong(bench, name, here) for name in causes if name not in here]
    if wrong:
        raise UsageError(" ".join(wrong))
    return tuple(on_paper(bench, name, paper) for name in causes)


def _wrong(bench: Bench, name: str, here: Sequence[str]) -> str:
    if name in bench.library.causes:
        return f"No part of {bench.layout.id} can have '{name}'."
    hint = did_you_mean(name, here)
    return f"'{name}' is not a failure mode{hint} 'diagnose words causes' lists them."


def on_paper(bench: Bench, cause_id: str, paper: Paper) -> Set:
    """Return the card of one failure mode that the bench's layout can have, one page if it can."""
    cause = bench.library.causes[cause_id]
    head, blocks = tuple(_cautions(bench, cause)), tuple(_blocks(bench, cause))
    made: list[Set] = []
    for scale in SCALES:
        made.append(_set(bench, cause, paper, head, blocks, scale))
        if len(made[-1].sheets()) == 1:
            return made[-1]
    return min(made, key=lambda m: len(m.sheets()))


def _set(
    bench: Bench,
    cause: Cause,
    paper: Paper,
    head: tuple[Block, ...],
    blocks: tuple[Block, ...],
    scale: float,
) -> Set:
    """Return the card in letters of one size, its cautions at the head of every sheet."""
    over = tuple(replace(b, scale=scale) for b in head)
    scaled = tuple(replace(b, scale=scale) for b in blocks)
    return Set(
        shown(f"Card {card_numbers(bench)[cause.id]}: {cause.title}"),
        (*labels(bench.library, bench.layout), f"card {cause.id}"),
        (Group(scaled),),
        paper,
        lambda parts: over,
    )


def _cautions(bench: Bench, cause: Cause) -> Iterator[Block]:
    """Yield what is read before any check, and before the cause is mended and that is proved."""
    checks = [bench.library.checks[c.check] for c in cause.checks]
    hazards = [*(h for c in checks for h in c.hazards), *hazards_of_mending(bench, cause)]
    needs = [*map(need_of_check, checks), *needs_to_prove([cause])]
    careful = (*cautions(bench, hazards), *known_before(bench, needs))
    if careful:
        yield replace(_block([Para(CAUTIONS, "sub"), *careful]), heavy=True)


def _blocks(bench: Bench, cause: Cause) -> Iterator[Block]:
    yield _block(_what(bench, cause))
    ways = by_key(((c.check, c.at), c) for c in cause.checks)
    for same in ways.values():
        yield _block(_check(bench, same))
    yield _block(_when_found(bench, cause))
    yield _block(_apart(bench, cause))
    yield from map(_block, gives(bench, cause))
    yield _block(_said(bench, cause))


def _block(paras: Iterable[Para]) -> Block:
    return Block(printable(paras))


def _what(bench: Bench, cause: Cause) -> Iterator[Para]:
    coded = "; ".join(x for x in (cause.mode, cause.code) if x)
    yield Para(f"{cause.title} ({coded})", "head")
    places = [bench.places.label(at) for at in bench.parts_of(cause.id)]
    more = f" and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
    yield Para(f"Here at: {'; '.join(places[:MOST_PLACES])}{more}.")
    yield Para(f"How common: {cause.common_word} (an expert's word, taken as about 1 in "
               f"{1 / cause.how_common:.0f} fuel complaints; nothing is published). Judged reports "
               f"put its odds at {cause.judged:g} times that.")  # fmt: skip
    severity = ", ".join(f"{g} {100 * p:.0f} %" for g, p in cause.severity.items())
    yield Para(f"Pattern: {_pattern(cause)}. Severity: {severity}.")
    yield Para(f"Why: {cause.because}")
    fitted = {p.kind for p in bench.layout.parts.values()} | {AEROPLANE}
    worked = [kind_words(kind) for kind in cause.after_work if kind in fitted]
    if worked:
        yield Para(f"Likelier after work on: {', '.join(worked)}.")
    if cause.outside:
        yield Para(f"Outside the fuel system ({cause.outside.replace('-', ' ')}): hand over.")


def _pattern(cause: Cause) -> str:
    """Return when it shows, as people say it."""
    kind, _, chance = cause.pattern.partition(" ")
    if kind != "random":
        return cause.pattern
    return "comes and goes" + (f", in about {chance} of the tries" if chance else "")


def _apart(bench: Bench, cause: Cause) -> Iterator[Para]:
    yield Para("Looks like", "sub")
    fitted = {c.cause for c in bench.net.instances}
    here = [x for x in cause.look_alikes if x.cause in fitted]
    for other in here:
        title = bench.library.causes[other.cause].title
        yield Para(f"{title}: {other.told_apart_by}", "item", "\u2022")
    if not here:
        yield Para("Nothing named that this aeroplane can have.")


def _check(bench: Bench, ways: Sequence[CauseCheck]) -> Iterator[Para]:
    """Yield one check, with each of its results that says the cause."""
    c = ways[0]
    check = bench.library.checks[c.check]
    yield Para(f"Check: {check.title} ({how_long(check)})", "sub")
    if c.at != "itself":
        yield Para(f"Made at: {where(c.at)}.")
    yield from how_checked(check)
    found = "; or ".join(
        f"{check.results[w.result]} (found {100 * w.chance:.0f} times in 100 when it is there)"
        for w in ways
    )
    yield Para(f"It is this when: {found}. A false find {100 * check.false_find:.0f} in 100.")
    yield Para(f"Close-out: {check.close_out or LEAK_CHECK}")


def _when_found(bench: Bench, cause: Cause) -> Iterator[Para]:
    yield Para("When it is found", "sub")
    yield from remedy(bench, CauseAt(cause.id, bench.parts_of(cause.id)[0]))
    yield Para("Still there then: not this, or not alone. Go on with what it looks like.")


def _said(bench: Bench, cause: Cause) -> Iterator[Para]:
    yield Para("Who says so", "sub")
    for ref in cause.sources:
        s = bench.library.sources[ref.id]
        yield Para("; ".join(x for x in (s.cite or s.title, ref.part, ref.gives) if x), "item",
                   "\u2022")  # fmt: skip
    p = cause.provenance
    if p is not None:
        sure = f"; confidence {p.confidence}" if p.confidence else ""
        yield Para(f"Said by {p.said_by}, {p.on}; {p.how}{sure}. Status: {cause.status}.")
    proof: Sequence[str] = (
        *cause.fires_on,
        *(f"by its check on {c}" for c in cause.settled_on),
        *(f"silent on {c}" for c in cause.silent_on),
    )
    yield Para(f"Proof: {', '.join(proof) or 'no case yet'}. Knowledge file: {cause.id}.yaml.")
    yield Para(APPROVED, "small")
