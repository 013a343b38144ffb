"""A case as the text of its file, one finding a line; reading it back gives the same case."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping, Sequence

from diagnose.model import Case, CauseAt, Finding, State

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._/()'+-]*")
_WORDS = {"on", "off", "yes", "no", "true", "false", "null", "y", "n"}  # YAML 1.1 takes for others
_WIDTH = 96


def case_text(case: Case) -> str:
    """Return ``case`` as YAML, in the order of the contract."""
    lines = [f"case: {case.id}"]
    if case.title:
        lines.append(f"title: {_scalar(case.title)}")
    if case.invented:
        lines.append("invented: yes")
    lines += [f"source: {_scalar(case.source)}", f"layout: {case.layout}"]
    if case.family:
        lines.append(f"family: {case.family}")
    lines += ["reported: >-", *_folded(case.reported)]
    if case.before:
        lines.append("before:")
        lines += [f"  - {_flow({'work': w.what, 'at': w.at})}" for w in case.before]
    lines.append("findings:")
    lines += [f"  - {_finding(f)}" for f in case.findings]
    if case.examination:
        lines.append("examination:")
        lines += [f"  - {_finding(f)}" for f in case.examination]
    lines.append(f"cause: {_causes(case.causes)}")
    if case.also_accept:
        lines.append(f"also-accept: {_causes(case.also_accept, listed=True)}")
    if case.notes:
        lines += ["notes: >-", *_folded(case.notes)]
    return "\n".join(lines) + "\n"


def _finding(f: Finding) -> str:
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
    return _flow({k: v for k, v in items.items() if v}, ready)


def _answer(f: Finding) -> str:
    return f"[{', '.join(f.one_of)}]" if f.one_of else f.value or "not checked"


def _state(state: State) -> str:
    items = {"stage": state.stage, **state.settings} if state.stage else dict(state.settings)
    return _flow(items) if items else ""


def _causes(causes: Sequence[CauseAt], *, listed: bool = False) -> str:
    shown = [
        _flow({"cause": c.cause, "at": c.at}) if c.cause else "not-in-the-knowledge" for c in causes
    ]
    return f"[{', '.join(shown)}]" if listed or len(shown) > 1 else shown[0]


def _flow(items: Mapping[str, str], ready: Sequence[str] = ()) -> str:
    return (
        "{" + ", ".join(f"{k}: {v if k in ready else _scalar(v)}" for k, v in items.items()) + "}"
    )


def _scalar(text: str) -> str:
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS and not text.endswith(" "):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _folded(text: str) -> list[str]:
    return textwrap.wrap(
        " ".join(text.split()), _WIDTH, initial_indent="  ", subsequent_indent="  "
    )
