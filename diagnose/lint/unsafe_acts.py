"""Acts that no text of the knowledge may tell anybody to do, whoever said them.

An expert tells what he has seen done.  What can burn, spray or maim is caught here by its words,
wherever it would be printed: in what mends, in what else is looked at, in how two causes are told
apart.  The words are strict: who forbids such an act says so in the same sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from diagnose.lint.base import Base
from diagnose.lint.codes import Found, code, finds
from diagnose.lint.prose import sentences, texts

UNSAFE = code(
    "SAFE-09",
    "unsafe act told as something to do",
    means="A text has an act that burns, sprays or maims: fuel opened while pressure, power or an"
    " engine is on it, a flame or spark near fuel, fuel by mouth, shop air, a run with a known"
    " leak, a protection put out of action, a propeller turned live.",
    matters="Whoever reads it takes it for what the trade does.",
    do="Say how it is done safely by the approved data, or forbid it in the same sentence.",
)


@dataclass(frozen=True)
class UnsafeAct:
    """One kind of act: how it is said, and what is wrong with it."""

    said: re.Pattern[str]
    why: str


def _any(*ways: str) -> str:
    return f"(?:{'|'.join(ways)})"


_LIVE: Final = _any(
    r"(?:engines?|her|it|she) (?:is |still )?(?:run|turn)(?:s|ning)",
    r"while (?:it|she|they) (?:is |are )?(?:run|turn)\w*",
    r"(?:booster|pump|power|battery|master|electrics?) (?:is |still |left )?on\b",
    r"under pressure",
    r"with (?:the )?pressure (?:still )?(?:on|up)\b",
    r"(?:runn|crank|motor)ing (?:it|her|the)",
)
_OPENS: Final = (
    _any(
        "crack", "slacken", "loosen", "undo", "unscrew", "tighten", "nip up", "open", "break",
        "disconnect", "pull off", "take off",
    )
    + r"\w*"
)  # fmt: skip
_PLACES: Final = (
    "union", "nut", "joint", "fitting", "flare", "connection", "banjo", "line", "pipe", "hose",
    "plug", "drain", "bowl",
)  # fmt: skip
_JOINT: Final = _any(*_PLACES) + r"s?\b"
_FLAME: Final = _any(
    "match(?:es)?", "cigarettes?", "lighters?", "naked (?:flame|light)", "open flame",
    "blow ?(?:lamp|torch)", "torch flame", "lead lamp", "candles?",
)  # fmt: skip
_LOOSE: Final = _any(
    r"leak(?!-?check)\w*", r"drip\w*", r"weep\w*", r"dribbl\w*", "line (?:off|open)",
    "union (?:slack|loose|open)", "hose off", "cap off", "strainer out", "screen out",
)  # fmt: skip
_RUN: Final = "(?:and|then) (?:crank|start|run|motor|turn (?:it|her|the engine))"
_FEW: Final = "[^.;]{0,40}"
"""Words between the two halves of one act."""

_WAYS: Final = (
    (
        "a fuel joint is worked while pressure, power or an engine is on it",
        rf"\b{_OPENS} {_FEW}\b{_JOINT}{_FEW}\b{_LIVE}",
        rf"\b{_LIVE}{_FEW}[ ,]{_OPENS} {_FEW}\b{_JOINT}",
    ),
    (
        "an engine is run with a leak or an open line",
        rf"\b(?:{_OPENS}|leave|take|pull) {_FEW}\b(?:{_JOINT}|strainer|screen)"
        rf"(?: off| out| open)?,? {_RUN}",
        rf"\b(?:run|start|crank|fly|taxi)\b{_FEW} (?:with|while) {_FEW}\b{_LOOSE}\b",
    ),
    (
        "a flame or an unprotected lamp is brought to fuel",
        rf"\b(?:with|use|hold|put|light|strike|take|by) {_FEW}\b{_FLAME}\b",
    ),
    (
        "fuel is taken by mouth",
        rf"\b(?:suck|siphon|draw)\w* {_FEW}\b(?:by|with|through) (?:the |your )?mouth\b",
        r"\btast(?:e|ing)\b",
    ),
    (
        "air is put into a fuel part without a limit",
        r"\b(?:shop air|air ?line|compressed air|tyre pump|full air)\b",
        rf"\bblow\w* {_FEW}\b(?:with|by) (?:the |your )?(?:air|mouth)\b",
    ),
    (
        "a protection is put out of action",
        r"\b(?:bridge|bypass|short|link|jump|wedge|tie|tape|jam|hold)\w* "
        r"(?:out |down |in |across )?(?:the )?[^.;]{0,20}"
        r"\b(?:fuse|breaker|fire switch|warning|interlock|lockwire)\b",
        r"\b(?:bigger fuse|fuse wire)\b",
    ),
    (
        "a spark is made",
        rf"\b(?:flash|spark|touch|scratch)\w* (?:it|the (?:wire|lead|cable)s?) {_FEW}"
        r"\b(?:earth|ground|frame|terminal|post|against)\b",
    ),
    (
        "a propeller is turned with the ignition live",
        rf"\b(?:swing|pull|turn)\w* (?:the |her |it )?(?:prop\w*|airscrew|engine)\b{_FEW}"
        r"\b(?:switch(?:es)? on|mags? on|magnetos? on|live)\b",
    ),
    (
        "petrol is used to clean with",
        rf"\b(?:wash|clean|swill|flush|degrease)\w* {_FEW}"
        r"\bwith (?:petrol|gasoline|avgas|leaded fuel)\b",
    ),
)
"""What is wrong with an act -> how it is said."""
ACTS: Final = tuple(
    UnsafeAct(re.compile(way, re.IGNORECASE), why) for why, *ways in _WAYS for way in ways
)
_FORBIDDEN: Final = re.compile(
    r"(?i)\b(?:never|do not|don't|dont|no|not|without|nobody|none|must not|stop)\b"
)


def unsafe_act(text: str) -> str:
    """Return what is unsafe in ``text``, '' where nothing is told or it is forbidden there."""
    for sentence in sentences(text):
        for act in ACTS:
            found = act.said.search(sentence)
            if found and not _FORBIDDEN.search(sentence[: found.start()]):
                return f"{act.why} ('{found.group()[:50]}')"
    return ""


@finds(UNSAFE, doing="safety: unsafe acts")
def unsafe(base: Base) -> Iterator[Found]:
    """Yield texts that tell somebody to do what hurts him."""
    for t in texts(base.library):
        why = unsafe_act(t.text) if t.use != "name" else ""
        if why:
            text = f"'{t.name}': {why}; say how it is done safely, or forbid it there"
            yield base.found(UNSAFE, t.item, text, t.origin, *t.keys)
