"""The debrief as lines of text, from its plain data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.cli.room import wrap
from diagnose.grammar import number_of

MOST_LISTED = 5
"""Parts listed by name; more are counted."""

Row = Mapping[str, Any]


def debrief_lines(body: Row) -> list[str]:
    """Return a debrief as lines."""
    return [
        "=== debrief ===",
        *wrap(body["simulated"], "  ", ""),
        *wrap(body["reported"], "    ", "Reported: "),
        *_outcome(body),
        "",
        *_dangers(body),
        "",
        "What you did, each look by what you knew then:",
        *_steps(body["work"]),
        *_next(body["next"]),
        "",
        "The tool's own way on the same aeroplane, not knowing the fault either:",
        *_route(body["best_route"]),
        "",
        *_look_alikes(body),
        "",
        *_lesson(body),
        "",
        *_measures(body),
    ]


# ------------------------------------------------------------------ what came of it


def _outcome(body: Row) -> list[str]:
    said = {
        "cause": "SOLVED: the part and its failure were named.",
        "part": "SOLVED: the part was named; it had failed in another way than was said.",
        "no": "NOT SOLVED: the part at fault was not named.",
    }
    work, route = body["work"], body["best_route"]
    truth = f"It was: {body['truth']['label']} ({body['truth']['severity']})."
    yours = f"You: {work['minutes']:.0f} min, {number_of(work['starts'], 'start')}."
    if route["solved"] == "no":
        yours += " The tool did not find it in its own way."
    else:
        starts = number_of(route["starts"], "start")
        yours += f" The tool, in its own way: {route['minutes']:.0f} min, {starts}"
        ratio = body["time_ratio"]
        yours += f"; ratio {ratio:.2f}." if ratio is not None else "."
    lines = [said[work["solved"]], *wrap(truth, "  ", ""), *wrap(yours, "  ", "")]
    for text in _luck(body):
        lines += wrap(text, "  ", "")
    looks = [s for s in work["steps"] if s["worth"] != "safety"]
    if looks:
        good = work["worth_their_minutes"]
        lines.append(f"Worth their minutes by what you knew: {good} of {len(looks)} looks.")
    return lines


def _luck(body: Row) -> list[str]:
    """Return how much was luck: the chance of the part when it was looked at, and named."""
    luck, out = body["luck"], []
    named = luck["chance_when_named"]
    if named is not None and named < 0.5:
        out.append(
            f"Luck: by what you had found the part stood at {_percent(named)} when you named it. "
            f"Of 100 such aeroplanes it is another part in {100 - round(100 * named)}."
        )
    if luck["settled_by"] is not None:
        out.append(
            f"Before the look that settled it, {_at(luck['settled_by'])}: the lower, the luckier."
        )
    if luck["tool_settled_by"] is not None:
        out.append(f"Before the tool's settling look, {_at(luck['tool_settled_by'])}.")
    return out


def _at(luck: Row) -> str:
    return f"the part stood at {_percent(luck['chance_before'])}"


def _dangers(body: Row) -> list[str]:
    """Return what could have hurt somebody, and what was not looked for."""
    found, lines = body["dangers"], []
    for refusal in (r for r in body["refusals"] if r["counted"]):
        text = f"asked for before it was safe: {refusal['what']}: {refusal['why']}"
        lines += wrap(text, "    ", "  - ")
        for risk in refusal["risked"]:
            lines += wrap(f"what it risks: {risk}", "      ", "    ")
    for danger in found["met"]:
        lines += wrap(f"met, and said at once: {danger['text']}", "    ", "  - ")
    missed = found["not_looked_for"]
    for gate in (g for g in missed if not g["safe"]):
        text = f"MISSED: {gate['label']} was never looked at; it was: {gate['would_have_shown']}"
        lines += wrap(text, "    ", "  - ")
    if unseen := [g["label"] for g in missed if g["safe"]]:
        text = f"never looked at, and safe this time: {'; '.join(unseen)}"
        lines += wrap(text, "    ", "  - ")
    return ["Dangers:", *(lines or ["  none met, none missed"])]


# ------------------------------------------------------------------ step by step


def _steps(work: Row) -> list[str]:
    lines: list[str] = []
    for k, row in enumerate(_in_order(work), start=1):
        head = f"  {k:>2}  "
        if "confidence" in row:
            lines += wrap(_named(row), "      ", head)
            continue
        lines += wrap(_looked(row), "      ", head)
        for text in (_worth(row), _answered(row), _tool(row)):
            lines += wrap(text, "        ", "      ") if text else []
    return lines or ["  nothing"]


def _in_order(work: Row) -> list[Row]:
    """Return looks and namings in the order they were made."""
    return sorted([*work["steps"], *work["named"]], key=lambda r: r["number"])


def _next(row: Row | None) -> list[str]:
    """Return what would have come next where the part was not found, and why."""
    if row is None:
        return []
    if row["name"] is not None:
        text = f"enough was known to name {row['name']['label']}"
    elif row["look"] is not None:
        text = row["look"]["label"]
        if len(row["tells_apart"]) > 1:
            one, other = (c["label"] for c in row["tells_apart"][:2])
            text += f", as it tells '{one}' from '{other}'"
    else:
        text = "nothing more that could be asked here"
    return wrap(text, "      ", "  Next, by what you knew where you stopped: ")


def _looked(row: Row) -> str:
    cost = f"{row['minutes']:.0f} min" + (", a start" if row["starts"] else "")
    return f"{row['label']}: {row['answer']} ({cost})"


def _worth(row: Row) -> str:
    """Return whether a look was worth its minutes, and why."""
    word = row["worth"]
    if word == "again":
        return "made before: the same look tells the same"
    if word == "safety":
        return "owed for safety before any run"
    if word == "settled":
        return f"it was settled by then: {row['settled_before']['label']}"
    if word == "nothing":
        return "told nothing: whatever it showed, nothing that was likely would have changed"
    apart = row["tells_apart"]
    why = f"it tells '{apart[0]['label']}' from '{apart[1]['label']}'" if apart else ""
    if word == "good":
        return f"worth it: {why}" if why else "worth it, though what was likeliest answers alike"
    better = row["better"]
    times = better["expected_bits"] / max(row["expected_bits"], 1e-9)
    as_much = "as much" if times < 1.5 else f"{times:.0f} times as much" if times >= 2 else "more"
    text = f"dear: {better['label']} would have told {as_much} in {better['minutes']:.0f} min"
    return f"{text} (yet {why})" if why else f"{text}; what was likeliest answers this alike"


def _answered(row: Row) -> str:
    said = []
    if up := row["made_likelier"]:
        was, now = _percent(up["chance_before"]), _percent(up["chance_after"])
        said.append(f"made likelier: {up['label']}, {was} -> {now}")
    if row["ruled_out"]:
        said.append(f"ruled out: {_listed(row['ruled_out'])}")
    return "; ".join(said)


def _tool(row: Row) -> str:
    if row["worth"] in ("again", "safety", "settled"):
        return ""
    tool = row["tool_would"]
    if tool is None:
        return ""
    if tool["label"] == row["label"]:
        return "the tool, knowing what you knew: the same"
    return f"the tool, knowing what you knew: {tool['label']}"


def _named(row: Row) -> str:
    right = {"cause": "right", "part": "right part, other failure", "no": "wrong"}[row["right"]]
    said = (
        f"NAMED {row['label']}, {row['confidence']:.0%} sure: {right} ({row['minutes']:.0f} min); "
        f"by what was found the part stood at {_percent(row['chance'])}"
    )
    if row["premature"]:
        said += f", premature: {row['other_parts_possible']} other parts were possible"
    return said


def _route(route: Row) -> list[str]:
    lines: list[str] = []
    for k, row in enumerate(route["steps"], start=1):
        if "confidence" in row:
            right = "wrong" if row["right"] == "no" else "right"
            text = f"NAMED {row['label']}: {right} ({row['minutes']:.0f} min)"
        else:
            text = _looked(row)
        lines += wrap(text, "      ", f"  {k:>2}  ")
    return lines or ["  nothing"]


# ------------------------------------------------------------------ what is to be learnt


def _look_alikes(body: Row) -> list[str]:
    lines = ["What it is easily taken for:"]
    number = {r["number"]: k for k, r in enumerate(_in_order(body["work"]), start=1)}
    for row in body["lesson"]["told_apart"]:
        out = row["ruled_out_by"]
        if out == 0:
            stood = "never likely by the report"
        elif out is not None:
            stood = f"ruled out by your look {number[out]}"
        else:
            was, now = _percent(row["chance_by_the_report"]), _percent(row["chance_at_the_end"])
            stood = f"NOT ruled out: {was} by the report, {now} at the end"
        named = "you named it; " if row["named"] else ""
        lines += wrap(f"{row['from']['label']}: {named}{stood}", "      ", "  - ")
        if row["text"]:
            text = f"told apart by: {row['text']} ({row['file']})"
            lines += wrap(text, "      ")
        if row["question"]:
            lines += wrap(f"ask: {row['question']['label']}", "      ")
        if not row["text"] and not row["question"]:
            lines.append("      only its check tells it apart")
    return lines if len(lines) > 1 else [*lines, "  nothing that the knowledge names"]


def _lesson(body: Row) -> list[str]:
    said, truth = body["lesson"], body["truth"]
    lines = ["The lesson:"]
    lines += wrap(f"{truth['label']}: {said['because']}", "      ", "  ")
    unreviewed = "" if said["status"] == "reviewed" else " UNREVIEWED"
    lines.append(f"  said in {said['file']}{unreviewed}")
    lines += wrap(f"source: {'; '.join(said['sources'])}", "      ", "  ")
    for item in said["then"]:
        lines += wrap(item["text"], "      ", f"  {item['what']}: ")
    return lines


# ------------------------------------------------------------------ figures


def _measures(body: Row) -> list[str]:
    work, why, lost = body["work"], body["measures"], body["eliminations"]
    brier = "nothing was named" if work["brier"] is None else f"{work['brier']:.2f}"
    if lost["kept_a_list"]:
        missed, early = _listed(lost["missed"]), _listed(lost["not_justified"])
        kept = f"left on your list though ruled out: {missed}; struck off without ground: {early}"
    else:
        kept = "no list was kept ('clear PART')"
    share, split = work["information_over_best"], work["half_split_index"]
    rows = [
        ("information", "-" if share is None else f"{share:.0%}"),
        ("half-split", "-" if split is None else f"{split:.2f}"),
        ("redundant", f"{work['redundant_steps']}"),
        ("premature", f"{work['premature_namings']}"),
        ("eliminations", kept),
        ("safety", f"{body['safety_steps_skipped']} skipped"),
        ("confidence", brier),
    ]
    if body["false_no_fault"]:
        rows.append(("false no-fault", "yes"))
    lines = ["Measured:"]
    for name, value in rows:
        lines += wrap(f"{value}: {why[name]}", "      ", f"  {name}: ")
    return [*lines, f"  hints: {body['hints']}"]


def _listed(places: Sequence[Row]) -> str:
    """Return parts by name, the first few; the others are counted."""
    labels = [p["label"] for p in places]
    more = f" and {len(labels) - MOST_LISTED} more" if len(labels) > MOST_LISTED else ""
    return f"{', '.join(labels[:MOST_LISTED])}{more}" or "none"


def _percent(chance: float) -> str:
    """Return a chance in per cent, never shown as nothing or as certain."""
    return "under 1%" if chance < 0.01 else "over 99%" if chance > 0.99 else f"{chance:.0%}"
