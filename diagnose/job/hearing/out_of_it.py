"""'Pouring out of it' after a vent was named: fuel comes out of that, and of nothing else."""

from __future__ import annotations

import re

_OUTLET = re.compile(
    r"\b(vents?(?: pipe)?|(?:filler )?caps?|filler|(?:strainer |sump )?drains?|strainer|intake|"
    r"jettison (?:pipe|valve|outlet)|carburettor|(?:selector|cock)|hose|primer|"
    r"(?:engine-|hand |electric |booster |boost )?pump)\b"
)
"""What fuel is told to come out of."""
_OUT_OF_IT = re.compile(r"\b(out of|out from|from) it\b")
_END = re.compile(r"[.;!?]\s")
_SENTENCES = 2
"""In how many sentences, its own among them, what 'it' is was named."""


def with_its_name(text: str) -> str:
    """Return a written-out report with 'out of it' told of the outlet that was named last."""

    def named(hit: re.Match[str]) -> str:
        before = hit.string[: hit.start()]
        near = " ".join(_END.split(before)[-_SENTENCES:])
        outlets = _OUTLET.findall(near)
        return f"{hit[1]} the {outlets[-1].removesuffix(' pipe')}" if outlets else hit[0]

    return _OUT_OF_IT.sub(named, text)
