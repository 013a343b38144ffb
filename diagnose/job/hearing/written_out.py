"""A report in one way of writing: short forms in full, before it is cut into clauses.

'Didn't', 'nos. 3 and 4', 'pressure right' and 'did not pick up until it was changed' say in other
words what phrases and places are known by.
"""

from __future__ import annotations

import re

from diagnose.job.hearing.durations import in_minutes
from diagnose.job.hearing.numbers_listed import each_by_number
from diagnose.job.hearing.out_of_it import with_its_name

_NOT = re.compile(
    r"\b(do|does|did|is|was|were|are|has|have|had|would|could|should)n'?t\b|\b(?:(wo)|(ca))n'?t\b"
)
"""'didn't', and as often typed without its apostrophe."""
_AND = re.compile(r"(?<=[a-z0-9] )(?:'?n'?|&)(?= [a-z0-9])")
_NUMBERED = re.compile(r"\b(no|nos|nr)\.(?=\s*\d)")
_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_AND_A_HALF = re.compile(
    rf"\b({'|'.join(_ONES)}) and a half\b(?! (?:hours?|hrs?|minutes?|days?|years?)\b)"
)
_READS = (
    r"\b(?= (?:is|was|low|high|drop\w*|f[ae]ll\w*|went|goes|gauge|light|lamp|warning|steady|"
    r"normal|ok|good|fine|still|reads?|reading|down|up|zero|swings?|needle|fluctuat\w*|\d))"
)
"""Behind what is read: 'press low', and not 'press on the panel'."""
_IS = re.compile(
    r"\b(it|she|he|that|there|one|two|three|four|five|six|left|right|port|starboard|inner|outer|main|aux|header|tip|reserve|"
    r"tank|pump|gauge|lamp|light|flow|pressure|engine|motor|needle|cap|vent|strainer|selector|cock|"
    r"handle|others?|side|no\.? \d)'s (?!(?:own|fuel|electric|boost|return)\b)"
)
"""'Pump's dead', 'the right one's fine'."""
_SHORT: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r" ?(?:&|(?<!\+)\+(?=\s)) ?"), " and "),
    (re.compile(r"\b(engines|tanks|pressures|pumps|boosters) all\b(?! of\b)"), r"all \1"),
    (re.compile(r"(?<=\d),(?=\d{3}\b)"), ""),
    (re.compile(r"\bw/ ?"), "with "),
    (re.compile(r"\bt/o\b"), "take-off"),
    (
        re.compile(r"\b(idle|idling|tick-?over) (and|or) (?=(?:low|little) (?:power|revs)\b)"),
        r"\1 \2 at ",
    ),
    (re.compile(r"\b(?:as )?right as (?:rain|ninepence)\b"), "fine"),
    (re.compile(r"\b(no (?:change|drop|loss|effect|difference|sign|rise)) at all\b"), r"\1"),
    (re.compile(r"\b(?:seem|appear|tend|start)(?:s|ed)? to (?=[a-z])(?!be\b)"), ""),
    (re.compile(r"#\s?(?=\d)"), "no "),
    (re.compile(r"(?<![\d./])1/2(?![\d/])"), "half"),
    (re.compile(r"(?<![\d./])1/4(?![\d/])"), "a quarter"),
    (re.compile(r"(?<![\d./])3/4s?(?![\d/])"), "three quarters"),
    (re.compile(r"(?<![\w.,])(?<!\d )(?<!no )([1-6]) (?=(?:engine|eng|motor)\b)"), r"no \1 "),
    (
        re.compile(
            r"\b(?<!no )(engine|eng|motor|tank)s? (?:number |no |nr )?(\d)"
            r"(?![\d.:]| ?(?:hours?|hrs?|mins?|minutes|days?|weeks?|times?)\b)"
        ),
        r"no \2 \1",
    ),
    (re.compile(r"\bf/?f\b"), "fuel flow"),
    (re.compile(r"\bno press\b"), "no pressure"),
    (
        re.compile(
            r"\b((?:drip|run|pour|leak|stream|spray|weep|seep|dribbl)\w*) off "
            r"(?=(?:the )?(?:[a-z]+ ){0,2}(?:vent|cap|drain|strainer|pump|carburettor|cowl)\b)"
        ),
        r"\1 from ",
    ),
    (re.compile(rf"\b(?:f/?p\b|press{_READS})"), "pressure"),
    (
        re.compile(
            r"\b(gauge|needle) (?:for|of|on) (?:the )?"
            r"((?:(?:left|right|port|starboard|stbd|inner|outer|middle|main|aux|auxiliary|upper|lower|"
            r"header|tip|reserve|no \d) )+)(tank|engine)\b"
        ),
        r"\2\3 \1",
    ),
    (re.compile(r"\b(\d+|a few|few|some) ?mins?\b"), r"\1 minutes"),
    (re.compile(r"\b(\d+|a few|few|some) ?hrs?\b"), r"\1 hours"),
    (re.compile(r"\b(left|right|port|starboard|stbd|inner|outer) one\b"), r"\1"),
    # who says so means the engine: behind a gauge, 'it faded' may be the pressure, 'she' is not
    (
        re.compile(r"\bshe (?=(?:fad|surg|splutter|sputter|misse|cough|quit|died|stopped))"),
        "the engine ",
    ),
    (
        re.compile(
            r"\b(hours?|minutes|mins|hrs?) in(?=[,.;:]|$| (?:and|when|she|he|it|they|the engine)\b)"
        ),
        r"\1 out",
    ),
    (
        re.compile(r"\b(?:each|every) ?time (?=(?:i|we|you|he|she|they|it|the|she's|it's)\b)"),
        "whenever ",
    ),
)
"""What is typed for short, and what it stands for: 'eng 2' is 'no 2 eng'."""
_ENGINES_PUMP = re.compile(
    r"\b(?:engine(?:'s)?(?: own)?(?:[ -]driven)?|mechanical|mech)(?: fuel)?[ -]pump(?=s?\b)"
)
_WELL = "alright"
"""'Right' that is no side."""
_RIGHT = re.compile(
    r"\ball right\b|\b(?<=pressure )right(?=[,.;]|$| either | again\b)|"
    r"\b(?<=pressures )right(?=[,.;]|$| either | again\b)|"
    r"\b(?<=side )right(?=[,.;]|$| either )|"
    r"\b(?:(?<=gauge )|(?<=gauge is )|(?<=gauges are )|(?<=reads )|(?<=gauge was ))right(?=[,.;]|$)"
)
_JUST = re.compile(r"\bright (?=in the (?:green|band)\b)")
_UNTIL = re.compile(r"\b(?:do|does|did|would|will|could) not ((?:[a-z]+ ){1,3}?)until\b")


def written_out(report: str) -> str:
    """Return ``report`` in lower case with each short form in full."""
    text = report.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
    text = each_by_number(_AND.sub("and", _NUMBERED.sub(r"\1", _IS.sub(r"\1 is ", text))))
    text = engines_pump(text)
    for short, whole in _SHORT:
        text = short.sub(whole, text)
    text = with_its_name(in_minutes(text))
    text = _AND_A_HALF.sub(lambda hit: f"{_ONES.index(hit[1]) + 1}.5", text)
    text = well_for_right(_NOT.sub(_in_full, _JUST.sub("", text)))
    return _UNTIL.sub(r"\1when", text)  # what did not come before came then


def engines_pump(text: str) -> str:
    """Return ``text`` with the engine's own pump in one word, which is no electric pump."""
    return _ENGINES_PUMP.sub("engine-pump", text)


def well_for_right(text: str) -> str:
    """Return ``text`` with the 'right' that is no side in a word of its own."""
    return _RIGHT.sub(_WELL, text)


def as_typed(phrase: str) -> str:
    """Return ``phrase`` of a report written out with its 'right' as people type it."""
    return phrase.replace(_WELL, "right")


def _in_full(hit: re.Match[str]) -> str:
    """Return a shortened 'not' in full, as phrases and denials are written."""
    return "will not" if hit[2] else "cannot" if hit[3] else f"{hit[1]} not"
