"""A finding as it stands in a log: plain data, and back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.model import Finding, State


def finding_as_json(f: Finding) -> dict[str, Any]:
    """Return a finding as plain data, every field named."""
    return {
        "question": f.question,
        "at": f.at,
        "value": f.value,
        "stage": f.state.stage,
        "settings": dict(f.state.settings),
        "known_by": f.known_by,
        "check": f.check,
        "others_normal": f.others_normal,
        "number_si": f.number,
        "typed": f.typed,
        "after": f.after,
        "epoch": f.epoch,
        "tries": f.tries,
        "seen": f.seen,
        "reached": f.reached,
        "chances": [[c, p] for c, p in f.chances],
        "one_of": list(f.one_of),
        "one_of_places": list(f.one_of_places),
    }


def finding_of(data: Mapping[str, Any]) -> Finding:
    """Return the finding ``data`` stands for; the inverse of ``finding_as_json``."""
    return Finding(
        data["question"],
        data["at"],
        data["value"],
        State(data["stage"], dict(data["settings"])),
        data["known_by"],
        data["check"],
        data["others_normal"],
        data["number_si"],
        data["typed"],
        data["after"],
        data["epoch"],
        # logs kept before these were counted have none of them
        tries=data.get("tries", 1),
        seen=data.get("seen", 1),
        reached=data.get("reached", True),
        chances=tuple((c, p) for c, p in data.get("chances", ())),
        one_of=tuple(data.get("one_of", ())),
        one_of_places=tuple(data.get("one_of_places", ())),
    )
