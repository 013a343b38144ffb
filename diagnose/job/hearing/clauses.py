"""A report cut into clauses, each with the stage, settings and words that hold in it.

People tell one thing after the other: 'Idle was fine, but at the run-up with the boosters off the
pressure sagged.'  A clause that tells a state and nothing else lends it to its neighbours.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import zip_longest

from diagnose.job.hearing.phrases import PhraseBook
from diagnose.job.hearing.written_out import written_out
from diagnose.model import STAGES

STAGE_WORDS: Mapping[str, tuple[str, ...]] = {
    "run-up": ("run-up", "run up", "runup", "ground run", "magneto run"),
    "idle": (
        "idle",
        "idles",
        "idling",
        "idled",
        "tick-over",
        "tick over",
        "tickover",
        "slow running",
        "slow-running",
    ),
    "take-off": ("take-off", "take off", "takeoff", "lift-off", "lift off", "rotation"),
    "climb": ("climb", "climbing", "climb-out", "climb out", "climbout", "climbed"),
    "cruise": ("cruise", "cruising", "level flight"),
    "descent": ("descent", "descending", "coming down", "letting down", "let-down", "let down"),
    "approach": ("approach", "final", "finals", "downwind", "base leg", "on base", "base turn"),
    "landing": ("landing", "landing roll", "on touch-down", "touched down"),
    "go-around": ("go-around", "go around", "overshoot"),
    "taxi": ("taxi", "taxying", "taxiing", "taxied"),
    "cranking": ("cranking", "start-up"),
    "after-shut-down": (
        "after shut-down",
        "after shutdown",
        "after shutting down",
        "after stopping",
    ),
    "static": (
        "with the engine stopped",
        "with engine stopped",
        "with engines stopped",
        "with the engines stopped",
        "engine not running",
        "before start",
        "before engine start",
        "before starting",
        "before start-up",
        "with the engine off",
        "with the engines off",
        "engines not running",
        "engine off",
        "engines off",
        "engine not turning",
        "propeller not turning",
        "prop not turning",
        "with the prop still",
        "with the propeller still",
    ),
    "parked": ("parked", "overnight", "in the hangar"),
}
_NO_THING = r"(?! (?:lights?|lamps?|gear)\b)"
"""Not behind a stage: a landing light is no landing."""
_STAGES_SAID = sorted(
    (
        (word, stage, re.compile(rf"(?<![\w-]){re.escape(word)}(?![\w-]){_NO_THING}"))
        for stage, words in STAGE_WORDS.items()
        for word in words
    ),
    key=lambda said: -len(said[0]),
)
"""The longest first: of 'climb-out' no 'climb' is left."""
PUMP = (
    r"(?:boosters?|(?:low|high|hi) boost|"
    r"(?:boost|booster|(?:electric|electrical|leccy|elec|aux|auxiliary) (?:fuel )?) ?pumps?|"
    r"(?<!hand )(?<!engine-)(?<!transfer )(?<!wobble )pumps?)"
)
"""How the electric pump is named; never the hand pump or the engine's own."""
_PUT = r"(?: (?:is|was|were|are))?(?: (?:switched|put|turned))?(?: back)?"
_BY_HAND = r"(?:put|switched|turned|(?:bang|knock|slap|slapp|flick|whack|bung)(?:s|ed)?)"
_PLACE = r"(?! (?:the|its|no|to|left|right|port|starboard)\b)"
"""Not after 'on': 'the pump on the left engine' is not switched on."""
_HAND = r"(?:hand|wobble)[ -]pump"
_IT = "(?:it|them)"
_CURES = (
    r"(?: on)?(?= (?:(?:brought|brings?|got|gets?|settle[sd]?|stead(?:y|ie[sd])|cure[sd]?|"
    r"fix(?:es|ed)?|clear(?:s|ed)?|stop(?:s|ped)?|restore[sd]?|sort(?:s|ed)?) "
    r"(?:it|her|them|that|things|both|the)|"
    r"(?:cleared|cured|fixed|restored) |help(?:s|ed)\b))"
)
"""Behind what was set and so helped: 'cross-feed got it going', 'the pump cures it'."""
_STARTED = "(?:(?<=start )|(?<=starts )|(?<=start it )|(?<=fine )|(?<=ok )|(?<=well )|(?<=easily ))"
"""Before the 'hot' or 'cold' that ends a clause: 'will not start hot', 'starts fine cold'."""
_THEN, _SHE = r"^\s*(?:stone )?", r"(?=,? (?:she|it|he|they) )"
"""Before and behind the 'hot' or 'cold' that begins a clause: 'cold she starts first time'."""
_SETTINGS: tuple[tuple[str, str, str], ...] = (
    ("booster", "on", rf"{PUMP}{_PUT} on{_PLACE}|on the {PUMP}|{PUMP}{_CURES}|"
                      rf"{PUMP}(?: (?:went|set|put|switched|selected))?(?: to)? (?:low|high)\b|"
                      rf"{_BY_HAND} (?:(?:the|its|both) )?{PUMP} on{_PLACE}|"
                      rf"{_HAND} (?:(?:is|was) )?(?:being )?worked|"
                      rf"(?:working|pumping|strokes of|with|on) the {_HAND}"),
    ("booster", "off", rf"{PUMP}{_PUT} off|without (?:the )?{PUMP}|"
                       rf"{_HAND} (?:(?:is|was) )?(?:left alone|not worked|still(?= *$))"),
    ("crossfeed", "open", rf"cross-?feed{_CURES}|"
                          r"cross-?feed (?:cock )?(?:(?:is|was|had been) )?open(?:ed)?|"
                          r"on (?:the )?cross-?feed"),
    ("crossfeed", "shut", r"on (?:its|their) own (?:tanks?|side)|"
                          r"cross-?feed (?:cock )?(?:(?:is|was|had been) )?(?:shut|closed)"),
    ("power", "high", r"(?:at|under|with|on) (?:full|take-off|high|higher|more|climb) "
                      r"(?:power|throttle|revs|rpm)|"
                      r"at power|full throttle|(?:when|as|once) (?:i|he|she|we|they|you|it|it is|"
                      r"the pilot) (?:opens?|opened) (?:her |it |the throttle )?up"),
    ("power", "low", r"(?:at|on|with) (?:low|little) (?:power|revs)|throttled back|"
                     r"throttle (?:(?:is|was) )?(?:half|drawn|pulled|eased) back"),
    ("heat", "hot", r"(?:when|once|while|if) (?:(?:it|she|they|the engine)(?: is| was|'s) )?"
                    r"(?:still )?hot|"
                    rf"from hot|hot (?=(?:re)?starts?\b)|{_STARTED}hot$|{_THEN}hot{_SHE}"),
    ("heat", "cool", r"(?:when|if) (?:(?:it|she|they|the engine)(?: is| was|'s) )?cold|from cold|"
                     rf"(?:stone )?cold (?=(?:re)?starts?\b)|{_STARTED}cold$|{_THEN}cold{_SHE}"),
)  # fmt: skip
_OF_IT: tuple[tuple[str, str, str], ...] = (
    ("booster", "on", rf"with {_IT} on{_PLACE}"),
    ("booster", "off", rf"with {_IT} off"),
)
"""The same where a pump was told of before."""
_ACT = re.compile(r"(?:then )?(?:i |he |she |we |they )?(?:put|switched|turned|selected)\b")
_CAME_RIGHT = re.compile(
    r"(?P<of>(?:it|she|they|that|all|the (?:engine|pressure)) )?(?:"
    r"(?:c[ao]me|pick|recover|clear|smooth|went|goes|go)(?:ed|s)?|"
    r"(?:is|was|are|were|ran|runs) (?:all )?(?:fine|ok|okay|good|well|normal|right|back|steady|"
    r"smooth|sweet|perfect)(?:ly)?|all (?:fine|ok|okay|good|well|right))\b"
)
_SWITCHED = re.compile(
    r"\b(?:battery|batteries|master(?: switch)?|generators?|switches) (?:switched )?(?:on|off)\b"
)
"""What is switched besides the fuel system: its 'on' is said of no lamp and no pump."""
_LONG_AFTER = re.compile(
    r"\b(?:half an hour|an hour|(?:[1-9]\d+|ten|fifteen|twenty|thirty|forty) ?(?:min|mins|minutes)|"
    r"(?:\d|a few|some|two|three) (?:hours?|hrs?))\.? (?:or so )?(?:after|from|since|into) "
    r"(?:the )?(?:take-?off|take off|lift-?off|departure)\b"
)
"""'20 min after take-off' tells a time, and no stage: it may be climb or cruise, so it is asked."""
_STOOD_TILL = re.compile(
    r"\b(?:in the morning|(?:by|the|by the|the next) (?:next )?morning(?: after)?|next morning"
    r"|this morning|(?:in|during) the night|over the weekend)\b"
)
"""When what stood all night was seen; where another stage is told too, that one holds."""
_AFTER = re.compile(r"\bafter (?:the )?$")
_JOIN = "then|and|but|while|whereas|although|(?:even )?though|until|unless|yet"
JOINING = re.compile(rf"\b(?:{_JOIN})\b")
"""Words that begin another clause."""
_BREAK = re.compile(
    r"(,|:|\(|\)| - "
    r"|\bwith(?= no (?:change|loss|drop|rise|sign|trace|smell|leaks?|drips?|effect)\b)"
    r"|\bwith(?= (?:its|their|the|both|fuel) (?:fuel )?(?:pressure|flow|lamp|light|gauge|needle)s?"
    r" (?:\w+ )?\w+ing\b)"
    rf"|\b(?:and then|{_JOIN})\b(?!(?<=\d and) \d|(?<=\band) an? (?:half|quarter|third)\b))"
)
"""A clause ends here; 'between 2 and 5 psi' is one, and 'a gallon and a half'."""
_UNTIL = ("until", "unless")
_OTHER_WAY = {
    "on": "off", "off": "on", "open": "shut", "shut": "open", "high": "low", "low": "high",
    "hot": "cool", "cool": "hot",
}  # fmt: skip
"""What a setting was before it became what it is."""
_HELD = "_"
"""Holds the words of one phrase together while clauses are cut."""
_END = re.compile(r"[.;!?]+(?=\s|$)|\n+")


@dataclass(frozen=True)
class Clause:
    """Part of a sentence.

    text: lower case, single spaces.  sentence: its number.  stage, settings: that hold in it.
    lent: whether the stage is a neighbour's.
    own: whether it names a stage or setting itself.  joined: by 'and' to the clause before it.
    rest: ``text`` without the words of the state, blanked so that positions stay.
    """

    text: str
    sentence: int
    stage: str
    settings: Mapping[str, str]
    own: bool
    joined: bool
    rest: str
    lent: bool = False

    @property
    def bare(self) -> bool:
        """Return whether nothing but a state is told."""
        return self.own and not set(self.rest.split()) - FILLERS


FILLERS = frozenset({
    "a", "an", "the", "at", "in", "on", "with", "was", "were", "is", "are", "it", "by", "during",
    "after", "before", "when", "all", "of", "its", "my", "our", "from", "while", "for", "to",
    "this", "that",
})  # fmt: skip
"""Words that say nothing by themselves."""


def clauses(report: str, whole: PhraseBook | None = None) -> tuple[Clause, ...]:
    """Return the clauses of ``report`` in order, each with the state that holds in it.

    ``whole``: phrases that are no two clauses ('comes and goes').
    """
    text = written_out(report)
    for hit in whole.found(text) if whole else ():
        text = text[: hit.start] + text[hit.start : hit.end].replace(" ", _HELD) + text[hit.end :]
    out: list[Clause] = []
    stage = ""
    pump = False  # told of so far
    for number, sentence in enumerate(_END.split(text)):
        first, *more = _BREAK.split(sentence)
        pairs = [("", first), *zip(more[::2], more[1::2], strict=True)]
        found: list[Clause] = []
        for link, piece in pairs:
            clause = _clause(piece, number, link == "and", _OF_IT if pump else ())
            if link in _UNTIL and found:
                found[-1] = _before(found[-1], clause)
            if link != "unless" or not clause.bare:
                found.append(clause)
            pump = pump or bool(re.search(PUMP, piece))
        out += _shared([c for c in found if c.text], stage)
        # 'Run-up: lamp on. Boosters on: lamp out.'  The run goes on until another stage is named.
        stage = out[-1].stage if out else ""
    return tuple(out)


def _clause(
    piece: str, sentence: int, joined: bool, of_it: tuple[tuple[str, str, str], ...]
) -> Clause:
    piece = piece.replace(_HELD, " ")
    text = " ".join(re.sub(r"[^\w'.-]+", " ", piece).split()).strip(" .-")
    rest, stage = text, ""
    settings: dict[str, str] = {}
    for dimension, value, words in (*_SETTINGS, *of_it):
        hit = re.search(rf"\b(?:{words})\b", rest)
        if hit and dimension not in settings:
            settings[dimension] = value
            rest = _blank(rest, hit)
    for hit in _SWITCHED.finditer(text):
        rest = _blank(rest, hit)
    late: re.Match[str] | None = None
    times = [hit.span() for hit in _LONG_AFTER.finditer(text)]
    for word, of, pattern in _STAGES_SAID:
        hit = pattern.search(rest)
        if hit and any(a <= hit.start() < b for a, b in times):
            continue
        if hit and word == "landing" and _AFTER.search(rest[: hit.start()]):
            late = hit  # 'after landing it idles rough' is told of the idling
            continue
        if hit and not stage:
            stage, rest = of, _blank(rest, hit)
    if late:
        stage, rest = stage or "landing", _blank(rest, late)
    elif not stage and (hit := _STOOD_TILL.search(rest)):
        stage, rest = "parked", _blank(rest, hit)
    return Clause(text, sentence, stage, settings, bool(stage or settings), joined, rest)


def _before(clause: Clause, turn: Clause) -> Clause:
    """Return ``clause`` as what held before ``turn``: 'steady until the pump was switched off'."""
    was = {d: _OTHER_WAY[v] for d, v in turn.settings.items() if turn.bare and v in _OTHER_WAY}
    return replace(clause, settings={**was, **clause.settings}) if was else clause


def _blank(text: str, hit: re.Match[str]) -> str:
    return text[: hit.start()] + " " * len(hit.group()) + text[hit.end() :]


def _is_act(clause: Clause, after: Clause | None) -> bool:
    """Return whether a state is told as what was done then, so that it holds from there on.

    'Low at the run-up, put the booster on', 'low, booster on and it came up', '... on, it is fine'.
    """
    if _ACT.match(clause.text):
        return True
    right = _CAME_RIGHT.match(after.text) if after else None
    if after is None or right is None or after.settings.keys() & clause.settings.keys():
        return False
    return after.joined or bool(right["of"])


def _shared(sentence: list[Clause], stage: str) -> list[Clause]:
    """Return the clauses of one sentence, each with the state its neighbours lend it.

    ``stage``: of the sentence before, which holds until another is named.
    """
    out: list[Clause] = []
    settings: dict[str, str] = {}
    if any(c.stage for c in sentence):
        stage = ""
    for c, after in zip_longest(sentence, sentence[1:]):
        lends_back = c.bare and not _is_act(c, after)
        if lends_back and out and not out[-1].bare and not out[-1].settings.keys() & {*c.settings}:
            before = out[-1]  # 'lit at the run-up, boosters off'
            out[-1] = replace(
                before,
                stage=before.stage or c.stage,
                lent=before.lent and not c.stage,
                settings={**c.settings, **before.settings},
            )
        if not c.stage and c.settings.get("power", STAGES.get(stage)) != STAGES.get(stage):
            stage, settings = "", {}  # 'flickers at idle, goes out when opened up'
        begun = bool(stage) or not all(told.bare for told in out)  # 'booster on, engine off: nil'
        if c.stage and c.stage != stage and begun:
            settings = {}  # another stage: what was set before need not hold
        stage = c.stage or stage
        settings = {**settings, **c.settings}
        out.append(replace(c, stage=stage, settings=dict(settings), lent=not c.stage))
    for k in range(len(out) - 1, 0, -1):  # 'pressure low and the lamp lit at the run-up'
        if out[k].joined and not out[k - 1].stage:
            shared = {**out[k].settings, **out[k - 1].settings}
            out[k - 1] = replace(out[k - 1], stage=out[k].stage, settings=shared, lent=True)
    return out
