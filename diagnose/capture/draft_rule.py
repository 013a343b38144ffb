"""Drafts of a rule in his words, and of words of the trade."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.capture.asking import NEW, case_signs, subject
from diagnose.capture.draft_cause import Open
from diagnose.capture.drafting import (
    Basis,
    Draft,
    relation_to,
    slug,
    state_that_matters,
    values_text,
    with_limits,
)
from diagnose.knowledge_files.yaml_writing import flow_text, folded_text, scalar_text
from diagnose.model import AEROPLANE, Finding

_FROM = (
    "rule-signs",
    "rule-against",
    "rule-title",
    "rule-words",
    "rule-not-words",
    "rule-not",
    "rule-warns",
    "limits",
)


SURE = 0.999
"""A share of a place from which it is no question that it is meant."""


def rule(basis: Basis, new: Draft | None, left: Open) -> Draft | None:
    """Return the rule he told as a symptom; None where none was told.

    ``new``: the draft of a new cause it points to.
    """
    told, bench = basis.told, basis.ground.bench
    here = subject(told, basis.ground)
    found = case_signs(told)
    signs = [found[key] for key in told.picked("rule-signs") if key in found]
    entries = tuple(told.said[a].entry for a in _FROM[:-1] if a in told.said)
    if here is None or not signs:
        if entries:
            left.append((entries, "no signs were named that together make the rule"))
        return None
    points = new.id.rpartition("/")[2] if here.cause == NEW and new else here.cause
    if points == NEW:
        left.append((entries, "the rule points to a failure that was not drafted"))
        return None
    if not told.words("rule-words"):
        left.append((entries, "a rule needs its reason in words; none was given"))
        return None
    name = slug(told.words("rule-title") or f"points to {points}", bench.library.symptoms)
    draft = f"symptoms/{name}"
    at = _place_of(basis, [*signs, *told.findings("rule-not")])
    kind = bench.layout.parts[at].kind if at in bench.layout.parts else AEROPLANE
    literals, lost = [], []
    for f, negated in [(f, False) for f in signs] + [(f, True) for f in told.findings("rule-not")]:
        line = _literal(basis, at, f)
        if line:
            literals.append(f"{{not: {line}}}" if negated else line)
        else:
            lost.append(basis.ground.finding_words(f))
    if lost:
        # without one of its signs it would be another rule than he told
        left.append((entries, f"no one relation leads from the rule's place to: {'; '.join(lost)}"))
        return None
    basis.use(draft, "case-findings", "decisions", "case-cause", "case-part")
    entries = basis.use(draft, *_FROM)
    against = [c for c in told.picked("rule-against") if c in bench.library.causes]
    lines = [
        f"symptom: {name}",
        f"title: {scalar_text(told.words('rule-title') or f'points to {points}')}",
        f"at: {kind}",
        "true-when:",
        "  all:",
        *(f"    - {line}" for line in dict.fromkeys(literals)),
        "because: >-",
        *folded_text(with_limits(told.words("rule-words"), told)),
        f"points-to: [{points}]",
        *([f"speaks-against: [{', '.join(against)}]"] if against else []),
        *([f"warns: {scalar_text(told.words('rule-warns'))}"] if told.words("rule-warns") else []),
        "sources:",
        f"  - {basis.ref(entries, told.who)}",
        "status: draft",
    ]
    known = basis.ground.bench.library.causes.get(points)
    named = known.title if known else told.words("new-title")
    says = f"{' and '.join(basis.ground.finding_words(f) for f in signs)}: '{named}'"
    return Draft(
        draft, "rule", "\n".join(lines) + "\n", entries, says, frozenset({points, *against})
    )


def _place_of(basis: Basis, signs: Sequence[Finding]) -> str:
    """Return the place the rule is about: where most of its signs surely are; an engine first.

    Of two tanks that may feed an engine neither surely does, and a rule of the engine with a sign
    at one of them would not hold on the case it was learnt from.
    """
    parts = basis.ground.bench.layout.parts
    named = dict.fromkeys(p for f in signs for p in f.places if p != AEROPLANE)
    tried = sorted(named, key=lambda p: p not in parts or parts[p].kind != "engine")
    return max([*tried, AEROPLANE], key=lambda at: sum(_surely(basis, at, f) for f in signs))


def _surely(basis: Basis, at: str, f: Finding) -> bool:
    """Return whether a relation leads from ``at`` to all places of a finding, without a doubt."""
    bench, known = basis.ground.bench, f.state.known()
    ways = {p: relation_to(bench, at, p, known) for p in f.places}
    shares = (bench.places.related(at, way, known).get(p, 0.0) for p, way in ways.items() if way)
    return all(ways.values()) and all(share >= SURE for share in shares)


def _literal(basis: Basis, at: str, f: Finding) -> str:
    """Return one sign as a condition of a rule at ``at``, '' where no relation leads to it."""
    bench = basis.ground.bench
    # at one of several, not known which: at any of those that one relation leads to
    ways = {relation_to(bench, at, p, f.state.known()) for p in f.places}
    if "" in ways or len(ways) > 1:
        return ""
    (relation,) = ways
    classes = (
        "[" + ", ".join(map(scalar_text, f.classes)) + "]" if f.one_of else scalar_text(f.value)
    )
    items = {"sign": f.question, "is": classes}
    if relation != "itself":
        items["at"] = relation
    state = {d: (v,) for d, v in state_that_matters(bench, f).items()}
    if state:
        items["state"] = values_text(state)
    return flow_text(items, ("is", "state"))


def trade_words(basis: Basis) -> list[Draft]:
    """Return the words of the trade he named, each as one line of the list of words."""
    told = basis.told
    known = {w.word for w in basis.ground.bench.library.words.trade}
    found = case_signs(told)
    out = []
    for k in (1, 2, 3):
        word, means = told.words(f"trade-{k}").lower(), told.words(f"trade-{k}-means")
        if not word or not means or word in known:
            continue
        name = f"words/{slug(word, {})}"
        items = {"word": word, "means": means}
        picked = [found[key] for key in told.picked(f"trade-{k}-finding") if key in found]
        if picked:
            items |= {"finding": picked[0].question, "value": picked[0].value}
        entries = basis.use(name, f"trade-{k}", f"trade-{k}-means", f"trade-{k}-finding")
        text = f"  - {flow_text(items)}  # {basis.source}, entry {entries[0]}, {told.who}\n"
        out.append(Draft(name, "trade word", text, entries, f"'{word}' is {means}"))
    return out
