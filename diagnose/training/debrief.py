"""The debrief: what was made of an exercise, beside the planner's own route, as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.job.wording import action_words, cause_words
from diagnose.model import CauseAt
from diagnose.planner import Action
from diagnose.training.attempt import Attempt
from diagnose.training.lesson import Lesson, ToldApart, lesson
from diagnose.training.measures import SOURCES, Measures, Named, Worked, measured
from diagnose.training.route import best_route
from diagnose.training.worth import OPEN, name_of

SIMULATED = (
    "SIMULATED: no aeroplane was touched. It teaches how to look; it certifies nothing and "
    "licenses nobody. On a real aeroplane the approved data and licensed practice come first."
)
"""Stands on every screen and page of an exercise."""


@dataclass(frozen=True)
class Debrief:
    """An attempt and the planner's route in the same world, both measured, and the lesson."""

    attempt: Attempt
    measures: Measures
    route: Attempt
    route_measures: Measures
    lesson: Lesson

    @property
    def ratio(self) -> float | None:
        """Return minutes over the planner's; None where either did not find the part."""
        if not self.attempt.state.solved or not self.route.state.solved:
            return None
        return self.attempt.state.minutes / max(self.route.state.minutes, 1e-9)

    @property
    def false_no_fault(self) -> bool:
        """Return whether no fault was named while there was one."""
        causes = self.attempt.bench.library.causes
        return any(
            causes[n.cause.cause].outside == "no-fault" and not n.right
            for n in self.attempt.state.namings
        )

    @property
    def safety(self) -> int:
        """Return how often something was asked for before it was known safe."""
        return len(self.attempt.state.skipped)


def debrief(attempt: Attempt) -> Debrief:
    """Return the debrief of ``attempt``, which should be over."""
    route = best_route(attempt)
    named = [n.cause for n in attempt.state.namings]
    return Debrief(
        attempt,
        measured(attempt),
        route,
        measured(route),
        lesson(attempt.bench, attempt.plane.hidden.cause, named),
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
        "work": _work(d, d.attempt, d.measures),
        "best_route": _work(d, d.route, d.route_measures),
        "hints": d.attempt.state.hints,
        "refusals": [
            {"what": e["what"], "why": e["why"], "safety": e["safety"]}
            for e in d.attempt.state.refusals
        ],
        "safety_steps_skipped": d.safety,
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


def _work(d: Debrief, attempt: Attempt, m: Measures) -> dict[str, Any]:
    return {
        "solved": attempt.state.solved or "no",
        "minutes": attempt.state.minutes,
        "starts": attempt.state.starts,
        "steps": [_step(d, s) for s in m.steps],
        "named": [_named(d, n) for n in m.namings],
        "redundant_steps": m.redundant,
        "premature_namings": sum(n.premature for n in m.namings),
        "information_over_best": m.information,
        "half_split_index": m.half_split,
        "brier": m.brier,
    }


def _step(d: Debrief, s: Worked) -> dict[str, Any]:
    return {
        "number": s.n,
        **_action(d, s.action),
        "answer": s.answer,
        "minutes": s.minutes,
        "starts": s.starts,
        "share_of_minutes": s.share_of_minutes,
        "expected_bits": s.bits,
        "best_expected_bits": s.best,
        "best": _action(d, s.best_action) if s.best_action else None,
        "information_over_best": s.share,
        "half_split_index": s.half_split,
        "redundant": s.redundant,
        "safety_look": s.gate,
        "ruled_out": [_place(d, p) for p in s.ruled_out],
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
    name, at, state = name_of(action)
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
        "told_apart": [_apart(d, a) for a in said.apart],
    }


def _apart(d: Debrief, a: ToldApart) -> dict[str, Any]:
    return {
        "from": _cause(d, a.named),
        "text": a.text,
        "file": a.origin,
        "question": _action(d, Action((a.reading,))) if a.reading else None,
        "answers_apart": a.apart,
    }
