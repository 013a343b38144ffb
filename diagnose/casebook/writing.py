"""A case as the text of its file, one finding a line; reading it back gives the same case."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge_files.yaml_writing import flow_text, folded_text, scalar_text
from diagnose.model import Case, CauseAt, Finding, State


def case_text(case: Case) -> str:
    """Return ``case`` as YAML, in the order of the contract."""
    lines = [f"case: {case.id}"]
    if case.title:
        lines.append(f"title: {scalar_text(case.title)}")
    if case.invented:
        lines.append("invented: yes")
    lines += [f"source: {scalar_text(case.source)}", f"layout: {case.layout}"]
    if case.family:
        lines.append(f"family: {case.family}")
    lines += ["reported: >-", *folded_text(case.reported)]
    if case.before:
        lines.append("before:")
        lines += [f"  - {flow_text({'work': w.what, 'at': w.at})}" for w in case.before]
    lines.append("findings:" if case.findings else "findings: []")
    lines += [f"  - {finding_text(f)}" for f in case.findings]
    if case.examination:
        lines.append("examination:")
        lines += [f"  - {finding_text(f)}" for f in case.examination]
    lines.append(f"cause: {_causes(case.causes)}")
    if case.also_accept:
        lines.append(f"also-accept: {_causes(case.also_accept, listed=True)}")
    if case.notes:
        lines += ["notes: >-", *folded_text(case.notes)]
    return "\n".join(lines) + "\n"


def finding_text(f: Finding) -> str:
    """Return a finding as one line of a file."""
    items: dict[str, str] = {}
    if f.check:
        items |= {"check": f.question, "at": f.at, "result": _answer(f)}
    else:
        at = f"[{', '.join(f.one_of_places)}]" if f.one_of_places else f.at
        items |= {"finding": f.question, "at": at, "value": _answer(f)}
        if f.typed:
            items["reading"] = f.typed
    items["state"] = _state(f.state)
    items["known-by"] = f.known_by
    if f.others_normal:
        items["others-normal"] = "yes"
    if f.after:
        items["after"] = f.after
    if f.epoch:
        items["epoch"] = str(f.epoch)
    ready = ["state", "others-normal", *(("value", "result") if f.one_of else ())]
    ready += ["at"] if f.one_of_places else []
    return flow_text({k: v for k, v in items.items() if v}, ready)


def _answer(f: Finding) -> str:
    return f"[{', '.join(f.one_of)}]" if f.one_of else f.value or "not checked"


def _state(state: State) -> str:
    items = {"stage": state.stage, **state.settings} if state.stage else dict(state.settings)
    return flow_text(items) if items else ""


def _causes(causes: Sequence[CauseAt], *, listed: bool = False) -> str:
    shown = [
        flow_text({"cause": c.cause, "at": c.at}) if c.cause else "not-in-the-knowledge"
        for c in causes
    ]
    return f"[{', '.join(shown)}]" if listed or len(shown) > 1 else shown[0]
