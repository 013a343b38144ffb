"""The debrief: what was made of an exercise, beside the planner's own route, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.job.wording import action_words, cause_words
from diagnose.model import CauseAt
from diagnose.planner import Action
from diagnose.training.attempt import Attempt
from diagnose.training.lesson import (
    Lesson,
    NotLookedFor,
    ToldApart,
    lesson,
    met,
    not_looked_for,
    risked,
    taken_for,
)
from diagnose.training.looked import Looked, action_of, answer_of, next_look
from diagnose.training.measures import (
    SOURCES,
    Followed,
    Measures,
    Named,
    measured,
)
from diagnose.training.route import Luck, Route, best_route
from diagnose.training.worth import OPEN, name_of

SIMULATED = (
    "SIMULATED: no aeroplane was touched. It teaches how to look; it certifies nothing and "
    "licenses nobody. On a real aeroplane the approved data and licensed practice come first."
)
"""Stands on every screen and page of an exercise."""


@dataclass(frozen=True)
class Debrief:
    """An attempt measured, the planner's route on the same aeroplane, and the lesson."""

    attempt: Attempt
    measures: Measures
    route: Route
    lesson: Lesson

    @property
    def ratio(self) -> float | None:
        """Return minutes over the planner's; None where either did not find the part."""
        mine, tools = self.attempt.state, self.route.attempt.state
        if not mine.solved or not tools.solved:
            return None
        return mine.minutes / max(tools.minutes, 1e-9)

    @property
    def false_no_fault(self) -> bool:
        """Return whether no fault was named while there was one."""
        causes = self.attempt.bench.library.causes
        return any(
            causes[n.cause.cause].outside == "no-fault" and not n.right
            for n in self.attempt.state.namings
        )


def debrief(attempt: Attempt) -> Debrief:
    """Return the debrief of ``attempt``, which should be over."""
    bench, truth = attempt.bench, attempt.plane.hidden.cause
    named = [n.cause for n in attempt.state.namings]
    return Debrief(
        attempt,
        measured(attempt, taken_for(bench, truth, named)),
        best_route(attempt),
        lesson(bench, truth, named),
    )


def as_json(d: Debrief) -> dict[str, Any]:
    """Return a debrief as plain data: stable ids beside labels, units in keys."""
    opened = d.attempt.state.opened
    hidden = d.attempt.plane.hidden
    return {
        "simulated": SIMULATED,
        "layout": opened["layout"],
        "knowledge_edition": opened["edition"],
        "apprentice": opened.get("apprentice", ""),
        "reported": opened["reported"],
        "modes_sharing_the_report": opened.get("modes"),
        "truth": {**_cause(d, hidden.cause), "severity": hidden.grade},
        "solved": d.attempt.state.solved or "no",
        "time_ratio": d.ratio,
        "luck": _luck(d),
        "work": _work(d),
        "next": _next(d) if not d.attempt.state.solved else None,
        "best_route": _route(d),
        "hints": d.attempt.state.hints,
        "dangers": _dangers(d),
        "refusals": [
            {
                "what": e["what"],
                "why": e["why"],
                "safety": e["safety"],
                "counted": e in d.attempt.state.skipped,
                "risked": risked(d.attempt.bench, e.get("owed", ())) if e["safety"] else [],
            }
            for e in d.attempt.state.refusals
        ],
        "safety_steps_skipped": len(d.attempt.state.skipped),
        "false_no_fault": d.false_no_fault,
        "eliminations": {
            "kept_a_list": d.attempt.state.keeps_list,
            "missed": [_place(d, p) for p in d.measures.missed],
            "not_justified": [
                {**_place(d, s.place), "chance": s.chance}
                for s in d.measures.struck
                if not s.justified
            ],
        },
        "left_possible": [
            {**_place(d, p), "chance": chance}
            for p, chance in sorted(d.measures.left.items(), key=lambda x: -x[1])
            if chance >= OPEN
        ],
        "lesson": _lesson(d),
        "measures": dict(SOURCES),
    }


def _luck(d: Debrief) -> dict[str, Any]:
    """Return the chance at the look that settled it, of both, and when the part was named."""
    right = next((n for n in d.measures.namings if n.right), None)

    def told(luck: Luck | None) -> dict[str, Any] | None:
        return None if luck is None else {"number": luck.n, "chance_before": luck.chance}

    return {
        "settled_by": told(d.measures.luck),
        "tool_settled_by": told(d.route.luck),
        "chance_when_named": right.chance if right else None,
    }


def _dangers(d: Debrief) -> dict[str, Any]:
    bench = d.attempt.bench

    def gate(n: NotLookedFor) -> dict[str, Any]:
        labels = bench.library.questions[n.gate.question].classes
        action = _action(d, Action((n.gate,)))
        return {**action, "would_have_shown": labels[n.value], "safe": n.safe}

    return {
        "met": [{"after_number": n, "text": text} for n, text in met(d.attempt)],
        "not_looked_for": [gate(n) for n in not_looked_for(d.attempt)],
    }


def _work(d: Debrief) -> dict[str, Any]:
    m, state = d.measures, d.attempt.state
    return {
        "solved": state.solved or "no",
        "minutes": state.minutes,
        "starts": state.starts,
        "steps": [_step(d, s) for s in m.steps],
        "named": [_named(d, n) for n in m.namings],
        "worth_their_minutes": sum(s.worth == "good" for s in m.steps),
        "redundant_steps": m.redundant,
        "premature_namings": sum(n.premature for n in m.namings),
        "information_over_best": m.information,
        "half_split_index": m.half_split,
        "brier": m.brier,
    }


def _next(d: Debrief) -> dict[str, Any]:
    found = next_look(d.attempt)
    return {
        "look": _action(d, found.action) if found.action else None,
        "tells_apart": [_cause(d, c) for c in found.apart],
        "name": _cause(d, found.cause) if found.cause else None,
    }


def _route(d: Debrief) -> dict[str, Any]:
    route, rows = d.route.attempt, []
    for event in route.log.events[1:]:
        cost = {k: event[k] for k in ("minutes", "starts") if k in event}
        if event["event"] == "named":
            cause = _cause(d, CauseAt(event["cause"], event["place"]))
            right = event["right"] or "no"
            chance = {"confidence": event["confidence"], "right": right}
            rows.append({"number": event["n"], **cause, **chance, **cost})
        elif event["event"] in ("asked", "checked"):
            action = action_of(route, event)
            answer = {"answer": answer_of(route, event)}
            rows.append({"number": event["n"], **_action(d, action), **answer, **cost})
    return {
        "solved": route.state.solved or "no",
        "minutes": route.state.minutes,
        "starts": route.state.starts,
        "steps": rows,
    }


def _step(d: Debrief, s: Looked) -> dict[str, Any]:
    better, raised = s.better, s.raised
    return {
        "number": s.n,
        **_action(d, s.action),
        "answer": s.answer,
        "minutes": s.minutes,
        "starts": s.starts,
        "share_of_minutes": s.share_of_minutes,
        "worth": s.worth,
        "expected_bits": s.bits,
        "best_expected_bits": s.best,
        "information_over_best": s.share,
        "better": better
        and {
            **_action(d, better.action),
            "expected_bits": better.bits,
            "minutes": better.minutes,
        },
        "settled_before": _cause(d, s.settled) if s.settled else None,
        "tells_apart": [_cause(d, c) for c in s.tells_apart],
        "tool_would": _action(d, s.tool) if s.tool else None,
        "half_split_index": s.half_split,
        "redundant": s.redundant,
        "safety_look": s.gate,
        "ruled_out": [_place(d, p) for p in s.ruled_out],
        "made_likelier": raised
        and {**_place(d, raised[0]), "chance_before": raised[1], "chance_after": raised[2]},
    }


def _named(d: Debrief, n: Named) -> dict[str, Any]:
    return {
        "number": n.n,
        **_cause(d, n.cause),
        "confidence": n.confidence,
        "right": n.right or "no",
        "chance": n.chance,
        "other_parts_possible": n.others,
        "premature": n.premature,
        "minutes": n.minutes,
        "share_of_minutes": n.share_of_minutes,
    }


def _action(d: Debrief, action: Action) -> dict[str, Any]:
    name, at, state = name_of(action)  # of a run, its first reading
    kind = "check" if action.is_check else "question"
    label = action_words(d.attempt.bench, action)
    return {kind: name, "at": at, "run_state": state, "label": label}


def _cause(d: Debrief, cause: CauseAt) -> dict[str, Any]:
    return {
        "cause": cause.cause,
        "at": cause.at,
        "label": cause_words(d.attempt.bench, cause),
        "family": d.attempt.bench.library.causes[cause.cause].family,
    }


def _place(d: Debrief, place: str) -> dict[str, Any]:
    label = d.attempt.bench.places.label(place) if place else "not in the knowledge"
    return {"at": place, "label": label}


def _lesson(d: Debrief) -> Mapping[str, Any]:
    said = d.lesson
    return {
        "because": said.because,
        "file": said.origin,
        "status": said.status,
        "sources": list(said.sources),
        "then": [{"what": what, "text": text} for what, text in said.then],
        "told_apart": [
            _apart(d, a, f) for a, f in zip(said.apart, d.measures.followed, strict=True)
        ],
    }


def _apart(d: Debrief, a: ToldApart, f: Followed) -> dict[str, Any]:
    return {
        "from": _cause(d, a.named),
        "named": any(n.cause == a.named for n in d.measures.namings),
        "chance_by_the_report": f.first,
        "chance_at_the_end": f.last,
        "ruled_out_by": f.out,
        "text": a.text,
        "file": a.origin,
        "question": _action(d, Action((a.reading,))) if a.reading else None,
        "answers_apart": a.apart,
    }
