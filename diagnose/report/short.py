"""The record as people read it: nothing twice, and no word that says only what is usual.

JSON keeps every row as it is; here each entry of the log is printed once, with its number, in the
section it belongs to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from diagnose.by_key import by_key
from diagnose.knowledge_files.cutting import NO_FIGURE
from diagnose.report.entries import WHEN
from diagnose.report.grouped import merged, numbers, side_by_side
from diagnose.report.plain import Report, Row, Section

NOT_STATED = "not stated"
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def shorten(report: Report) -> Report:
    """Return ``report`` with its sections as they are printed."""
    day = report.made_at[:10]
    opened = next((str(r["at_utc"])[:10] for r in _rows(report, "log") if r.get("at_utc")), day)
    sections: list[Section] = []
    signed = _signed(report)
    for section in report.sections:
        if section.id == "log":
            sections.append(_others(section, report.sections))
        elif section.id == "disturbed":
            sections.append(_with_entries(section, signed))
        elif section.id == "followed":
            rows = tuple(r for r in section.rows if r not in signed.values())
            sections.append(replace(section, rows=rows))
        elif section.id == "rankings" and section.rows:
            sections += _rankings(section)
        else:
            shorter = _SHORTER.get(section.id)
            sections.append(shorter(section) if shorter else section)
    sections = [_in_few_words(s, opened) for s in sections]
    # what was not checked stands in a sentence, so that section may have no row and yet say much
    told = [s for s in sections if s.rows or s.id == "findings"]
    empty = [s for s in sections if s not in told]
    rest = tuple({"label": s.title, "value": s.none} for s in empty)
    columns = (("label", "Section"), ("value", "What it says"))
    usual = (
        f"Times are UTC, of {opened} where no day is given. An entry stands unless its line says "
        "otherwise. The JSON form of this record has every entry in order."
    )
    return replace(
        report,
        warnings=(*report.warnings, usual),
        sections=(*told, *((Section("empty", "Nothing to tell", columns, rest),) if rest else ())),
    )


def _rows(report: Report, section: str) -> tuple[Row, ...]:
    return next((s.rows for s in report.sections if s.id == section), ())


def _in_few_words(section: Section, day: str) -> Section:
    """Return a section without its usual states, days and empty columns."""
    rows = tuple(_usual_left_out(row, day) for row in section.rows)
    kept = tuple(
        (key, heading) for key, heading in section.columns if any(_said(r, key) for r in rows)
    )
    return replace(section, rows=rows, columns=kept or section.columns)


def _usual_left_out(row: Row, day: str) -> Row:
    out = dict(row)
    if out.get("status") == "stands":
        out["status"] = ""
    if str(out.get("time", "")).startswith(f"{day} "):
        out["time"] = str(out["time"])[len(day) + 1 :].removesuffix(" UTC")
    return out


def _said(row: Row, key: str) -> bool:
    return row.get(key) not in (None, "", [], ())


# ------------------------------------------------------------------ one section each


def _still(section: Section) -> Section:
    """Say once of which cause the steps are, where all are of one."""
    told = {str(r["about"]) for r in section.rows if r.get("about")}
    if len(told) != 1:
        return section
    rows = tuple({k: v for k, v in r.items() if k != "about"} for r in section.rows)
    return replace(section, rows=rows, note=f"Of {told.pop()}. {section.note}")


def _particulars(section: Section) -> Section:
    """Put what nobody stated on one line; what the layout is, the layout says itself."""
    rows = [r for r in section.rows if r["value"] != NOT_STATED and r["key"] != "layout_notes"]
    missing = [str(r["label"]).lower() for r in section.rows if r["value"] == NOT_STATED]
    if missing:
        rows.append({"label": "Not stated", "value": ", ".join(missing)})
    return replace(section, rows=tuple(rows))


def _answers(section: Section) -> Section:
    """Name the readings not checked, and the limits of figures, in one sentence each."""
    plain: list[Row] = []
    not_checked: list[Row] = []
    for r in section.rows:
        standing = r["event"] == "not-checked" and r["status"] == "stands"
        (not_checked if standing else plain).append(r)
    note = section.note
    if not_checked:
        named = "; ".join(f"{r['n']} {r['what']}, {_where(r)}" for r in not_checked)
        note = f"{note} Not checked: {named}."
    limits = dict.fromkeys(f"{r['what']}: {r['classed_by']}" for r in plain if r.get("classed_by"))
    if limits:
        note = f"{note} Figures are classed by {'; '.join(limits)}."
    rows = side_by_side(
        plain,
        lambda r: tuple(r.get(k) for k in ("event", "what", "conditions", "known_by", "note")),
        lambda r: (r.get("answer"), r["status"], bool(r.get("figure"))),
        ("place", "figure"),
    )
    return replace(section, rows=tuple(rows), note=note)


def _checks(section: Section) -> Section:
    """Leave out what a check disturbed: it stands with who restored it, under its entry."""
    told = ("disturbs", "access")
    return replace(section, columns=tuple(c for c in section.columns if c[0] not in told))


def _parts(section: Section) -> Section:
    """Leave out that no part was changed."""
    rows = ({**r, **{k: "" for k in ("off", "on") if r.get(k) == "none"}} for r in section.rows)
    return replace(section, rows=tuple(rows))


def _gates(section: Section) -> Section:
    """Put the same confirmation for several runs, and one gate at several places, on one line."""
    same: dict[tuple[object, ...], list[Row]] = {}
    for r in section.rows:
        by = ("what", "by") if r.get("for_run") else ("asked", "answer")
        same.setdefault((*(r.get(k) for k in by), r.get("status")), []).append(r)
    return replace(section, rows=tuple(map(_gate, same.values())))


def _gate(rows: Sequence[Row]) -> Row:
    one = merged(rows, ("for_run",) if rows[0].get("for_run") else ("place",))
    if one.get("for_run"):  # a pump and a run may stand before the same run
        runs = dict.fromkeys(str(r["for_run"]) for r in rows)
        return {**one, "for_run": "; ".join(runs)}
    if len(rows) == 1:
        return one
    answer = f": {one['answer']}" if one.get("answer") else ""
    return {**one, "what": f"{one['asked']}, {one['place']}{answer}"}


def _signed(report: Report) -> Mapping[tuple[object, object], Row]:
    """Return (item, kind) -> the entry that signs for something disturbed, where it stands."""
    return {
        (r["item"], r["kind"]): r
        for r in _rows(report, "followed")
        if r["kind"] in ("restored", "inspected") and r["status"] == "stands" and r.get("item")
    }


def _with_entries(section: Section, signed: Mapping[tuple[object, object], Row]) -> Section:
    """Name with the initials the entry they were given in, and when."""
    rows = []
    for r in section.rows:
        by = {
            k: signed[r["item"], k] for k in ("restored", "inspected") if (r["item"], k) in signed
        }
        rows.append({**r, **{k: f"{r[k]} ({e['n']}, {_clock(e)})" for k, e in by.items()}})
    return replace(section, rows=tuple(rows))


def _clock(row: Row) -> str:
    return str(row["time"]).removesuffix(" UTC")[-len("12:00:00") :]


def _handovers(section: Section) -> Section:
    """Tell the lines taken over that the same person said the same of as one list."""
    out: list[Row] = []
    for key, near in groupby(section.rows, lambda r: (r.get("said"), r["status"])):
        rows = list(near)
        if key[0] is None or len(rows) == 1:
            out += rows
        else:
            lines = "; ".join(f"{k}. {r['line']}" for k, r in enumerate(rows, 1))
            out.append({**merged(rows), "what": f"{len(rows)} lines {key[0]}: {lines}"})
    return replace(section, rows=tuple(out))


def _limits(section: Section) -> Section:
    """Name the figures that come from one document together."""
    same = by_key((r["reference"], r) for r in section.rows)
    rows = tuple(
        {
            # without a document there is no figure either: said once, behind all of them
            "label": "; ".join(
                f"{r['label']} {r['figure']}" if reference else f"{r['label']}" for r in alike
            ),
            "reference": reference or NO_FIGURE,
        }
        for reference, alike in same.items()
    )
    columns = (("label", "Limits"), ("reference", "Approved-data reference"))
    return replace(section, columns=columns, rows=rows)


def _where(row: Row) -> str:
    return f"{row['place']}" + (f" [{row['conditions']}]" if row.get("conditions") else "")


def _cautions(section: Section) -> Section:
    """Print each caution once, with every entry in which it was acknowledged."""
    same = by_key(((r["title"], r["text"], r["status"]), r) for r in section.rows)
    return replace(section, rows=tuple(map(_together, same.values())))


def _together(rows: Sequence[Row]) -> Row:
    """Return rows that say the same as one, with every entry number and time, the day once."""
    times = [str(r["time"]).removesuffix(" UTC") for r in rows]
    later = [t[11:] if t[:10] == times[0][:10] else t for t in times[1:]]
    return {**rows[0], "n": numbers(r["n"] for r in rows), "time": ", ".join([times[0], *later])}


def _rankings(section: Section) -> list[Section]:
    """Letter the causes, so that each step is one line."""
    letters: dict[tuple[object, object], str] = {}
    steps: dict[object, list[Row]] = {}
    for r in section.rows:
        letters.setdefault((r["label"], r["place"]), _letter(len(letters)))
        steps.setdefault(r["n"], []).append(r)
    key = tuple(
        {"letter": letter, "label": f"{label}, {place}"}
        for (label, place), letter in letters.items()
    )
    same: list[list[Row]] = []
    for rs in steps.values():
        step = {**rs[0], "order": _order(rs, letters)}
        last = same[-1][0] if same else {}
        if (last.get("order"), last.get("status")) == (step["order"], step["status"]):
            same[-1].append(step)
        else:
            same.append([step])
    columns = (*WHEN, ("order", "Order"), ("status", "State"))
    named = (("letter", "Letter"), ("label", "Cause and where"))
    return [
        replace(section, columns=columns, rows=tuple(map(_together, same))),
        Section("ranked", "The letters of the ranking", named, key),
    ]


def _letter(number: int) -> str:
    """Return A to Z, then A1, B1 and so on."""
    turn, at = divmod(number, len(_LETTERS))
    return _LETTERS[at] + (str(turn) if turn else "")


def _order(rows: Iterable[Row], letters: Mapping[tuple[object, object], str]) -> str:
    by_word = by_key((str(r["word"]), letters[r["label"], r["place"]]) for r in rows)
    return "; ".join(f"{word} {' '.join(at)}" for word, at in by_word.items())


def _others(log: Section, sections: Iterable[Section]) -> Section:
    """Return the log without the entries that stand in another of ``sections``."""
    printed = {r["n"] for s in sections if s.id != "log" for r in s.rows if r.get("n")}
    # the report stands verbatim at the head
    rows = tuple(r for r in log.rows if r["n"] not in printed and r["event"] != "opened")
    return replace(log, rows=rows, title="Other entries")


_SHORTER: Mapping[str, Callable[[Section], Section]] = {
    "still": _still,
    "job": _particulars,
    "findings": _answers,
    "checks": _checks,
    "rectification": _parts,
    "cautions": _cautions,
    "gates": _gates,
    "handovers": _handovers,
    "limits": _limits,
}
