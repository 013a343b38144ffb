"""The first half of an interview: one real case, its time line, what was noticed at each turn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.capture.asking import (
    NEW,
    Ask,
    Form,
    Ground,
    Printed,
    case_findings,
    decisions,
    is_amiss,
    spoken,
)
from diagnose.capture.told import Told
from diagnose.model import AEROPLANE

PATTERNS = {
    "steady": "every time",
    "only hot": "only hot",
    "only vibrating": "only with vibration",
    "only tilted": "only tilted or in a turn",
    "only low level": "only with little in the tank",
    "only at height": "only in flight, above some height",
    "random .5": "comes and goes, about every other time",
}
"""When a failure shows: as the knowledge writes it -> in words."""

COMMON = {
    "very common": "60 or so",
    "common": "about 10",
    "uncommon": "about 1",
    "rare": "hardly ever: 1 in 3000",
    "very rare": "once in a working life",
}
"""How common, out of 300 fuel snags: the knowledge's word -> natural count (decades, CIOMS III)."""


UNNAMED = "without it nothing is asked of what feels alike, how often, or the rule"
UNDRAFTED = "without it no draft of the failure is made"


def case(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield what is asked of the case itself."""
    yield Ask(
        "case",
        "Tell me about the last time a fuel snag beat you, or nearly did. From the start.",
        "story",
        help="As many lines as you like; an empty line ends it.",
    )
    if told.words("case"):
        yield Ask("case-findings", "What you said, as findings:", "heard", rests_on="case")
    yield Ask("case-cause", "What was it in the end?", "cause", without=UNNAMED)
    picked = told.picked("case-cause")
    if picked == (NEW,):
        yield from _new(told, ground)
    elif picked and len(ground.bench.parts_of(picked[0])) > 1:
        label = ground.bench.places.label
        parts = {p: label(p) for p in ground.bench.parts_of(picked[0])}
        at = "At which part?"
        yield Ask("case-part", at, "pick", parts, rests_on="case-cause", without=UNNAMED)


def _new(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield what a failure needs that the knowledge does not have yet."""
    bench, causes = ground.bench, ground.bench.library.causes
    parts = {p: bench.places.label(p) for p in bench.layout.parts if p != AEROPLANE}

    def ask(
        id: str,
        prompt: str,
        form: Form = "words",
        choices: Mapping[str, str] | None = None,
        on: str = "case-cause",
        help: str = "",
        without: str = "",
        printed: Printed = "",
    ) -> Ask:
        return Ask(
            id, prompt, form, choices or {}, help, rests_on=on, without=without, printed=printed
        )

    families = {
        f: f.replace("-", " ") for f in sorted({c.family for c in causes.values() if not c.outside})
    }
    yield ask("new-part", "Which part had it?", "pick", parts, without=UNNAMED)
    yield ask("new-title", "What do you call it, in a few words?", without=UNDRAFTED)
    yield ask("new-family", "What sort of trouble is it?", "pick", families)
    yield ask("new-common", "Of 300 fuel snags, how many are this?", "common", COMMON)
    yield ask("new-pattern", "When does it show?", "pick", PATTERNS)
    yield ask(
        "new-because", "Why does it do what it does? One or two short sentences.", printed="reason"
    )
    part = told.picked("new-part")
    if part:
        checks = checks_at(ground, part[0])
        none = "0: none of these. A new check is never made of words alone."
        yield ask("new-check", "Which check shows it?", "pick", checks, "new-part", none)
        chosen = told.picked("new-check")
        if chosen:
            # the first result is that nothing was found
            results = dict([*bench.library.checks[chosen[0]].results.items()][1:])
            yield ask("new-result", "And what is seen then?", "pick", results, "new-check")
    yield ask("new-like", "What is it most taken for?", "cause")
    if told.picked("new-like"):
        yield ask("new-like-tell", "What tells the two apart?", on="new-like", printed="tell")
    yield ask("new-rectify", "What puts it right?", printed="act")
    yield ask("new-root", "What must be asked then, so that it does not come back?", printed="tell")
    yield ask("new-also", "What else do you look at then?", printed="tell")


def checks_at(ground: Ground, part: str) -> dict[str, str]:
    """Return the checks that can be made at ``part``: id -> title."""
    bench = ground.bench
    kind = bench.layout.parts[part].kind
    return {
        c.id: c.title
        for c in bench.library.checks.values()
        if kind in c.at and bench.places.allows(c, part)
    }


def timeline(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield the time line and the turns in it."""
    asked = "Once more in order: one line for each thing that happened or was done."
    yield Ask("timeline", asked, "story", help="An empty line ends it.")
    said = told.said.get("timeline")
    if said and said.lines:
        lines = {str(k): line for k, line in enumerate(said.lines, start=1)}
        asked = "At which did you decide what to do next?"
        yield Ask("decisions", asked, "some", lines, rests_on="timeline")


def cues(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield what is asked at each turn: noticed, expected, ruled out."""
    for k, line in decisions(told):
        about = {"decision": str(k), "line": line}
        prompt = f"'{line}' What did you see, hear, smell or read just then?"
        yield from spoken(f"cue-{k}-seen", prompt, told, "timeline", **about)
        out = f"cue-{k}-ruled-out"
        for id, asked in (
            (f"cue-{k}-expected", "What did you expect to find?"),
            (out, "What did you rule out there, and why?"),
        ):
            yield Ask(id, asked, "words", about=about, rests_on="timeline")
        if told.words(out):
            asked = "Which of the knowledge's faults is that?"
            yield Ask(f"cue-{k}-ruled-cause", asked, "cause", about=about, rests_on=out)


def what_if(told: Told, ground: Ground) -> Iterator[Ask]:
    """Yield what would have been otherwise, and where a beginner goes wrong."""
    # what he turned on: a sign that something was wrong, before what was merely so that day
    amiss = [f for f in case_findings(told) if is_amiss(f, ground)]
    at_a_part = [f for f in amiss if f.at != AEROPLANE]
    if amiss:
        words = ground.finding_words((*at_a_part, *amiss)[0])
        yield Ask("what-if", f"Had you not found '{words}', what would you have done?", "words")
    yield Ask("trap", "Where would a beginner have gone wrong here?", "words")
