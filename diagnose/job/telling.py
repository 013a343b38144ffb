"""Findings told in sentences, as a pilot or an engineer reports them.

How an answer is told stands with its question (``told``); this adds the run state and the place,
says 'it' of a place just named, and 'the same' of what only the run state changes.  A question
without such sentences is told by its title and the label of its class.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from diagnose.grammar import capital
from diagnose.job.diagnosis import Bench
from diagnose.job.wording import answer_words
from diagnose.model import AEROPLANE, STAGES, Finding, State

_WHEN: Mapping[str, str] = MappingProxyType(
    {
        "parked": "after standing overnight",
        "refuelling": "at the fuelling",
        "static": "",
        "after-shut-down": "after shut-down",
        "cranking": "",
        "idle": "at idle",
        "taxi": "taxying",
        "run-up": "on the run-up",
        "take-off": "on take-off",
        "climb": "in the climb",
        "cruise": "in the cruise",
        "descent": "in the descent",
        "approach": "on the approach",
        "landing": "on landing",
        "go-around": "on the go-around",
    }
)
"""Stage -> when, as people begin a sentence; '' where the sentence itself says it."""
_SETTINGS: Mapping[tuple[str, str], str] = MappingProxyType(
    {
        ("crossfeed", "open"): "on cross-feed",
        ("heat", "hot"): "when hot",
        ("attitude", "disturbed"): "in a turn",
        ("level", "low"): "with little in the tanks",
        ("level", "full"): "with the tanks full",
    }
)
"""Settings worth a word; what is as usual is not told."""
_ITS = re.compile(r"\bthe ((?:[\w,]+ )+?)of \{it\}")
"""'the gauge of {it}' is 'its gauge' once the place was named."""


def told_in_words(bench: Bench, told: Sequence[Finding]) -> str:
    """Return ``told``, each of one place and class or left open, as sentences in their order."""
    sentences: list[str] = []
    for k, finding in enumerate(told):
        before = told[k - 1] if k else None
        when, clause = _when(bench, finding.state), _clause(bench, finding, before)
        figure = f", {finding.typed}" if finding.typed else ""
        if before is not None and when and _alike(finding, before):
            sentences.append(f"the same {when}{figure}")
        elif before is not None and when and when == _when(bench, before.state):
            sentences[-1] += f"; {clause}{figure}"
        else:
            sentences.append(f"{when}, {clause}{figure}" if when else f"{clause}{figure}")
    return " ".join(f"{capital(s)}." for s in sentences)


def _clause(bench: Bench, finding: Finding, before: Finding | None) -> str:
    """Return what was found and where; 'it' where the finding ``before`` named the place."""
    question = bench.library.questions[finding.question]
    clause = question.told.get(finding.value, "")
    if not clause or finding.one_of:
        where = "" if finding.at == AEROPLANE else f", {bench.places.label(finding.at)}"
        return f"{question.title}{where}: {answer_words(question.classes, finding)}"
    if before is not None and before.at == finding.at and _names_place(bench, before):
        return _ITS.sub(lambda m: f"its {m[1].rstrip()}", clause).replace("{it}", "it")
    return clause.replace("{it}", _the(bench, finding.at))


def _alike(finding: Finding, before: Finding) -> bool:
    """Return whether two findings differ in the run state alone."""
    return (finding.question, finding.at, finding.classes) == (
        before.question,
        before.at,
        before.classes,
    )


def _names_place(bench: Bench, finding: Finding) -> bool:
    told = bench.library.questions[finding.question].told.get(finding.value, "")
    return finding.at != AEROPLANE and "{it}" in told


def _the(bench: Bench, place: str) -> str:
    label = bench.places.label(place)
    return label if label.startswith("no. ") else f"the {label}"


def _when(bench: Bench, state: State) -> str:
    """Return the run state as a sentence begins with it, '' where nothing of it is worth a word."""
    stands = STAGES.get(state.stage, "none") == "none"
    words = [_WHEN.get(state.stage, "")]
    tank = state.settings.get("tank", "")
    if tank:
        # a selector position ('both') is its own name
        words.append(f"on {_the(bench, tank) if tank in bench.layout.parts else tank}")
    words += [
        said
        for (dimension, value), said in _SETTINGS.items()
        if state.settings.get(dimension) == value
        and not (dimension == "heat" and state.stage == "after-shut-down")
    ]
    pump = state.settings.get("booster", "")
    if pump == "on" or (pump == "off" and not stands):
        words.append(_pump(bench, pump))
    return " ".join(w for w in words if w)


def _pump(bench: Bench, setting: str) -> str:
    kinds = {p.kind for p in bench.layout.parts.values()}
    if "booster-pump" in kinds:
        return f"with the booster {setting}"
    if "hand-pump" in kinds:
        return "with the hand pump worked" if setting == "on" else "with the hand pump left alone"
    return ""
