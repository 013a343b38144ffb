"""What somebody asks to see, in the words of the trade: which readings and checks that may be."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.job.diagnosis import Bench
from diagnose.job.hearing.as_meant import as_meant
from diagnose.job.hearing.clauses import PUMP, clauses
from diagnose.job.hearing.vocabulary import Vocabulary, in_our_form
from diagnose.job.hearing.what_fed import feeding
from diagnose.job.hearing.whereabouts import KINDS, Named, Where
from diagnose.model import STAGES, RunState, agree
from diagnose.planner import Reading

_IDLE_WORDS = frozenset({
    "a", "an", "and", "at", "in", "is", "it", "of", "on", "the", "to", "what", "does", "do", "how",
    "with", "check", "read", "look", "ask", "for", "no", "did", "was", "are", "this", "has", "any",
    "there", "what's", "whats", "me", "my", "tell", "show", "see", "can", "you", "she", "her",
    "they",
})  # fmt: skip


LEAST = 2
"""Letters of a word too short to tell anything."""

UNSAID = {"tank": "", "crossfeed": "shut"}
"""What a run state is where a stage is named and nothing said of it; '' is that none is stated."""
_SWITCH = re.compile(rf"\b((?:{PUMP}|hand pump) (?:on|off|still|worked))\b")
"""Who asks 'booster on port' names a setting and then a place: nothing was done to the booster."""
_AFTERWARDS = re.compile(r"\bafter (?:a|the) run\b")
"""When something is looked at, in a title: 'run her up' asks for nothing that comes after it."""
_STILL = re.compile(r"\bstatic\b(?! pressure)")


@dataclass(frozen=True)
class AskedFor:
    """What may be asked for.

    whole: whether every word that names something was understood.  as_said: whether it can be read
    in the run state and on the tank that were named; if not, ``readings`` are in others.
    """

    readings: tuple[Reading, ...]
    whole: bool
    as_said: bool = True


def asked_for(bench: Bench, text: str) -> AskedFor:
    """Return the readings that ``text`` may ask for, as far as it names question, place and state.

    'Fuel pressure no. 2 engine run-up, booster off' is one; 'fuel pressure' is all there are.
    """
    vocabulary, where = Vocabulary.of(bench), Where(bench)
    meant = as_meant(text, bench).text.lower()
    named = where.named(meant.replace(",", " "))
    titled, left = _titled(bench, meant)
    run, left = _run_state(bench, left)
    still = _STILL.search(left)
    said = clauses(_SWITCH.sub(r"\1,", _STILL.sub(" ", left)), vocabulary.joined)
    stage = next((c.stage for c in said if c.stage), "static" if still else "")
    settings: dict[str, str] = {}
    for clause in said:
        settings |= {**clause.settings, **feeding(where, clause.text)}
    if run is not None:
        stage, settings = run.stage, {**run.settings, **settings}
    rest = " ".join(clause.rest for clause in said).replace("no. ", "no ")
    for place in named:
        # 'no. 3 tank' is a place, the tank of 'tank stains' is not
        name = re.escape(place.words.replace("no. ", "no "))
        rest = re.sub(rf"{name}( (?:{KINDS})\b)?", " ", rest)
    rest = in_our_form(f"{titled} {rest}", bench.library.words.forms)
    best, whole, others = _questions(bench, vocabulary, rest)
    instead: AskedFor | None = None
    for questions in filter(None, (best, others)):
        out = [r for r in bench.planner.catalogue.readings if r.question in questions]
        there = [r for r in out if r.place in where.of(r.question, named)] if named else []
        out = _kept(out, there)
        of_it = _of_state(out, stage, settings, _fed(bench, out, named))
        if of_it:
            return AskedFor(tuple(of_it), whole and instead is None)
        else_where = _of_state(out, stage, settings, ()) or out
        instead = instead or AskedFor(tuple(else_where), whole, as_said=False)
    return instead or AskedFor((), whole=False)


def _of_state(
    readings: Sequence[Reading], stage: str, settings: Mapping[str, str], fed: Sequence[str]
) -> list[Reading]:
    """Return those of ``readings`` that are taken so.

    What is asked at any time is asked then as well.  fed: the tanks one of which is meant.
    """
    out = [r for r in readings if r.run_state is not None]
    if not out:
        return list(readings)
    if stage:
        of_stage = [r for r in out if r.run_state and r.run_state.stage == stage]
        out = of_stage or [r for r in out if r.state.known().get("power") == STAGES[stage]]
    out = [r for r in out if agree(settings, r.state.known())]
    meant = settings.get("tank", "")
    tanks = (meant,) if meant else tuple(fed)
    if tanks and any("tank" in r.state.settings for r in readings):
        return [r for r in out if r.state.settings.get("tank") in tanks]
    if stage:  # who names a stage and no tank means the usual one, and the cross-feed shut
        usual = {d: v for d, v in UNSAID.items() if d not in settings}
        out = _kept(out, [r for r in out if agree(usual, r.state.settings)])
    return out


def _fed(bench: Bench, readings: Sequence[Reading], named: Sequence[Named]) -> tuple[str, ...]:
    """Return the tanks that may be named beside a question asked of no tank: one of them feeds.

    With one engine a side is a tank's; with several it is an engine's, unless a tank is named.
    """
    places = bench.places
    if not readings or any(r.place not in places.engines for r in readings):
        return ()
    for n in named:
        if not n.parts and len(places.engines) > 1:
            continue
        found = n.parts or places.find_places(f"{n.words} tank").candidates
        if tanks := tuple(p for p in found if p in places.tanks):
            return tanks
    return ()


def _titled(bench: Bench, text: str) -> tuple[str, str]:
    """Return the title of a question that ``text`` has in it, and ``text`` without it.

    A title may tell a stage ('contents while parked') that is no run state to be set up.
    """
    titles = {q.title.lower() for q in bench.library.questions.values()}
    return _longest(titles, text)


def _run_state(bench: Bench, text: str) -> tuple[RunState | None, str]:
    """Return the run state whose title ``text`` has in it, as it is printed, and the rest.

    What the title of one at rest alone ends in ('battery off') stands for it.
    """
    flat = " ".join(text.replace(",", " ").split())
    states = bench.layout.run_states
    ends = [s.title.lower().rpartition(",")[2].strip() for s in states]
    titles = {end: s for end, s in zip(ends, states, strict=True)
              if s.stage == "static" and ends.count(end) == 1}  # fmt: skip
    titles |= {" ".join(s.title.lower().replace(",", " ").split()): s for s in states}
    found, rest = _longest(titles, flat)
    return (titles[found], rest) if found else (None, text)


def _longest(titles: Iterable[str], text: str) -> tuple[str, str]:
    """Return the longest of ``titles`` that ``text`` has in it, '' for none, and the rest."""
    found = max((t for t in titles if f" {t} " in f" {text} "), key=len, default="")
    return found, f" {text} ".replace(f" {found} ", " ", 1).strip() if found else text


def checks_asked_for(bench: Bench, text: str) -> tuple[tuple[str, str], ...]:
    """Return the checks, each with its part, whose name and place hold every word of ``text``."""
    library, label = bench.library, bench.places.label
    words = _words(text)
    out = []
    for check, at in bench.planner.catalogue.checks:
        known = library.checks[check]
        if _holds(f"{check} {known.title} {known.access} {at} {label(at)}", words):
            out.append((check, at))
    return tuple(out)


def _questions(
    bench: Bench, vocabulary: Vocabulary, text: str
) -> tuple[frozenset[str], bool, frozenset[str]]:
    """Return the questions whose names cover most words of ``text``, whether they cover all, and
    those that have less of them in their names and are read off the same instruments.

    Half of them must be covered.  Of several those count that have more of them among their
    answers, then the longest of their names in it, their title before another.
    """
    words = set(_words(text))
    here = dict.fromkeys(r.question for r in bench.planner.catalogue.readings)
    longest = dict.fromkeys(here, 0)
    for name, questions in vocabulary.subjects.items():
        if f" {name} " in f" {text} ":
            for asked in questions:
                if asked in longest:
                    longest[asked] = max(longest[asked], len(name.split()))
    score: dict[str, tuple[int, int, int, bool]] = {}
    asked_of = bench.library.questions
    for name in here:
        q = asked_of[name]
        title = _AFTERWARDS.sub("", q.title)
        names = _words(f"{q.id.replace('-', ' ')} {title} {' '.join(q.also_called)}")
        titled = f" {in_our_form(q.title, {})} " in f" {text} "
        # of 'are the vents blocked' one of the vents' questions has it for an answer
        named = _in_common(words, names)
        answered = _in_common(words, (*names, *_words(" ".join(q.classes.values())))) - named
        score[name] = (named, answered, longest[name], titled)
    best = max(score.values(), default=(0, 0, 0, False))
    if not best[0] or 2 * best[0] < len(words):
        return frozenset(), False, frozenset()
    first = frozenset(q for q, found in score.items() if found == best)
    read_off = {i for q in first for i in asked_of[q].instruments}
    others = frozenset(
        q for q in here if q not in first and score[q][0] and read_off & {*asked_of[q].instruments}
    )
    return first, best[0] == len(words), others


def _in_common(words: Iterable[str], names: Iterable[str]) -> int:
    """Return how many ``words`` begin as one of ``names`` does, or the other way about."""
    listed = list(names)
    return sum(any(n.startswith(w) or w.startswith(n) for n in listed) for w in words)


def _words(text: str) -> tuple[str, ...]:
    bare = text.lower().replace(",", " ").replace("?", " ").replace(".", " ").split()
    return tuple(w for w in bare if w not in _IDLE_WORDS and (len(w) > LEAST or w.isdigit()))


def _holds(text: str, words: Iterable[str]) -> bool:
    listed = list(words)
    return bool(listed) and all(w in text.lower() for w in listed)


def _kept(all_of_them: list[Reading], fewer: list[Reading]) -> list[Reading]:
    """Return ``fewer`` unless nothing is left: then what was said of it is passed over, not all."""
    return fewer or all_of_them
