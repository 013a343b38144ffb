"""What the findings say of each sign literal at each place: known true, known false, both, neither.

Signs of one slot (same question, place and effect instance) that differ are in dispute: they make
a literal both true and false unless another, undisputed sign settles it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diagnose.by_key import by_key
from diagnose.errors import UsageError
from diagnose.model import Condition, Finding, Layout, Library, Literal, fits, literals_of
from diagnose.rules.book import Book
from diagnose.rules.conditions import inside
from diagnose.rules.outcome import Dispute
from diagnose.signs import InstanceKey, Sign, counting, of_one_state, signs_in

Slot = tuple[bool, str, InstanceKey]
"""(is it a check, question or check, effect instance): what one sign can be known of."""

Slots = Mapping[Slot, tuple[Sign, ...]]
"""Per slot the sign that counts, then those that dispute it."""

Support = tuple[int, ...] | tuple[tuple[str, str], ...]
"""Finding keys, or (symptom, place) pairs."""


@dataclass(frozen=True)
class Standing:
    """Whether a literal is known true and known false, and what says so."""

    true: bool = False
    false: bool = False
    by_true: Support = ()
    by_false: Support = ()


UNKNOWN = Standing()


def check_finding(finding: Finding, library: Library, layout: Layout) -> None:
    """Raise ``UsageError`` unless ``finding`` names a known question, place and class."""
    what, items = ("check", library.checks) if finding.check else ("question", library.questions)
    if finding.question not in items:
        raise UsageError(f"'{finding.question}' is not a known {what}.")
    for at in finding.places:
        if at not in layout.parts:
            raise UsageError(f"'{at}' is not a part of layout '{layout.id}'.")
    known = library.asked(finding).answers
    for value in finding.classes:
        if value not in known:
            raise UsageError(
                f"'{value}' is not an answer to '{finding.question}': "
                f"use one of {', '.join(known)}, or leave it empty for 'not checked'."
            )


def slot_of(sign: Sign) -> Slot:
    """Return the slot of ``sign``."""
    return (sign.check, sign.question, sign.instance)


def slots_of(own: Mapping[int, tuple[Sign, ...]]) -> Slots:
    """Return what is known per slot from the signs of each finding, in the order of their keys."""
    signs = [sign for key in sorted(own) for sign in own[key]]
    # 'The others are normal' gives way to a look and does not contradict it.
    rivals = by_key((slot_of(sign), sign) for sign in signs if not sign.implied)
    out: dict[Slot, tuple[Sign, ...]] = {}
    for sign in counting(signs):
        slot = slot_of(sign)
        against = [r for r in rivals.get(slot, ()) if not set(r.classes) & set(sign.classes)]
        out[slot] = (sign, *against)
    return out


def disputes_of(slots: Slots) -> tuple[Dispute, ...]:
    """Return the disputes among ``slots``."""
    out = []
    for (_, question, instance), (winner, *rivals) in slots.items():
        if rivals:
            keys = (*sorted(r.index for r in rivals), winner.index)
            out.append(Dispute(question, instance[1], keys))
    return tuple(sorted(out, key=lambda d: (d.findings, d.question, d.at)))


def disputes_among(
    findings: Mapping[int, Finding], library: Library, layout: Layout
) -> tuple[Dispute, ...]:
    """Return the disputes among ``findings``, keyed by the caller."""
    own = {k: signs_in(f, library, layout, k) for k, f in findings.items()}
    return disputes_of(slots_of(own))


ByQuestion = Mapping[tuple[bool, str], Mapping[str, list[tuple[Sign, ...]]]]
"""(is it a check, id) -> place -> signs per slot, of one epoch."""


def by_question(slots: Slots, epoch: int) -> ByQuestion:
    """Return the slots of ``epoch`` arranged for ``judge``."""
    out: dict[tuple[bool, str], dict[str, list[tuple[Sign, ...]]]] = {}
    for (check, question, instance), signs in slots.items():
        if instance[3] == epoch:
            out.setdefault((check, question), {}).setdefault(instance[1], []).append(signs)
    return out


@dataclass(frozen=True)
class Spot:
    """What is known of a literal at one of the places it looks at."""

    true: bool
    false: bool
    sure: bool
    by_true: Support
    by_false: Support


def judge_sign(book: Book, number: int, place: str, known: ByQuestion) -> Standing:
    """Return the standing of sign literal ``number`` for the rule at ``place``."""
    literal = book.literal(number)
    spots: dict[str, Spot] = {}
    for other, slots in known.get(book.asked_of(literal), {}).items():
        spot = _spot(book, number, place, other, slots)
        if spot is not None:
            spots[other] = spot
    return combine(spots, book.asked_places(number, place), literal)


def judge_together(book: Book, number: int, place: str, known: ByQuestion) -> Standing:
    """Return the standing of conditions that are to meet in one run state, at ``place``.

    True when they are met by the signs of some run state that a finding states, false when they are
    known not to be met in each of those that anything is known of.
    """
    atom = book.atoms[number]
    read = list(literals_of(atom))
    tree = inside(atom)
    named = {
        (slots[0].place, slots[0].known): slots[0]
        for literal in read
        for other, some in known.get(book.asked_of(literal), {}).items()
        for slots in some
        if book.bears(book.number_of(literal), place, other, slots[0].known)[0]
    }
    found = []
    for state in named.values():
        within = {
            asked: {at: kept for at, some in by_place.items() if (kept := _of(book, state, some))}
            for asked in {book.asked_of(literal) for literal in read}
            if (by_place := known.get(asked))
        }
        single = {n: judge_sign(book, n, place, within) for n in map(book.number_of, read)}
        if any(s != UNKNOWN for s in single.values()):
            found.append(_together(book, tree, single))
    true = [s for s in found if s.true]
    false = bool(found) and all(s.false for s in found)
    return Standing(
        bool(true),
        false,
        _merged(s.by_true for s in true),
        _merged(s.by_false for s in found) if false else (),
    )


def _of(book: Book, state: Sign, slots: Iterable[tuple[Sign, ...]]) -> list[tuple[Sign, ...]]:
    """Return those of ``slots`` that are of the run state of ``state``."""
    library = book.library
    return [
        signs
        for signs in slots
        if of_one_state(signs[0], state, library.effect_of(signs[0].question))
    ]


def _together(book: Book, tree: Condition, single: Mapping[int, Standing]) -> Standing:
    """Return the standing of ``tree`` from those of its literals, all of one run state."""
    if isinstance(tree, Literal):
        return single[book.number_of(tree)]
    parts = [_together(book, part, single) for part in tree.parts]
    if tree.op == "not":
        only = parts[0]
        return Standing(only.false, only.true, only.by_false, only.by_true)
    yes, no = (all, any) if tree.op == "all" else (any, all)
    true, false = yes(s.true for s in parts), no(s.false for s in parts)
    return Standing(
        true,
        false,
        _merged(s.by_true for s in parts) if true else (),
        _merged(s.by_false for s in parts) if false else (),
    )


def judge_symptom(
    book: Book, number: int, place: str, known: Mapping[str, tuple[bool, bool]]
) -> Standing:
    """Return the standing of symptom literal ``number`` for the rule at ``place``.

    ``known`` maps places to (known true, known false) of the lower symptom.
    """
    literal = book.literal(number)
    spots: dict[str, Spot] = {}
    for other, (true, false) in known.items():
        bears, surely = book.bears(number, place, other, book.own_state(number))
        if bears and (true or false):
            by = ((literal.name, other),)
            spots[other] = Spot(true, false, surely, by if true else (), by if false else ())
    return combine(spots, book.asked_places(number, place), literal)


def _spot(
    book: Book, number: int, place: str, other: str, slots: Iterable[tuple[Sign, ...]]
) -> Spot | None:
    literal = book.literal(number)
    has: list[int] = []
    has_not: list[int] = []
    sure, any_counted = False, False
    each_has_not = True
    for signs in slots:
        verdicts: dict[int, bool | None] = {}
        for sign in signs:
            if not fits(dict(sign.known), literal.state):
                continue
            bears, surely = book.bears(number, place, other, sign.known)
            if not bears:
                continue
            sure = sure or surely
            verdicts[sign.index] = _verdict(literal, sign)
        if not verdicts:
            continue
        any_counted = True
        if verdicts.get(signs[0].index, False) is None:
            verdicts = {}  # the sign that counts leaves it open, whatever disputes it
        has += [k for k, v in verdicts.items() if v is True]
        has_not += [k for k, v in verdicts.items() if v is False]
        if False not in verdicts.values():
            each_has_not = False
    if not any_counted:
        return None
    return Spot(bool(has), each_has_not, sure, tuple(sorted(has)), tuple(sorted(has_not)))


def _verdict(literal: Literal, sign: Sign) -> bool | None:
    """Return whether ``sign`` has the classes of ``literal``; None: it may or may not."""
    classes = set(sign.classes)
    if classes <= set(literal.value):
        return True
    return None if classes & set(literal.value) else False


def combine(spots: Mapping[str, Spot], asked: Iterable[str], literal: Literal) -> Standing:
    """Return the standing over several places: 'some are enough', or 'every' one must have it.

    What is to hold somewhere must be known at places that are surely related, as many as it takes;
    what is to hold everywhere must be known at all ``asked`` places.  Fewer related places than it
    takes leave it unknown: a comparison that cannot be made proves nothing.
    """
    asked = tuple(asked)
    if len(asked) < literal.least:
        return UNKNOWN
    near = {q: s for q, s in spots.items() if s.sure or q in asked}
    sure = [s for s in near.values() if s.sure]
    all_known = bool(asked) and all(q in near for q in asked)
    if literal.every:
        true = all_known and all(s.true for s in near.values())
        false = any(s.false for s in sure)
        yes = list(near.values())
        no = [s for s in sure if s.false]
    else:
        true = sum(s.true for s in sure) >= literal.least
        may_be = sum(not s.false for s in near.values()) + sum(q not in near for q in asked)
        false = may_be < literal.least
        yes = [s for s in sure if s.true]
        no = list(near.values())
    return Standing(
        true,
        false,
        _merged(s.by_true for s in yes) if true else (),
        _merged(s.by_false for s in no) if false else (),
    )


def _merged(supports: Iterable[Support]) -> Support:
    # One literal rests on findings alone or on symptoms alone, so the items can be ordered.
    return tuple(sorted({item for support in supports for item in support}))  # type: ignore[return-value]  # see above
