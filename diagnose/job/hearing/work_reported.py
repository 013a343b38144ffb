"""Where a report speaks of work that was done, which may be what the trouble comes of."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.work_told import MENDED, WHEN, all_told, worked_on
from diagnose.model import AEROPLANE

_SENTENCE = re.compile(r"(?:[^.;\n]|(?<=\bno)\.|(?<=\bnos)\.|\.(?=\d))+", re.IGNORECASE)
_PIECE = re.compile(r"(?:,|:| - )\s*(?!\d)")
_LISTED = 2
"""Most words of an item of a list before the work: 'pump, strainer and hoses all renewed'."""
_IS = "(?:was|were|been|being)"
_ACT = (
    "(?:changed|fitted|cleaned|removed|adjusted|serviced|opened|exchanged|reset|turned|moved"
    "|drained)"
)
"""Work only where it is told as past: 'was cleaned', 'cleaned last week'."""
_ONLY_WORK = (
    r"(?:exchanged|re-?bent|remade|re-?wired|swapped|disconnected|stripped|disturbed|re-?set"
    r"|bent round|taken (?:out|off)|set on the bench|re-covered|doped"
    r"|left open (?:through|all|since|for))"
)
"""Acts that nobody does in running an engine."""
_AT = (
    rf"(?:{WHEN.pattern}|\b(?:at|for|on) (?:the|its|a|an) (?:last |new )?(?:annual|\w+ hour check"
    r"|check|inspection|overhaul|engine change|bench|\w+ job|\w+ repair)\b|\bfor \w+ing\b)"
)
_JOB = (
    r"(?:annual|(?:yearly |annual |last )?inspection|(?:last|annual|[\w-]+ hour) check|overhaul"
    r"|re-?build\w*|restoration|repairs?|re-?paint\w*|re-?spray\w*|paint|painting|painters?"
    r"|re-?cover\w*|lay-?up|shop|stores?|storage|servic(?:e|ing)|inhibited store"
    r"|(?:tank )?re-?seal\w*|(?!tank|selector|power|pitch|weather|the)[\w-]+ change"
    r"|(?:[\w-]+ )?[\w-]+ (?:job|swap|fit|replacement|repair|reseal|rebuild|overhaul)"
    r"|[\w ]{0,12}(?:months?|years?|weeks?|winter) (?:in|of|at|laid|standing|lay)\b)"
)
_WORD = (
    r"(?!(?:pumps?|boosters?|engines?|lamps?|lights?|switch\w*|cocks?|selectors?|handles?|levers?"
    r"|throttles?|mixture|power|it|heat)\b)[\w'-]+"
)
"""A word that names nothing that is worked, switched or shut off in running."""
_OUT = (
    r"(?:out|off|apart|back|open|opened|taken|lost|fitted|changed|removed|refitted"
    r"|put (?:in|on|back))\b(?! (?:over )?to)"
)
_SOME = r"(?:(?:the|its|an?|his|her|their|last|this|our|that|winter|some)\s+)*"
_SINCE = re.compile(
    rf"\b(?:after|since|following)\s+{_SOME}(?:{_JOB}\b|(?:\w+ )?{_WORD}(?: {_WORD}){{0,4}}?"
    rf" (?:was|were|had been|went|came) (?:\w+ )?{_OUT})",
    re.IGNORECASE,
)
"""What came after work; what stands before it tells the trouble."""
_BACK_FROM = re.compile(rf"\b(?:came|went|come|just) back from {_SOME}{_JOB}\b", re.IGNORECASE)
"""No pressure came back, and no power."""
_DONE = re.compile(
    rf"\b(?:{MENDED}|(?:{_IS}|had|just|newly) (?:\w+ )?{_ACT} ?(?={_AT})|{_ACT}(?= {_AT})"
    rf"|{_IS} (?:\w+ )?{_ONLY_WORK}"
    rf"|(?:{_IS}|had|just|newly) (?:\w+ )?(?:changed(?! (?:over )?to)|fitted|cleaned|removed"
    r"|adjusted|serviced)"
    r"|(?:changed|cleaned|swapped) (?:(?:the|its|both|all|his|her|their) )(?:[\w-]+ ){0,3}?"
    r"(?:gasket|seal|element|filter|plug|bulb|hose|o-ring|diaphragm|strainer)s?"
    r"|(?:put|fitted|installed) (?:in |on )?an? new [\w -]{3,40}"
    r"|new [\w -]{3,40}? (?:fitted|installed|put (?:in|on)|went in)"
    r"|(?:out of|(?:back|straight|fresh|came|return\w*|fitted) (?:\w+ )?from)"
    rf" (?:(?:the|its|an?|his|her|winter)\s+)*{_JOB}"
    rf"|{_WORD} (?:was|were|had been) (?:\w+ )?(?:out|off|apart) (?:for|last|the)"
    r"|(?:was|were|been) (?:out|off|apart) for (?:the |an? |its )?\w+ing"
    r"|(?:wiring|work|sealing|welding|riveting) (?:was |had been )?done|had (?:\w+ )?work)\b",
    re.IGNORECASE,
)
"""Past work as it is told; 'changed to the left tank' is none."""
_FUELLED = re.compile(
    r"\b(?:(?:was|were|been|just) (?:\w+ )?(?:filled|topped up|brimmed) (?:up )?(?:from|at|with"
    r"|to the)|(?:tanks?|mains?|left|right|both|all) (?:were |was )?(?:filled|topped|brimmed)"
    r" (?:to the brim|right up|full|the|an|yesterday|last|this|from)|(?:last|just) (?:filled"
    r"|fuelled)|re-?fuel(?:l?ed|ling))\b|^(?:filled|topped|brimmed)\b",
    re.IGNORECASE,
)
_NEW = re.compile(
    r"(?<!needs a )(?<!need a )(?<!wants a )\bnew (?P<what>[\w-]+(?: [\w-]+){0,2})", re.IGNORECASE
)
_CHANGED = re.compile(
    r"(?!.*\b(?:tanks?|selector|not|nothing)\b).* (?:changed|exchanged|cleaned|swapped)\s*",
    re.IGNORECASE,
)
"""'Injection unit changed.'; a tank changed is another selected."""
_OF = re.compile(r" (?:of|on|to|at|for)\b", re.IGNORECASE)
_NO_WORK = re.compile(
    r"\b(?:not|never|no(?! \d)|nothing|won't|wouldn't) (?:[\w-]+ ){0,3}$", re.IGNORECASE
)


@dataclass(frozen=True)
class WorkTold:
    """Work as a report tells it, and the things it was done on, each with the parts it may be."""

    words: str
    things: tuple[tuple[str, ...], ...]


def work_in(report: str, bench: Bench) -> tuple[WorkTold, ...]:
    """Return the work that clauses of a report tell of, in their order."""
    found: list[WorkTold] = []
    for sentence in _SENTENCE.findall(report):
        pieces = _PIECE.split(sentence)
        for k, piece in enumerate(pieces):
            told = _told_in(piece, bench)
            if not told:
                continue
            start = k
            while start and piece.startswith(told) and len(pieces[start - 1].split()) <= _LISTED:
                start -= 1
            words = ", ".join(p.strip() for p in (*pieces[start:k], told))
            found.append(WorkTold(words, _things(words, piece, bench)))
    return tuple(found)


def without_returns(report: str) -> str:
    """Return a report without what it says of parts that came back from work."""
    return _BACK_FROM.sub(" ", report)


def _told_in(piece: str, bench: Bench) -> str:
    """Return the words of a clause that tell of work, '' where none do."""
    since = _SINCE.search(piece)
    if since:
        said = piece[since.start() :]
        # 'since the annual no. 1 burns more': what follows is the trouble
        if worked_on(since[0], bench) == ((AEROPLANE,),) and not _OF.match(piece[since.end() :]):
            said = since[0]
        return "" if _NO_WORK.search(piece[: since.start()]) else said
    done = _DONE.search(piece) or _FUELLED.search(piece)
    if done:
        return "" if _NO_WORK.search(piece[: done.start()]) else piece
    new = _NEW.search(piece)
    told = (
        (new and worked_on(f"new {new['what']}", bench))
        or (_CHANGED.fullmatch(piece) and worked_on(piece, bench))
        or (WHEN.search(piece) and all_told(piece, bench))
    )
    return piece if told else ""


def _things(words: str, piece: str, bench: Bench) -> tuple[tuple[str, ...], ...]:
    """Return what ``words`` name; where they leave it open, what the whole clause leaves of it."""
    things = worked_on(words, bench)
    whole = worked_on(piece, bench) if any(len(thing) > 1 for thing in things) else ()
    return tuple(next((w for w in whole if set(w) < set(t)), t) for t in things)
