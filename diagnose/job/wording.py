"""Findings and states in the words of the trade, for every screen and paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from diagnose.belief import UNKNOWN
from diagnose.by_key import by_key
from diagnose.job.diagnosis import Bench
from diagnose.job.elsewhere import as_fitted
from diagnose.job.gates import need_of_reading, need_of_state
from diagnose.job.keeping.disturbed import has_power
from diagnose.knowledge_files.cutting import why_unclassed
from diagnose.model import ELSEWHERE, STAGES, Cause, CauseAt, Evidence, Finding, Hazard, State
from diagnose.planner import Action, Reading

MOST_BESIDE = 3
"""Findings told at most of which what was found or mended tells nothing."""


def state_words(bench: Bench, state: State) -> str:
    """Return a run state in words, '' when nothing was stated."""
    parts = [state.stage] if state.stage else []
    # the stage says the power already
    implied = ("power", STAGES.get(state.stage, ""))
    for dimension, value in state.settings.items():
        if dimension == "tank":
            # a selector position ('both') is its own name
            on = bench.places.label(value) if value in bench.layout.parts else value
            parts.append(f"on {on}")
        elif dimension != ELSEWHERE and (dimension, value) != implied:
            parts.append(setting_words(bench, dimension, value))
    return ", ".join(filter(None, parts))


def setting_words(bench: Bench, dimension: str, value: str) -> str:
    """Return a setting as it is said on this layout; '' for a pump that it has not."""
    if dimension == "heat":
        return {"hot": "engine hot", "cool": "engine cold"}[value]
    if dimension == "booster" and not bench.places.parts_of_kind("booster-pump"):
        if not bench.places.parts_of_kind("hand-pump"):
            return ""
        return {"on": "hand pump worked", "off": "hand pump still"}[value]
    if dimension == "booster" and not bench.places.parts_of_kind("engine-pump"):
        return f"electric pump {value}"  # it boosts nothing: it alone feeds the engine
    return f"{dimension.replace('crossfeed', 'cross-feed')} {value}"


def unclassed(bench: Bench, finding: Finding) -> str:
    """Return why the figure of a finding has no class."""
    return why_unclassed(bench.library.questions[finding.question], bench.layout)


def answer_words(labels: Mapping[str, str], finding: Finding) -> str:
    """Return the answer in words, by the ``labels`` of its question or check; '' for none.

    One of several says so: "'fades' or 'stops', not known which".
    """
    words = [labels.get(c, c) for c in finding.classes]
    if len(words) < 2:
        return "".join(words)
    return " or ".join(f"'{w}'" for w in words) + ", not known which"


def place_words(bench: Bench, finding: Finding) -> str:
    """Return where a finding is: a part, or 'one of a; b, not known which'."""
    labels = "; ".join(map(bench.places.label, finding.places))
    return f"one of {labels}, not known which" if finding.one_of_places else labels


EVIDENCE_WORDS: Mapping[Evidence, str] = {
    "stated": "the knowledge as its files state it",
    "model": "the rates of the fuel-system model where it has a say (--evidence model)",
    "both": "the knowledge and the fuel-system model together (--evidence both)",
}
"""What the ranking of a job rests on."""


def all_of_them(bench: Bench, at: Sequence[str]) -> str:
    """Return 'all 4 engines' where ``at`` is each of them, or each tank; '' else."""
    for kind in ("engine", "tank"):
        every = bench.places.parts_of_kind(kind)
        if len(every) > 2 and set(at) == set(every):
            return f"all {len(every)} {kind}s"
    return ""


def finding_lines(bench: Bench, findings: Iterable[Finding]) -> list[str]:
    """Return findings a line each; neighbours that say the same of like places are one line."""
    groups: list[list[Finding]] = []
    for f in findings:
        last = groups[-1][-1] if groups else None
        alike = last is not None and replace(last, at=f.at, origin=f.origin) == f
        if alike and not (f.typed or f.one_of_places or f.check):
            groups[-1].append(f)
        else:
            groups.append([f])
    return [finding_line(bench, *group) for group in groups]


def beside_words(bench: Bench, findings: Sequence[Finding]) -> str:
    """Return in one line what is told of what was found amiss and is not explained yet."""
    return "; ".join(finding_lines(bench, findings[:MOST_BESIDE]))


def finding_line(bench: Bench, finding: Finding, *alike: Finding) -> str:
    """Return one finding in one line: what, where, the answer, the state, how it is known.

    ``alike``: those that say the same of other places.
    """
    asked = bench.library.asked(finding)
    answer = answer_words(asked.answers, finding)
    if not finding.value:
        answer = (
            "not checked" if finding.number is None else f"figure kept, {unclassed(bench, finding)}"
        )
    figure = f" ({finding.typed})" if finding.typed else ""
    if finding.tries > 1:
        figure += f", {finding.seen} of {finding.tries} tries"
    if not finding.reached:
        figure += ", the reported condition not reached"
    state = state_words(bench, finding.state)
    others = ", the others normal" if finding.others_normal else ""
    places = [finding.at, *(f.at for f in alike)]
    where = all_of_them(bench, places) if alike else ""
    where = where or "; ".join(place_words(bench, f) for f in (finding, *alike))
    return (
        f"{asked.title}, {where}: {answer}{figure}{others}"
        + (f" [{state}]" if state else "")
        + f" ({finding.known_by})"
    )


def cause_words(bench: Bench, cause: CauseAt, where: str = "") -> str:
    """Return a cause in words, with its place, or with ``where`` said instead of it."""
    if cause == UNKNOWN:
        return "something not in the knowledge"
    known_cause = bench.library.causes[cause.cause]
    outside = f" [{known_cause.outside.replace('-', ' ')}]" if known_cause.outside else ""
    return f"{known_cause.title}, {where or bench.places.label(cause.at)}{outside}"


def after_finding(bench: Bench, found: CauseAt) -> tuple[tuple[str, str], ...]:
    """Return what is to be done once ``found`` was, in order: what it is called, and how."""
    cause = as_fitted(bench, found)
    said = (
        ("Rectify", cause.rectify),
        ("Root question", cause.root_question),
        ("Look also", cause.also_look),
        ("Harm done", cause.harm),
        ("Verify", cause.verify),
    )
    return tuple((name, text) for name, text in said if text)


def hazards_of(bench: Bench, action: Action) -> tuple[str, ...]:
    """Return the hazards of an action, each once."""
    if action.is_check:
        return bench.library.checks[action.check].hazards
    listed = [h for r in action.readings for h in _hazards_read_with(bench, r)]
    return tuple(dict.fromkeys(listed))


def _hazards_read_with(bench: Bench, reading: Reading) -> Iterator[str]:
    """Yield the hazards of a reading; of a drain that runs by its head nobody is told of pumps."""
    question = bench.library.questions[reading.question]
    by_head = question.pump_only and not need_of_reading(bench, reading)
    unpowered = by_head or not has_power(bench.layout)
    for h in question.hazards:
        if not (unpowered and bench.library.hazards[h].gates):
            yield h
    if reading.run_state is None and need_of_reading(bench, reading) == "run":
        yield from (h for h in OF_A_RUN if h in bench.library.hazards)  # watched while taxiing


OF_A_RUN = ("running-engine", "propeller-live")
"""Hazards of whatever an engine is run for."""

RUNNING = frozenset({"running-engine", "start-fire"})
"""Hazards of a check's own run: a part is mended with the engine stopped."""


def hazards_of_mending(bench: Bench, cause: Cause) -> tuple[str, ...]:
    """Return the hazards to be minded before ``cause`` is rectified, each once.

    They are those of every check that settles it: a cock that was only felt is opened to be mended,
    and what opening it calls for stands at the check that strips it.  What no check opens and
    mending does, the cause says itself.
    """
    looked = [h for c in cause.checks for h in bench.library.checks[c.check].hazards]
    listed = [*cause.rectify_hazards, *looked]
    return tuple(h for h in dict.fromkeys(listed) if h not in RUNNING)


def warnings_first(bench: Bench, hazards: Iterable[str]) -> list[Hazard]:
    """Return hazards each once, what can hurt people before what can do damage."""
    known = [bench.library.hazards[h] for h in dict.fromkeys(hazards)]
    return sorted(known, key=lambda h: h.level != "warning")


def cautions_first(bench: Bench, cause: Cause) -> str:
    """Return by name what is minded before ``cause`` is mended; '' where nothing is mended here."""
    listed = () if cause.outside else warnings_first(bench, hazards_of_mending(bench, cause))
    return "; ".join(h.headed for h in listed)


def action_words(bench: Bench, action: Action) -> str:
    """Return what an action is, in one line."""
    if action.is_check:
        at = ", ".join(bench.places.label(p) for p in action.places)
        return f"{bench.library.checks[action.check].title}, {at}"
    titled = by_key(
        (bench.library.questions[r.question].title, bench.places.label(r.place))
        for r in action.readings
    )
    titles = "; ".join(titled)
    if action.is_run and len(action.readings) > 1:  # its card tells where and in which state
        return f"one engine run, {len(action.readings)} readings: {titles}"
    # a lamp pressed with the battery on is not read 'battery off', whatever its state is called
    states = dict.fromkeys(
        r.run_state.title
        for r in action.readings
        if r.run_state and need_of_state(r.run_state) == need_of_reading(bench, r)
    )
    places = dict.fromkeys(label for at in titled.values() for label in at)
    if len(places) > 2:
        what = titles
    elif len({frozenset(at) for at in titled.values()}) > 1:  # tank and strainer on one walk
        what = "; ".join(f"{x}, {' and '.join(dict.fromkeys(at))}" for x, at in titled.items())
    else:
        what = f"{titles}, {'; '.join(places)}"
    return what + (f" [{'; '.join(states)}]" if states else "")
