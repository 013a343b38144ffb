"""Findings that are let stand, each with its reason, in ``lint-waivers.yaml`` of the knowledge."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from diagnose.errors import KnowledgeError, Origin
from diagnose.knowledge_files.whole_file import list_beside
from diagnose.lint.codes import Found, all_codes, code

STALE = code(
    "WAIVE-01",
    "waiver that no longer fires",
    means="A waiver names a code and an item for which nothing is found any more.",
    matters="It would hide the same finding if it came back for another reason.",
    do="Delete the waiver.",
)

FILE: Final = "lint-waivers.yaml"
_REASON: Final = 6
"""Words a reason has at least; 'ok for now' is none."""


@dataclass(frozen=True)
class Waiver:
    """One code let stand for one item, and why."""

    code: str
    item: str
    reason: str
    origin: Origin


def read_waivers(root: Path) -> tuple[Waiver, ...]:
    """Read the waivers of a knowledge folder; none if it has no such file.

    Raises:
        KnowledgeError: With every problem in the file.
    """
    fields = list_beside(root, FILE, "the list of waivers")
    if fields is None:
        return ()
    gather = fields.gather
    out: dict[tuple[str, str], Waiver] = {}
    for one in fields.tables("waivers", "a waiver"):
        of, item = one.text("code", required=True), one.text("item", required=True)
        reason = one.text("reason", required=True)
        one.finish()
        if of and of not in all_codes():
            gather.unknown(of, "lint code", all_codes())
        if reason and len(reason.split()) < _REASON:
            text = f"'{reason}' is no reason; say in a sentence why nothing better can be done"
            gather.add(reason.origin, text)
        if (of, item) in out:
            gather.add(one.origin, f"{of} of '{item}' is waived twice; keep one")
        out[str(of), str(item)] = Waiver(str(of), str(item), str(reason), one.origin)
    fields.finish()
    gather.check(KnowledgeError)
    return tuple(out.values())


def apply(
    found: Iterable[Found], waivers: Iterable[Waiver], looked_for: Collection[str], *, whole: bool
) -> tuple[tuple[Found, ...], tuple[tuple[Found, Waiver], ...]]:
    """Part ``found`` into what stands and what is waived.

    Args:
        found: All findings.
        waivers: All waivers.
        looked_for: Codes that were looked for; a waiver of another code is not held stale.
        whole: Whether all layouts were looked at; on some only, no waiver is held stale.
    """
    by = {(w.code, w.item): w for w in waivers}
    stands: list[Found] = []
    waived: list[tuple[Found, Waiver]] = []
    for one in found:
        waiver = by.get((one.code, one.item))
        if waiver is None:
            stands.append(one)
        else:
            waived.append((one, waiver))
    used = {(w.code, w.item) for _, w in waived}
    if whole and STALE.id in looked_for:
        stands += [
            Found(
                w.origin,
                STALE.id,
                f"{w.code} is no longer found for '{w.item}'; delete the waiver",
                w.item,
            )
            for key, w in by.items()
            if key not in used and w.code in looked_for
        ]
    return tuple(sorted(stands)), tuple(waived)
