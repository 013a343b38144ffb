"""The entries of a log in words, and what became of each: the log only grows, so does the record.

Nothing is left out: an entry that was changed, withdrawn or taken back stays and says so.
Questions, checks and their places are known, or the job could not be taken up; what is only spoken
of (a ranking of then, a hazard, a run state) may be gone from the knowledge, and stands by its id.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence

from diagnose.job.day.closeout import FOLLOW_UPS
from diagnose.job.diagnosis import Bench
from diagnose.job.keeping.disturbed import told_by
from diagnose.job.keeping.finding_data import finding_of
from diagnose.job.keeping.log import Event
from diagnose.job.wording import finding_line
from diagnose.model import DISTURBED
from diagnose.report.plain import Columns, Row, Section, utc

WHEN = (("n", "Entry"), ("time", "Time"))
"""First columns of what is told entry by entry: its number, and when it was made."""
STATUS = ("status", "State of the entry")
"""Last column: what became of it."""

_VERBATIM = {
    "opened": "reported",
    "acknowledged": "hazard",
    "confirmed": "item",
    "finished": "outcome",
    "stopped": "reason",
    "note": "text",
}
"""Kind of event -> what of it is given as it was typed or shown."""


def section(
    id: str, title: str, columns: Columns, rows: Iterable[Row], note: str = "", none: str = "none"
) -> Section:
    """Return a section told entry by entry, number and time first, what became of it last."""
    return Section(id, title, (*WHEN, *columns, STATUS), tuple(rows), note, none)


class Entries:
    """The events of one job with the state of each."""

    def __init__(self, events: Sequence[Event], bench: Bench) -> None:
        """Note which events were taken back, and which were changed or withdrawn, by which."""
        self.events = tuple(events)
        self.bench = bench
        self.taken_back = {e["of"]: e["n"] for e in events if e["event"] == "stepped-back"}
        self._last: dict[int, Event] = {}  # finding or work -> what corrected it last
        for e in events:
            if e["event"] in ("changed", "withdrawn") and e["n"] not in self.taken_back:
                self._last[e["of"]] = e

    def of(self, *kinds: str) -> Iterator[Event]:
        """Yield the events of ``kinds`` in order, those taken back included."""
        return (e for e in self.events if e["event"] in kinds)

    def stands(self, event: Event) -> bool:
        """Return whether the event still counts."""
        return self.status(event).startswith("stands")

    def status(self, event: Event) -> str:
        """Return what became of an event, in words."""
        n, kind = event["n"], event["event"]
        if n in self.taken_back:
            return f"taken back by entry {self.taken_back[n]}"
        if kind in ("answered", "checked", "changed", "work"):
            target = event["of"] if kind == "changed" else n
            last = self._last.get(target)
            if last is not None and last["n"] != n:
                return f"{last['event']} by entry {last['n']}"
        if kind == "changed":
            return f"stands, instead of entry {event['of']}"
        return "stands"

    def base(self, event: Event) -> dict[str, object]:
        """Return the fields every row has: entry number, time and state."""
        return {
            "n": event["n"],
            "at_utc": event["at"],
            "time": utc(event["at"]),
            "event": event["event"],
            "status": self.status(event),
        }

    # ------------------------------------------------------------------ names in words

    def place(self, part: object) -> str:
        """Return the label of a part; a name the layout does not have stands as typed."""
        known = self.bench.layout.parts
        return self.bench.places.label(str(part)) if str(part) in known else str(part)

    def cause(self, cause: object) -> str:
        """Return a cause's title, else its id."""
        known = self.bench.library.causes.get(str(cause))
        if known is not None:
            return known.title
        return "not in the knowledge" if cause == "not-in-the-knowledge" else str(cause)

    def mended(self, event: Event) -> str:
        """Return the cause that was put right, and what was done about it."""
        return ": ".join(x for x in (self.cause(event["cause"]), str(event.get("what", ""))) if x)

    def check(self, check: str) -> str:
        """Return a check's title."""
        return self.bench.library.checks[check].title

    def question(self, question: str) -> str:
        """Return a question's title."""
        return self.bench.library.questions[question].title

    def stop(self, key: str) -> str:
        """Return what a stop was for, in words, by what it is acknowledged by: 'stop RULE PART'."""
        rule, _, rest = key.removeprefix("stop ").partition(" ")
        known = self.bench.library.symptoms.get(rule)
        at = rest.partition(" ")[0]
        return f"{known.title}, {self.place(at)}" if known else key

    def run_state(self, run_state: object) -> str:
        """Return the title of a run state of the layout, else its id."""
        titles = {s.id: s.title for s in self.bench.layout.run_states}
        return titles.get(str(run_state), str(run_state))

    def reading(self, key: Sequence[str]) -> str:
        """Return a reading (question, place, run state) in words."""
        question, place, state = key
        within = f" [{self.run_state(state)}]" if state else ""
        return f"{self.question(question)}, {self.place(place)}{within}"

    # ------------------------------------------------------------------ the whole log

    def words(self, e: Event) -> str:
        """Return what one event says; a kind this edition does not know is given as it stands."""
        kind, by = e["event"], e.get("by", "")
        match kind:
            case "answered" | "checked":
                return finding_line(self.bench, finding_of(e["finding"]))
            case "changed":
                found = finding_line(self.bench, finding_of(e["finding"]))
                return f"instead of entry {e['of']}: {found}"
            case "not-checked" if e.get("reading"):
                return self.reading(e["reading"])
            case "not-checked":
                check, at = e["check"]
                return f"{self.check(check)}, {self.place(at)}"
            case "work":
                return f"{e['what']}, {self.place(e['place'])}"
            case "part-found" | "rectified":
                return f"{self.cause(e['cause'])}, {self.place(e['place'])}"
            case "intervened":
                at = f", {self.place(e['place'])}" if e.get("place") else ""
                return f"{e.get('what') or 'evidence lost by ' + e['lost']}{at}"
            case "at-hand":
                return self._at_hand(e)
            case "run":
                return self._run(e)
            case "verified":
                partly = "one trouble gone, another still there" if e.get("partly") else ""
                came = "trouble gone" if e["gone"] else partly or "trouble still there"
                return " ".join(filter(None, (came, f"({by})" if by else "", e.get("text", ""))))
            case "ranked":
                first = next(iter(e["ranking"]), None)
                return f"first: {self.cause(first['cause'])}" if first else "nothing ranked"
            case "stepped-back":
                return f"takes back entry {e['of']} ({e.get('what', '')})"
            case "withdrawn":
                return f"withdraws entry {e['of']}" + (f": {e['why']}" if e.get("why") else "")
            case "alike-shown":
                return "; ".join(f"{case}: {found}" for case, found, _ in e["lines"])
            case "first-page":
                begun = {3: "the report", 2: "work before it", 1: "what was there, what is at hand"}
                return f"begun: {begun.get(e['left'], '')}" if e["left"] else "gone through"
            case "aeroplane-file":
                return f"of {e['registration']} as it was, edition {e['edition']}"
            case "disturbed":
                return "; ".join(self.disturbed(d.id) for d in told_by(e))
            case "restored" | "inspected":
                return f"{self.disturbed(e['item'])} ({by})"
            case "leak-checked":
                return f"{'dry' if e['dry'] else 'NOT DRY'} ({by})"
            case "followed-up":
                return f"{self.follow_up(e['item'])}: {e['text']} ({by})"
            case "complaint":
                return f"{self.place(e['place'])}: {e['text']}"
            case "complaint-placed":
                return f"complaint {e['of']} is of {self.place(e['place'])}"
            case "split-off":
                return f"complaint {e['complaint']} goes to job {e['job']} ({by})"
            case "merged":
                return f"job {e['job']} is worked here ({by})"
            case "tested":
                late = " (KIT OUT OF DATE)" if e["out_of_date"] else ""
                return f"{e['test'].replace('-', ' ')}, {self.place(e['place'])}: {e['says']}{late}"
            case "not-reproduced":
                watched = f"watched for {e['flights']} flights"
                return f"not reproduced under: {e['condition']}; {watched}"
            case "watch-set":
                return f"flights to watch: {e['flights']}"
            case "flown":
                said = "trouble not seen" if e["clear"] else "TROUBLE SEEN AGAIN"
                return f"{said} ({by}) {e.get('text', '')}".strip()
            case "card":
                return f"run card printed, {len(e['lines'])} lines to read"
            case "handed-over":
                return f"{len(e['lines'])} lines by {by}"
            case "taken-over":
                return f"{self.handed(e)}: {taken_words(e)}"
            case _ if kind in _VERBATIM:
                return str(e.get(_VERBATIM[kind], ""))
        carried = {k: v for k, v in e.items() if k not in ("n", "at", "event")}
        return json.dumps(carried, ensure_ascii=False) if carried else ""

    def _at_hand(self, e: Event) -> str:
        said = (
            f"people: {e['hands']}",
            "all tools" if e["tools"] is None else ", ".join(e["tools"]) or "no tools",
            "an engine may be run" if e["may_run"] else "no engine may be run",
            "no ground power" if e.get("ground_power") == "no" else "",
            "in the hangar" if e.get("indoors") else "",
            f"wind {e['wind']}" if e.get("wind") else "",
        )
        return "; ".join(filter(None, said))

    def _run(self, e: Event) -> str:
        """Return what was read in an engine run, each question once for each run state."""
        read: dict[str, dict[str, list[str]]] = {}
        for question, place, state in e.get("readings", ()):
            read.setdefault(state, {}).setdefault(question, []).append(place)
        said = [
            f"{self.question(q)}, "
            + (self.place(at[0]) if len(at) == 1 else f"at {len(at)} places")
            + (f" [{self.run_state(state)}]" if state else "")
            for state, questions in read.items()
            for q, at in questions.items()
        ]
        by = (
            f" (read by {e['by']}, start ticked by {e.get('started_by', '')})"
            if e.get("by")
            else ""
        )
        return ("; ".join(said) or self._run_for(e)) + by

    def _run_for(self, run: Event) -> str:
        """Return what an engine was run for where nothing was read of it as a card: what came."""
        came = ("checked", "verified", "not-checked")
        after = (e for e in self.events if e["n"] > run["n"])
        next_kept = next((e for e in after if e["event"] in (*came, "run")), None)
        if next_kept is not None and next_kept["event"] == "verified":
            return "to verify the repair"
        if next_kept is not None and next_kept.get("check"):
            return f"for a check: {self.check(next_kept['check'][0])}"
        return "for a check, or to verify the repair"

    def follow_up(self, key: str) -> str:
        """Return what a follow-up asks, in words, by its key: 'ITEM CAUSE@PART'."""
        item, _, of = key.partition(" ")
        cause, _, at = of.partition("@")
        asked = FOLLOW_UPS.get(item, item)
        return f"{asked} - {self.cause(cause)}, {self.place(at)}" if of else asked

    def handed(self, e: Event) -> str:
        """Return the line of the handover before it that ``e`` takes over, by its key if lost."""
        given = [h for h in self.of("handed-over") if h["n"] < e["n"]]
        lines: dict[str, str] = dict(given[-1]["lines"]) if given else {}
        return lines.get(e["line"], str(e["line"]))

    def disturbed(self, item: str) -> str:
        """Return what a disturbed item is, in words, by its id."""
        for e in self.events:
            for d in told_by(e):
                if d.id == item:
                    return f"{DISTURBED[d.kind]}: {d.what}, {self.place(d.place)}"
        return item


def taken_words(e: Event) -> str:
    """Return what was said of a line that was taken over, and by whom."""
    said = "agreed" if e["agreed"] else f"NOT AS HANDED OVER: {e.get('text', '')}"
    return f"{said} ({e['by']})"
