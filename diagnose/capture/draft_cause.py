"""Drafts of causes: the counts as rows of one the knowledge has, or a new one written whole."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.capture.asking import NEW, subject
from diagnose.capture.asks_counts import value_asked
from diagnose.capture.counts import Count
from diagnose.capture.draft_rows import (
    RowDraft,
    as_rated,
    for_the_rest,
    own_entries,
    room_beside,
    row_of,
    row_text,
    shared_out,
    summary,
)
from diagnose.capture.drafting import Basis, Draft, slug, with_limits
from diagnose.grammar import number_of
from diagnose.knowledge_files.vocabulary import CARRIES_FUEL
from diagnose.knowledge_files.yaml_writing import (
    appended,
    flow_text,
    folded_text,
    replaced,
    scalar_text,
)
from diagnose.model import AEROPLANE, Cause, Produces

SHARED = "run-as-reported"
_VERIFY = f"{{shared: {SHARED}}}"
_RUN = "Run in the state and conditions of the report."
"""The verification run of any cause, as a shared step of the knowledge where it has one."""

Open = list[tuple[tuple[int, ...], str]]
"""What became no draft: entries of the record, and why."""


def changed_cause(
    basis: Basis, cause: Cause, part: str, text: str, counts: Sequence[Count], left: Open
) -> Draft | None:
    """Return the file of ``cause`` with what was counted and told of it; None where nothing is new.

    ``text``: the file as it stands.  What says the same as the present rows goes to ``left``.
    """
    name = f"causes/{cause.family}/{cause.id}"
    rows = _rows(basis, cause, part, counts, left)
    for made in rows:
        basis.use(name, made.count.ask)
    apart = [
        (c, tell, ask)
        for c, tell, ask in _told_apart(basis, cause.id)
        if c not in {x.cause for x in cause.look_alikes}
    ]
    if not rows and not apart:
        return None
    # from the last row up, so that the places of those before stay true
    for place, row in sorted(_changed_rows(cause, rows).items(), reverse=True):
        text = replaced(text, ("produces", place), row_text(row).lstrip(" -"))
    for made in rows:
        if made.old is None:
            text = appended(text, "produces", row_text(made.row))
    for other, tell, ask in apart:
        basis.use(name, ask)
        text = appended(text, "look-alikes", _look_alike(other, tell))
    asks = [r.count.ask for r in rows] + [ask for *_, ask in apart]
    entries = basis.use(name, *asks)
    his = [r for r in rows if own_entries(basis, r.count)]
    given = [number_of(len(x), word) for x, word in ((his, "count"), (apart, "look-alike")) if x]
    gives = f"{basis.told.who}: {', '.join(given)}"
    for line in basis.sources_text(entries, gives, [r.count for r in rows]):
        text = appended(text, "sources", line)
    if cause.status.startswith("reviewed"):
        # what a person signed for is no longer what stands there
        text = replaced(text, ("status",), "draft")
    others = [f"told from '{basis.ground.cause_title(c, basis.told)}'" for c, *_ in apart]
    changes = "; ".join(filter(None, [summary(basis, rows), *others]))
    effects = {r.row.effect for r in rows}
    return Draft(
        name,
        "changed cause",
        text,
        entries,
        f"'{cause.title}': {changes}",
        frozenset({cause.id, *effects}),
        tuple(r.count.ask for r in rows),
    )


def _changed_rows(cause: Cause, rows: Sequence[RowDraft]) -> dict[int, Produces]:
    """Return the present rows that change, by their place in the file, as they are to stand."""
    place = {id(r): k for k, r in enumerate(cause.own_rows)}
    whole = {place[id(r.old)]: r.row for r in rows if r.old is not None}
    rest: dict[int, Produces] = {}
    for made in rows:
        if made.wide is not None:
            k = place[id(made.wide)]
            rest[k] = for_the_rest(rest.get(k, made.wide), made.row)
    return {**{k: r for k, r in rest.items() if r is not cause.own_rows[k]}, **whole}


def _rows(
    basis: Basis, cause: Cause, part: str, counts: Sequence[Count], left: Open
) -> list[RowDraft]:
    """Return the counts that change or add a row, one a row; what becomes none goes to ``left``."""
    by_row: dict[object, RowDraft] = {}
    counted = {value_asked(c.about, basis.ground) for c in counts}
    beside = [r for r in cause.produces if (r.effect, r.value) not in counted]
    for count in counts:
        made = row_of(basis, count, part, cause, beside)
        if isinstance(made, str):
            left.append((own_entries(basis, count), f"{count.words}: {made}"))
            continue
        if made.agrees:
            said = f"{count.words}: as the knowledge says, {made.present:.2f}"
            left.append((own_entries(basis, count), said))
            continue
        key = made.old.origin if made.old else count.ask
        other = by_row.get(key)
        if other is not None:
            # two counts of one row: the one asked in the row's own state is meant
            made, other = sorted((made, other), key=lambda r: not r.exact)
            said = f"{other.count.words}: another of the counts is of the same row, and nearer"
            left.append((own_entries(basis, other.count), said))
        by_row[key] = made
    changed = {(r.row.effect, r.row.value) for r in by_row.values()}
    # what was counted as the knowledge has it stays as well, and takes its room
    staying = [r for r in cause.produces if (r.effect, r.value) not in changed]
    shared = shared_out(list(by_row.values()), cause.severity, staying)
    return _together(basis, shared, staying, left)


def _together(
    basis: Basis, rows: Sequence[RowDraft], beside: Sequence[Produces], left: Open
) -> list[RowDraft]:
    """Return the rows that can stand beside each other; counts of one thing over 20 go to left."""
    out = []
    for made in rows:
        others = [r.row for r in rows if r is not made]
        fits = room_beside(made.row, [*beside, *as_rated(others)])
        rates = as_rated([made.row])[0].how_often
        if all(rates.get(g, 0.0) <= room for g, room in fits.items()):
            out.append(made)
            continue
        rivals = [r for r in rows if r.row.effect == made.row.effect and r is not made]
        said = "; ".join(r.count.words for r in rivals)
        why = f"{made.count.words}: with what else was counted of the same thing ({said}) it is"
        left.append((own_entries(basis, made.count), f"{why} more than all; hear him on both"))
    return out


def _told_apart(basis: Basis, cause: str) -> list[tuple[str, str, str]]:
    """Return (other cause, what tells it, question), each other once, of the triads."""
    out: dict[str, tuple[str, str]] = {}
    for said in basis.told.said.values():
        if said.step != "alike" or "pair" not in said.about or not said.text:
            continue
        pair = said.about["pair"].split("+")
        third = said.about.get("third", "")
        if not third:
            others = [c for c in pair if c != cause] if cause in pair else []
        else:
            others = [third] if cause in pair else pair if cause == third else []
        for other in others:
            out.setdefault(other, (said.text, said.ask))
    return [(c, tell, ask) for c, (tell, ask) in out.items() if c != NEW]


MENDED_WET = ("open-fuel-part", "bonding")
"""Hazards shown before a new cause is mended at a part that fuel stands or runs in: how it is
opened he does not say, and a reviewer takes out what is not called for."""


def _cautions(basis: Basis, part: str) -> list[str]:
    """Return the line that has the cautions of mending shown, [] at a dry part."""
    kind = basis.ground.bench.layout.parts[part].kind
    known = [h for h in MENDED_WET if h in basis.ground.bench.library.hazards]
    wet = kind in CARRIES_FUEL or kind == "engine"
    return [f"rectify-hazards: [{', '.join(known)}]"] if wet and known else []


def _look_alike(other: str, tell: str) -> str:
    return "\n".join([f"  - cause: {other}", "    told-apart-by: >-", *folded_text(tell, "      ")])


def new_cause(basis: Basis, counts: Sequence[Count], left: Open) -> Draft | None:
    """Return a new cause written whole; None, the reason in ``left``, where too little is said."""
    told, bench = basis.told, basis.ground.bench
    here = subject(told, basis.ground)
    asks = [a for a in told.said if a.startswith("new-")]
    entries = tuple(told.said[a].entry for a in asks)
    lacks = [
        what
        for ask, what in (
            ("new-part", "the part"),
            ("new-title", "a name"),
            ("new-family", "the sort of trouble"),
            ("new-because", "why it does so"),
            ("new-check", "a check of the knowledge that shows it"),
            ("new-result", "what is seen at the check"),
            ("new-like", "what it is taken for"),
            ("new-like-tell", "what tells it from that"),
            ("new-rectify", "what puts it right"),
            ("new-root", "what must be asked then"),
            ("new-also", "what else to look at"),
        )
        if ask not in told.said
    ]
    rows = []
    for count in counts:
        made = row_of(basis, count, here.at if here else AEROPLANE, None) if here else "no part"
        if isinstance(made, str):
            left.append((own_entries(basis, count), f"{count.words}: {made}"))
        else:
            rows.append(made)
    if not rows:
        lacks.append("how often it shows what")
    if lacks or here is None:
        left.append((entries, f"a new failure, not drafted: {', '.join(lacks)} not said"))
        return None
    name = slug(told.words("new-title"), bench.library.causes)
    family = told.picked("new-family")[0]
    draft = f"causes/{family}/{name}"
    limits = [ask for ask in ("limits",) if told.words(ask)]
    apart = [(told.picked("new-like")[0], told.words("new-like-tell"), "new-like-tell")]
    apart += [x for x in _told_apart(basis, NEW) if x[0] != apart[0][0]]
    counted = [r.count.ask for r in rows]
    entries = basis.use(draft, "case-cause", *asks, *counted, *limits, *(x[2] for x in apart))
    common = (told.picked("new-common") or ("rare",))[0]
    pattern = (told.picked("new-pattern") or ("steady",))[0]
    lines = [
        f"cause: {name}",
        f"title: {scalar_text(told.words('new-title'))}",
        f"part-kind: {bench.layout.parts[here.at].kind}",
        f"mode: {scalar_text(told.words('new-title'))}",
        f"how-common: {common}",
        "because: >-",
        *folded_text(with_limits(told.words("new-because"), told)),
        "produces:",
        *(row_text(r.row) for r in rows),
        f"pattern: {pattern}",
        "look-alikes:",
        *(_look_alike(other, tell) for other, tell, _ in apart),
        "checks:",
        "  - "
        + flow_text({"check": told.picked("new-check")[0], "result": told.picked("new-result")[0]}),
        f"rectify: {scalar_text(told.words('new-rectify'))}",
        *_cautions(basis, here.at),
        f"root-question: {scalar_text(told.words('new-root'))}",
        f"also-look: {scalar_text(told.words('new-also'))}",
        f"verify: {_VERIFY if SHARED in bench.library.steps else _RUN}",
        f"provenance: {basis.provenance}",
        "status: draft",
        "sources:",
        *basis.sources_text(entries, told.who, [r.count for r in rows]),
    ]
    effects = {r.row.effect for r in rows}
    return Draft(
        draft,
        "new cause",
        "\n".join(lines) + "\n",
        entries,
        f"{told.words('new-title')}: {summary(basis, rows)}",
        frozenset({name, told.picked("new-like")[0], *effects}),
        tuple(r.count.ask for r in rows),
    )
