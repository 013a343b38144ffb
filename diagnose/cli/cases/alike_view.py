"""Text of finished cases like the one in hand, from plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from diagnose.casebook import Alike
from diagnose.cli.cases.casebook_view import kind_of
from diagnose.cli.room import wrap
from diagnose.job.diagnosis import Bench
from diagnose.job.wording import cause_words, finding_line

if TYPE_CHECKING:  # they bring numpy and the rules
    from diagnose.cli.job.past import Past  # which shows what is made here

HEADING = "Finished cases like this one, for comparison; the ranking takes no notice of them:"


def alike_body(bench: Bench, alikes: Sequence[Alike], past: Past) -> Mapping[str, Any]:
    """Return the cases with what is alike, what differs and what was found, as plain data."""
    rows = []
    for a in alikes:
        then = past.bench(a.case.layout)
        rows.append(
            {
                "case": a.case.id,
                "title": a.case.title,
                "kind": "own job" if a.case.source == "own job" else kind_of(a.case),
                "source": a.case.source,
                "layout": a.case.layout,
                "likeness": round(a.likeness, 4),
                "found": [str(c) for c in a.found],
                "found_label": [cause_words(then, c) for c in a.found] or [_outcome(a)],
                "shared": [finding_line(bench, f) for f, _ in a.shared],
                "differing": [
                    {"here": finding_line(bench, f), "then": finding_line(then, g)}
                    for f, g in a.differing
                ],
                "only_then": [finding_line(then, f) for f in a.only_then],
            }
        )
    return {"similar": rows, "not_readable": past.unread}


def _outcome(a: Alike) -> str:
    known = any(c.cause == "" for c in a.case.causes)
    return "something not in the knowledge" if known else a.case.notes or "nothing"


def alike_lines(body: Mapping[str, Any]) -> list[str]:
    """Return the cases as lines."""
    lines = [HEADING]
    for k, r in enumerate(body["similar"], start=1):
        title = f": {r['title']}" if r["title"] else ""
        source = f", {r['source']}" if r["kind"] == "published" else ""
        head = f"{r['case']}{title} [{r['kind']}{source}; {r['layout']}]"
        lines += wrap(head, "     ", f"  {k}. ")
        lines += wrap(f"found then: {'; '.join(r['found_label'])}", " " * 7, "     ")
        rows = [("alike", x) for x in r["shared"]]
        rows += [("differs", f"here {x['here']}; then {x['then']}") for x in r["differing"]]
        rows += [("then also", x) for x in r["only_then"]]
        for word, text in rows:
            lines += wrap(text, " " * 16, f"     {word:<11}")
    if not body["similar"]:
        lines = ["No finished case shares anything out of the ordinary with this one."]
    if body["not_readable"]:
        lines.append(f"{body['not_readable']} past case(s) could not be read and were left out.")
    return lines
